"""The simulated classroom: warmth of its air and walls, and the moisture in it."""

from dataclasses import dataclass

from daemon.play.story_values import keyed
from daemon.play.world.air import saturated_pa, vapour_kg_per_m3, vapour_pa
from daemon.play.world.sky import GLASS_PASSES, Weather
from daemon.seconds import HOUR_S

_AIR_J_PER_M3_K = 1200.0


@dataclass(frozen=True, slots=True)
class RoomPhysics:
    """What the room is made of. Values are assumed for a classroom of 60 m²; no source."""

    volume_m3: float = keyed(180.0, 20, 2000)
    envelope_w_per_k: float = keyed(150.0, 5, 5000)
    air_j_per_k: float = keyed(2.0e6, 1e5, 1e8)
    walls_j_per_k: float = keyed(1.5e7, 1e6, 1e9)
    walls_w_per_k: float = keyed(1100.0, 50, 1e4)
    heater_w: float = keyed(6000.0, 0, 1e5)
    radiator_lag_min: float = keyed(25.0, 1, 600)
    day_c: float = keyed(21.0, 5, 30)
    setback_c: float = keyed(17.5, 0, 30)
    warm_up_h: float = keyed(2.0, 0, 12)
    people: float = keyed(22.0, 0, 200)
    person_w: float = keyed(70.0, 0, 200)
    person_g_per_h: float = keyed(45.0, 0, 200)
    closed_air_changes_per_h: float = keyed(0.4, 0.05, 10)
    attended_air_changes_per_h: float = keyed(2.0, 0.05, 20)
    window_air_changes_per_h: float = keyed(6.0, 0.1, 40)
    moisture_store: float = keyed(3.0, 1, 20)
    window_m2: float = keyed(6.0, 0, 60)
    ceiling_lux: float = keyed(320.0, 0, 2000)
    draught_m_s: float = keyed(0.04, 0, 1)
    fan_m_s: float = keyed(0.7, 0, 3)


@dataclass(frozen=True, slots=True)
class RoomUse:
    """What people and machines do in the room this minute. `wanted_c` None: the heating does not run."""

    wanted_c: float | None
    attended: bool
    window_open: bool
    moisture_kg_s: float


class Room:
    """Air and walls as two masses, heated, ventilated and lived in.

    State: `air_c`, `walls_c`, `radiator_w` (what the radiators give) and `vapour` (kg/m³).
    """

    def __init__(self, physics: RoomPhysics, outdoor_c: float, outdoor_rh_pct: float, air_c: float) -> None:
        self.physics = physics
        self.air_c = air_c
        self.walls_c = air_c - 0.5
        self.radiator_w = 0.0
        pressure_pa = outdoor_rh_pct / 100 * saturated_pa(outdoor_c)
        self._outdoor_vapour = vapour_kg_per_m3(pressure_pa, outdoor_c)
        self.vapour = vapour_kg_per_m3(pressure_pa, air_c) * 1.1

    @property
    def rh_pct(self) -> float:
        """Relative humidity of the room's air."""
        return min(100.0, 100 * vapour_pa(self.vapour, self.air_c) / saturated_pa(self.air_c))

    def step(self, seconds: float, weather: Weather, use: RoomUse) -> None:
        """Let `seconds` (at most 60, or the air node runs away) pass."""
        p = self.physics
        exchange_per_s = self._air_changes_per_h(use) / HOUR_S
        loss_w_per_k = p.envelope_w_per_k + exchange_per_s * p.volume_m3 * _AIR_J_PER_M3_K
        sun_w = p.window_m2 * GLASS_PASSES * (weather.window_beam_w_m2 + 0.5 * weather.diffuse_w_m2)
        people_w = p.people * p.person_w if use.attended else 0.0
        to_walls_w = p.walls_w_per_k * (self.air_c - self.walls_c)
        leaving_w = loss_w_per_k * (self.air_c - weather.temperature_c)
        lag_s = 60 * p.radiator_lag_min
        self.radiator_w += seconds / lag_s * (self._heating_w(use) - self.radiator_w)
        air_w = self.radiator_w + people_w + 0.4 * sun_w - to_walls_w - leaving_w
        self.air_c += seconds * air_w / p.air_j_per_k
        self.walls_c += seconds * (to_walls_w + 0.6 * sun_w) / p.walls_j_per_k
        self._step_moisture(seconds, exchange_per_s, use)

    def _air_changes_per_h(self, use: RoomUse) -> float:
        if use.window_open:
            return self.physics.window_air_changes_per_h
        return (
            self.physics.attended_air_changes_per_h if use.attended else self.physics.closed_air_changes_per_h
        )

    def _heating_w(self, use: RoomUse) -> float:
        if use.wanted_c is None:
            return 0.0
        return self.physics.heater_w * max(0.0, min(1.0, (use.wanted_c + 0.3 - self.air_c) / 1.0))

    def _step_moisture(self, seconds: float, exchange_per_s: float, use: RoomUse) -> None:
        # Paper, wood and plaster take up and give back moisture: the room acts as a larger volume.
        p = self.physics
        breath = p.people * p.person_g_per_h / 3.6e6 if use.attended else 0.0
        gain = (breath + use.moisture_kg_s) / p.volume_m3 + exchange_per_s * (
            self._outdoor_vapour - self.vapour
        )
        self.vapour += seconds * gain / p.moisture_store
        limit = vapour_kg_per_m3(saturated_pa(self.air_c), self.air_c)
        self.vapour = min(self.vapour, limit)
