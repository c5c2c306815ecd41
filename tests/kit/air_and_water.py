"""Vessels in random rooms and their thermometers, in the water and out of it. Test-only.

The room is the one of `other_physics`. A vessel here loses heat by radiation (T⁴), by free convection
(ΔT^5/4) and by evaporation at a psychrometer's rate, is warmed by a lamp, the sun or a thermostat's heater,
and cooled by bubbles that leave it saturated. Nothing is imported from the judge or from the rehearsals'
world, and no vessel has one lag. Figures are judgements, no source, but for those marked.
"""

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.kit.other_physics import (
    DAY,
    HOUR,
    LATENT_J_PER_G,
    MONDAY,
    NEVER,
    STEFAN_BOLTZMANN,
    Room,
    saturated_pa,
)

KINDS = ("tray", "jar", "cone", "lidded", "unlit")
STEP_S = 60
_PSYCHROMETER_PA_PER_K = 66.0  # at sea level [M]


@dataclass(frozen=True, slots=True)
class Seen:
    """What both thermometers show at a moment, and whether the water's hangs in air then."""

    at: int
    water_c: float
    room_c: float
    in_air: bool


class Vat:
    """One vessel of a kind, its content and its place, drawn at random."""

    def __init__(self, kind: str, seed: int, room: Room) -> None:
        rng = self._rng = random.Random(f"vat {kind} {seed}")
        self._room = room
        self.mark_ml = rng.uniform(*{"jar": (600, 1200), "cone": (1500, 3000)}.get(kind, (150, 400)))
        self._ml = self.mark_ml
        side_m = (self.mark_ml * 1e-6) ** (1 / 3)
        self._area_m2, self._top_m2 = 5.5 * side_m**2, side_m**2
        self._open = 0.03 if kind == "lidded" else rng.uniform(0.3, 1.0)
        lamps = ((18.0, 31.0), (7.0, 19.0), (0.0, 24.0), (6.0, 22.0))
        self.lamp_h = (0.0, 0.0) if kind == "unlit" else rng.choices(lamps, (35, 35, 10, 20))[0]
        # What a lamp gives, as the lift that it would bring in the end: an LED hardly any.
        self._lamp_w = rng.choice((rng.uniform(0.3, 1.0), rng.uniform(1.0, 5.0))) * 10.0 * self._area_m2
        self._sun_w = rng.uniform(10.0, 60.0) * self._top_m2 if room.sunny else 0.0
        self._heater_c = rng.uniform(25.5, 28.0) if kind == "cone" else None
        self._heater_w, self._heats = 25.0, False
        self._air_l_per_min = rng.uniform(0.3, 3.0) if kind == "cone" else 0.0
        self._troubles(rng)
        self.water_c = room.air_c

    def _troubles(self, rng: random.Random) -> None:
        """What plain weeks hold besides: a lamp that fails, a timer set wrong, a lid on or off."""
        self._fails_at = MONDAY + rng.uniform(0.0, 7.0) * DAY if rng.random() < 0.15 else math.inf
        self._timer_h = rng.choice((0.0, 0.0, 0.0, 0.0, 0.0, 0.25, -1.0, 2.0))
        self._lid_at = MONDAY + rng.uniform(0.0, 7.0) * DAY if rng.random() < 0.15 else math.inf
        self._tap_c = rng.uniform(8.0, 20.0) if rng.random() < 0.8 else rng.uniform(24.0, 34.0)

    def lit(self, at: int) -> bool:
        """Whether the lamp's hours say that it is lit."""
        begins, ends = self.lamp_h
        clock_h = at % DAY / HOUR
        return begins <= clock_h < ends or begins <= clock_h + 24.0 < ends

    def burns(self, at: int) -> bool:
        """Whether it does burn."""
        return at < self._fails_at and self.lit(at - round(self._timer_h * HOUR))

    def live(self, at: int) -> None:
        """The minute that ends at `at`; once in two mornings somebody fills up with tap water."""
        if at >= self._lid_at:
            self._open, self._lid_at = (0.03 if self._open > 0.1 else 0.6), math.inf
        lost_ml = self._evaporated_w() * STEP_S / LATENT_J_PER_G
        net_w = self._gained_w(at) - self._lost_w() - self._evaporated_w()
        self.water_c += net_w * STEP_S / (60.0 + 4.1 * self._ml)
        self._ml = max(0.5 * self.mark_ml, self._ml - lost_ml)
        if at % DAY == 9 * HOUR and self._rng.random() < 0.5:
            poured_ml = self.mark_ml - self._ml
            self.water_c += (self._tap_c - self.water_c) * poured_ml / self.mark_ml
            self._ml = self.mark_ml

    def _gained_w(self, at: int) -> float:
        gained_w = (self._lamp_w if self.burns(at) else 0.0) + self._sun_w * self._room.sun
        if self._heater_c is not None:
            swing_k = 0.15 if self._heats else -0.15
            self._heats = self.water_c < self._heater_c + swing_k
            gained_w += self._heater_w if self._heats else 0.0
        return gained_w

    def _lost_w(self) -> float:
        above_k = self.water_c - self._room.air_c
        radiated = 0.95 * STEFAN_BOLTZMANN
        radiated *= (self.water_c + 273.15) ** 4 - (self._room.air_c + 273.15) ** 4
        # 1.42(ΔT/L)^¼ for a side of 7 cm: common engineering practice
        convected: float = 2.76 * abs(above_k) ** 0.25 * above_k
        bubbled = self._air_l_per_min / 60.0 * 1.2  # W/K: a litre of air takes 1.2 J/K
        return self._area_m2 * (radiated + convected) + bubbled * above_k

    def _evaporated_w(self) -> float:
        lacking_pa = max(0.0, 0.98 * saturated_pa(self.water_c) - self._room.vapour_pa)
        surface_w = 3.0 * self._top_m2 * self._open * lacking_pa / _PSYCHROMETER_PA_PER_K
        return surface_w + self._air_l_per_min / 60.0 * 1.2 * lacking_pa / _PSYCHROMETER_PA_PER_K


class Capsule:
    """The vessel's thermometer and the room's: where they hang, how they err, how quickly they follow."""

    def __init__(self, seed: int, room: Room) -> None:
        rng = self._rng = random.Random(f"capsule {seed}")
        self._lag_min = rng.uniform(1.0, 4.0)
        self._room_lag_min = rng.uniform(1.0, 15.0)
        self._offset_k, self._room_offset_k = rng.gauss(0.0, 0.15), rng.gauss(0.0, 0.15)
        # Under a lamp or in the sun a bare capsule stands above the air.
        self._lamp_k = rng.choice((0.0, rng.uniform(0.1, 3.0)))
        self._sun_k = rng.uniform(0.5, 3.0) if room.sunny else 0.0
        self._draught_k = rng.uniform(0.02, 0.15)
        self._elsewhere_k = self._draught = 0.0
        self._bare_c = self._room_c = room.air_c

    def live(self, room: Room, vat: Vat, at: int, *, in_air: bool) -> None:
        """The minute that ends at `at`."""
        rng = self._rng
        self._elsewhere_k += -self._elsewhere_k / 180.0 + 0.1 * math.sqrt(2.0 / 180.0) * rng.gauss(0.0, 1.0)
        self._draught += -self._draught / 5.0 + self._draught_k * math.sqrt(2.0 / 5.0) * rng.gauss(0.0, 1.0)
        there_c = room.air_c + self._elsewhere_k + self._sun_k * room.sun
        there_c += self._lamp_k if vat.burns(at) else 0.0
        pace = 1.0 - math.exp(-1.0 / self._lag_min)
        self._bare_c = self._bare_c + pace * (there_c - self._bare_c) if in_air else vat.water_c
        self._room_c += (1.0 - math.exp(-1.0 / self._room_lag_min)) * (room.air_c - self._room_c)

    def seen(self, at: int, *, in_air: bool) -> Seen:
        """What is shown: sixteenths of a degree in the water, hundredths in the room, with noise."""
        water_c = self._bare_c + (self._draught if in_air else 0.0) + self._offset_k
        water_c += self._rng.gauss(0.0, 0.02)
        room_c = self._room_c + self._room_offset_k + self._rng.gauss(0.0, 0.03)
        return Seen(at, round(water_c * 16) / 16, round(room_c, 2), in_air)


@dataclass(frozen=True, slots=True)
class Course:
    """A vessel, its thermometer and some days of both; `out_h` are hours in the air, from the begin."""

    kind: str
    seed: int
    days: int = 7
    out_h: tuple[float, float] | None = None

    def told(self) -> tuple[float, Callable[[int], bool], Iterator[Seen]]:
        """What the vessel holds (mL), whether its lamp is to be lit, and what is seen each minute."""
        room = Room(self.seed, fails=NEVER)
        for at in range(MONDAY - 2 * DAY, MONDAY, STEP_S * 5):
            room.live(at, STEP_S * 5)
        vat = Vat(self.kind, self.seed, room)
        return vat.mark_ml, vat.lit, self._minutes(room, vat)

    def _minutes(self, room: Room, vat: Vat) -> Iterator[Seen]:
        capsule = Capsule(self.seed, room)
        out = self.out_h or (math.inf, math.inf)
        for at in range(MONDAY, MONDAY + self.days * DAY, STEP_S):
            room.live(at, STEP_S)
            vat.live(at)
            in_air = out[0] <= (at - MONDAY) / HOUR < out[1]
            capsule.live(room, vat, at, in_air=in_air)
            yield capsule.seen(at, in_air=in_air)
