"""A simple room with cups in it, for histories: first-order lags and nothing else. Test-only.

No law is shared with the estimators or with the rehearsals: the room falls towards the weather and is held
up by a thermostat with a night set-back, water follows room, lamp, sun and heater with one lag, and water
leaves at a rate drawn once. All figures are drawn from wide spans; none has a source, nor needs one: the
histories are for what is said, not for how well it is believed.
"""

import math
import random
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from daemon.station import DailyHours, Vessel

HOUR_S, DAY_S = 3600, 86_400


def in_hours(hours: DailyHours, local: datetime) -> bool:
    """Whether a local time lies in daily hours, also past midnight."""
    now, begins, ends = local.time(), hours.begins, hours.ends
    return begins <= now < ends if begins < ends else now >= begins or now < ends


class Room:
    """Air, weather, sun and heating."""

    def __init__(self, rng: random.Random, zone: ZoneInfo, begins: int, ends: int) -> None:
        self._rng, self._zone = rng, zone
        self._outside_c, self._swing_k = rng.choice((-2.0, 5.0, 10.0, 18.0, 27.0)), rng.uniform(2.0, 6.0)
        self._day_c, self._night_c = rng.uniform(20.0, 23.5), rng.choice((22.0, 20.0, 17.0, 14.0))
        self._weekend = rng.random() < 0.5
        self._lag_h, self._power_k_per_h = rng.uniform(8.0, 40.0), rng.uniform(0.7, 2.0)
        self._humid_pct = rng.uniform(30.0, 60.0)
        self._sunny = {day: rng.random() < 0.5 for day in range(12)}
        self._began = begins
        self.fails = _stretch(rng, begins, ends, 0.3, (6.0, 60.0))
        self.sunny_place = rng.random() < 0.35
        self.air_c, self.sun, self.humid_pct = max(self._outside_c, self._day_c), 0.0, self._humid_pct
        self.clock = datetime.fromtimestamp(begins, zone)

    def live(self, at: int, step_s: int) -> None:
        """Let the step up to `at` pass."""
        self.clock = datetime.fromtimestamp(at, self._zone)
        hour = self.clock.hour + self.clock.minute / 60
        outside_c = self._outside_c + self._swing_k * math.sin(2 * math.pi * (hour - 9) / 24)
        shines = self._sunny[(at - self._began) // DAY_S % 12]
        self.sun = max(0.0, math.sin(math.pi * (hour - 11) / 6)) if shines and 11 <= hour <= 17 else 0.0
        school = self.clock.weekday() < 5 or not self._weekend
        wanted_c = self._day_c if school and 6 <= hour < 16 else self._night_c
        share = step_s / HOUR_S
        self.air_c += (outside_c - self.air_c) * (1 - math.exp(-share / self._lag_h)) + 0.3 * share * self.sun
        if not self.fails[0] <= at < self.fails[1]:
            self.air_c = max(self.air_c, min(wanted_c, self.air_c + self._power_k_per_h * share))
        drift = self._rng.gauss(0.0, 0.4) + 0.02 * (self._humid_pct - self.humid_pct)
        self.humid_pct = min(90.0, max(15.0, self.humid_pct + drift))


@dataclass
class Content:
    """What a vessel holds: how far the water is below the mark, its salt, and its warmth."""

    loss_ml: float = 0.0
    salt_g: float = 0.0
    holds: bool = False


class Cup:
    """One vessel in the room."""

    def __init__(self, rng: random.Random, vessel: Vessel, begins: int, ends: int) -> None:
        self._rng, self.vessel = rng, vessel
        self._lag_h = (vessel.mark_ml / 250.0) ** 0.4 * rng.uniform(1.5, 3.5)
        self._below_k, self._lamp_k = rng.uniform(0.2, 1.5), rng.uniform(1.5, 6.0)
        self._sun_k = rng.choice((0.0, 3.0, 8.0, 16.0))
        drawn_c = 27.0 if vessel.kind == "cone" and rng.random() < 0.6 else None
        self.heater_c = getattr(vessel, "heater_c", None) or drawn_c
        bubbles = 1.6 if vessel.kind == "cone" else 1.0
        self._ml_per_h = vessel.surface_cm2 * rng.uniform(0.03, 0.3) * bubbles / 24
        self.content = Content()
        self._lamp_lux, self._day_lux = rng.uniform(600.0, 3000.0), rng.choice((30.0, 120.0, 600.0))
        self._lamp_dark = _stretch(rng, begins, ends, 0.3, (5.0, 70.0))
        self._lamp_stays = _stretch(rng, begins, ends, 0.2, (5.0, 70.0))
        self.water_c, self.lux = 0.0, 0.0

    def live(self, at: int, step_s: int, room: Room) -> None:
        """Let the step up to `at` pass."""
        if not self.water_c:
            self.water_c = room.air_c
        timer = any(in_hours(hours, room.clock) for hours in self.vessel.lamp)
        stays = bool(self.vessel.lamp) and self._lamp_stays[0] <= at < self._lamp_stays[1]
        lit = (timer and not self._lamp_dark[0] <= at < self._lamp_dark[1]) or stays
        hour = room.clock.hour + room.clock.minute / 60
        day = max(0.0, math.sin(math.pi * (hour - 7) / 12)) * self._day_lux
        self.lux = max(0.0, day * (1 + 3 * room.sun) + self._lamp_lux * lit) * self._rng.gauss(1.0, 0.02)
        sun_k = self._sun_k * room.sun * room.sunny_place
        aims_c = room.air_c - self._below_k + self._lamp_k * lit + sun_k
        if self.heater_c is not None:
            aims_c = max(aims_c, self.heater_c)
        self.water_c += (aims_c - self.water_c) * (1 - math.exp(-step_s / HOUR_S / self._lag_h))
        if self.content.loss_ml < self.vessel.mark_ml:
            dry = (1.2 - room.humid_pct / 100) * (1 + 0.05 * (self.water_c - 22))
            self.content.loss_ml += self._ml_per_h * max(0.2, dry) * step_s / HOUR_S


@dataclass
class Probe:
    """How a probe fails: absent for long, now and then garbled, in the air, stuck at one value."""

    rng: random.Random
    begins: int
    ends: int
    in_water: bool = False
    absent: tuple[int, int] = field(init=False)
    in_air: tuple[int, int] = field(init=False)
    stuck: tuple[int, int] = field(init=False)
    garbled: float = field(init=False)
    offset: float = field(init=False)
    _stuck_at: float | None = None

    def __post_init__(self) -> None:
        span = self.rng, self.begins, self.ends
        self.absent = _stretch(*span, 0.18, self.rng.choice(((0.3, 6.0), (10.0, 100.0))))
        self.in_air = _stretch(*span, 0.2 if self.in_water else 0.0, (5.0, 150.0))
        self.stuck = _stretch(*span, 0.06 if self.in_water else 0.0, (10.0, 60.0))
        self.garbled = self.rng.choice((0.0, 0.0, 0.002, 0.02))
        self.offset = self.rng.gauss(0.0, 0.1)

    def reads(self, at: int, true: float, air: float) -> tuple[float | None, str]:
        """A value, or None and the fault's name."""
        if self.absent[0] <= at < self.absent[1]:
            return None, "absent"
        if self.rng.random() < self.garbled:
            return None, "crc"
        if self.in_air[0] <= at < self.in_air[1]:
            true = air
        if not self.stuck[0] <= at < self.stuck[1]:
            self._stuck_at = None
        elif self._stuck_at is None:
            self._stuck_at = true
        return (self._stuck_at if self._stuck_at is not None else true), ""


def _stretch(
    rng: random.Random, begins: int, ends: int, chance: float, hours: tuple[float, float]
) -> tuple[int, int]:
    """A stretch somewhere in the history, with that chance; else an empty one."""
    if rng.random() >= chance:
        return 0, 0
    began = rng.randrange(begins, ends)
    return began, began + round(rng.uniform(*hours) * HOUR_S)
