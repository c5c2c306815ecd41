"""The simulated cup: warmth, water and salt of one vessel, counted in joules and grams."""

import math
from dataclasses import dataclass

from daemon.play.story_values import keyed
from daemon.play.world.air import (
    bubbles_g_per_s,
    moist_air_kg_per_m3,
    saturated_pa,
    surface_w_per_m2_k,
    through_rim_m_per_s,
    vapour_kg_per_m3,
    vapour_m_per_s,
    vapour_pa,
)
from daemon.play.world.heater import Heater
from daemon.play.world.random_draws import RandomDraws, Wander

_WATER_J_PER_G_K = 4.18
_SALT_J_PER_G_K = 0.86
_SALT_ML_PER_G = 0.30  # apparent volume of NaCl in thin brine, 17.5 cm³/mol [M]
_RADIANT_W_PER_M2_K = 5.6  # 4·σ·T³ at 22 °C, emissivity 0.96
_SUN_M2 = 0.0045  # a cup seen from the side, common practice, no source
_SUN_ABSORBED = 0.5  # water takes the infrared half, the light passes; assumed
_DRY_G = 5.0  # what never evaporates: the last film is crust, not brine


@dataclass(frozen=True, slots=True)
class CupPhysics:
    """What a cup and its place are like. Heat figures are assumed for 250 mL; no source."""

    evaporation_factor: float = keyed(1.0, 0.2, 5)
    evaporation_wander: float = keyed(0.08, 0, 0.5)
    rim_above_mark_cm: float = keyed(1.2, 0, 10)
    rim_hold: float = keyed(0.25, 0, 1)
    sides_w_per_k: float = keyed(0.13, 0.01, 5)
    glass_j_per_k: float = keyed(60.0, 0, 2000)
    lamp_w: float = keyed(1.1, 0, 50)
    lamp_lux: float = keyed(1400.0, 0, 20000)
    daylight_pct: float = keyed(1.5, 0, 100)
    sun_share: float = keyed(0.0, 0, 1)
    sill_k_per_100_w_m2: float = keyed(1.5, 0, 10)
    heater_w: float = keyed(0.0, 0, 1000)
    heater_c: float = keyed(27.0, 10, 40)
    heater_band_k: float = keyed(0.5, 0, 5)
    air_l_per_min: float = keyed(0.0, 0, 20)
    air_saturates: float = keyed(0.9, 0, 1)
    tap_c: float = keyed(19.0, 0, 40)
    cover_passes: float = keyed(0.03, 0, 1)


@dataclass(frozen=True, slots=True)
class CupSurroundings:
    """What surrounds a cup this minute: the air at its side with its vapour (kg/m³), the draught over it,
    the lamp (0 off, 1 on) and the sun that falls on it, W/m²."""

    air_c: float
    vapour: float
    draught_m_s: float
    lamp: float
    sun_w_m2: float


def water_kg_per_m3(temperature_c: float) -> float:
    """Density of pure water, 0–40 °C (McCutcheon, in Maidment 1993) [M]."""
    shift = (temperature_c + 288.9414) / (508929.2 * (temperature_c + 68.12963))
    return 1000 * (1 - shift * (temperature_c - 3.9863) ** 2)


class Cup:
    """One vessel's content. Empty until something is poured in.

    State: `water_g`, `salt_g`, `water_c`; `evaporated_g`, `poured_g` and `taken_g` keep the water's account.
    """

    def __init__(
        self, physics: CupPhysics, surface_cm2: float, brim_at_ml: float, mark_ml: float, seed: RandomDraws
    ) -> None:
        self.physics = physics
        self._surface_m2 = surface_cm2 * 1e-4
        self._diameter_m = 2 * math.sqrt(self._surface_m2 / math.pi)
        self._mark_ml = mark_ml
        self._brim_at_ml = brim_at_ml
        self._wander = Wander(seed, memory_h=12)
        self.heater = Heater(physics.heater_w, physics.heater_c, physics.heater_band_k)
        self.water_g = self.salt_g = 0.0
        self.water_c = physics.tap_c
        self.covered = False
        self.evaporated_g = self.poured_g = self.taken_g = 0.0
        self.evaporation_g_s = 0.0

    @property
    def volume_ml(self) -> float:
        """Volume of the brine at its temperature."""
        return self.water_g / water_kg_per_m3(self.water_c) * 1000 + self.salt_g * _SALT_ML_PER_G

    @property
    def loss_ml(self) -> float:
        """How far the level lies below the mark; negative above it."""
        return self._mark_ml - self.volume_ml

    @property
    def salinity_g_per_kg(self) -> float:
        """Salt as a share of the brine's mass; 0 when empty."""
        whole_g = self.water_g + self.salt_g
        return 1000 * self.salt_g / whole_g if whole_g else 0.0

    def pour(self, volume_ml: float, salt_g: float, temperature_c: float) -> None:
        """Pour `volume_ml` in that holds `salt_g`; what passes the brim runs over, salt and all."""
        water_g = (volume_ml - salt_g * _SALT_ML_PER_G) * water_kg_per_m3(temperature_c) / 1000
        before, added = self._heat_j_per_k(), water_g * _WATER_J_PER_G_K + salt_g * _SALT_J_PER_G_K
        warm = before if self.water_g else 0.0
        self.water_c = (warm * self.water_c + added * temperature_c) / (warm + added)
        self.water_g += water_g
        self.salt_g += salt_g
        self.poured_g += water_g
        self.take(max(0.0, self.volume_ml - self._brim_at_ml))

    def take(self, volume_ml: float) -> float:
        """Take brine out (at most what is there); gives the volume taken."""
        whole_ml = self.volume_ml
        share = min(1.0, volume_ml / whole_ml) if whole_ml else 0.0
        self.taken_g += share * self.water_g
        self.water_g -= share * self.water_g
        self.salt_g -= share * self.salt_g
        return share * whole_ml

    def step(self, seconds: float, around: CupSurroundings) -> None:
        """Let `seconds` (at most 60) pass."""
        self._wander.step(seconds)
        if self.water_g <= _DRY_G:
            self.water_c, self.evaporation_g_s = around.air_c, 0.0
            return
        p = self.physics
        surface_heat = self._surface_heat(around)
        self.evaporation_g_s = self._evaporation_g_s(surface_heat, around) + self._bubbles_g_s(around)
        top_w_per_k = self._surface_m2 * ((0.3 if self.covered else 1.0) * surface_heat + _RADIANT_W_PER_M2_K)
        gain_w = p.lamp_w * around.lamp + around.sun_w_m2 * _SUN_M2 * _SUN_ABSORBED
        gain_w += self.heater.power_w(self.water_c)
        latent_j_per_g = 2501 - 2.361 * self.water_c  # rounded steam tables [M]
        away_w = (p.sides_w_per_k + top_w_per_k) * (self.water_c - around.air_c)
        net_w = gain_w - away_w - self.evaporation_g_s * latent_j_per_g
        self.water_c += seconds * net_w / self._heat_j_per_k()
        gone_g = min(seconds * self.evaporation_g_s, self.water_g - _DRY_G)
        self.water_g -= gone_g
        self.evaporated_g += gone_g

    def _heat_j_per_k(self) -> float:
        return self.water_g * _WATER_J_PER_G_K + self.salt_g * _SALT_J_PER_G_K + self.physics.glass_j_per_k

    def _surface_pa(self) -> float:
        # Raoult's law for a salt of two ions of 58.4 g/mol, no osmotic correction: 25 g/kg gives 0.984.
        molal = 1000 * self.salt_g / (58.44 * self.water_g)
        return saturated_pa(self.water_c) / (1 + 2 * molal / 55.51)

    def _surface_heat(self, around: CupSurroundings) -> float:
        room_pa = vapour_pa(around.vapour, around.air_c)
        room = moist_air_kg_per_m3(around.air_c, room_pa)
        lift = (room - moist_air_kg_per_m3(self.water_c, self._surface_pa())) / room
        return surface_w_per_m2_k(self._diameter_m, lift, around.draught_m_s)

    def _evaporation_g_s(self, surface_heat: float, around: CupSurroundings) -> float:
        p = self.physics
        depth_m = max(0.0, p.rim_above_mark_cm / 100 + self.loss_ml * 1e-6 / self._surface_m2)
        transfer = through_rim_m_per_s(vapour_m_per_s(surface_heat), depth_m, p.rim_hold)
        difference = vapour_kg_per_m3(self._surface_pa(), self.water_c) - around.vapour
        own = p.evaporation_factor * max(0.5, 1 + p.evaporation_wander * self._wander.value)
        passes = p.cover_passes if self.covered else 1.0
        return 1000 * transfer * difference * self._surface_m2 * own * passes

    def _bubbles_g_s(self, around: CupSurroundings) -> float:
        p = self.physics
        return bubbles_g_per_s(
            p.air_l_per_min, p.air_saturates, self._surface_pa(), around.air_c, around.vapour
        )
