"""A window sill in `other_physics` where sunny and grey days come in any order, and the belief that follows.

A day is clear or not by a chain: like the day before it two times in three, by and large what "the weather is
as yesterday" is worth [P]. Its clearness is drawn anew each day, and its sun moves as in `other_physics`.
"""

import random
from dataclasses import dataclass

from daemon.alarms.conditions import cold_ahead, hot_ahead
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from tests.kit.other_people import Probes
from tests.kit.other_physics import DAY, HOUR, MONDAY, NEVER, Cup, Room, Size
from tests.kit.station import tray
from tests.kit.weekends import Shelf

STEP_S = 600
AS_BEFORE = 0.65
ASKED_EVERY_H = 2
LAMPLESS = (0.0, 0.0)
NIGHT_H = 6  # a day is counted from then
GREY, SUNNY = 0.3, 0.7  # days less clear than that, and clearer
# Cold is foreseen in the four hours before people go, for the hours until they come again.
COLD_FROM_H, LEAVE_S, BACK_S = 12, 31 * HOUR // 2, DAY + 8 * HOUR
NEVER_BY_K = 1.0  # so far below the coldest water that came lies the limit


@dataclass(frozen=True, slots=True)
class Asked:
    """One question: the hottest and the coldest of the coming hours, as believed and as they came, °C."""

    hours: int
    day: int
    clock_h: int
    clear: float
    clear_before: float
    low_c: float
    middle_c: float
    high_c: float
    truth_c: float
    coldest: Estimate
    coldest_c: float

    @property
    def grey_after_sun(self) -> bool:
        """Whether the sun of the day before is missing today."""
        return self.clear < GREY and self.clear_before > SUNNY

    @property
    def far_too_cold(self) -> bool:
        """Whether what comes is a kelvin warmer than nine in ten were said to be colder than."""
        return self.coldest.p90 < self.coldest_c - 1.0


@dataclass(frozen=True, slots=True)
class Warned:
    """A day: at which hour heat was first foreseen, and at which the water first passed the limit.

    `cold_h` is when cold was first foreseen, in vain: its limit lies below all water that ever came.
    """

    warned_h: float | None
    passed_h: float | None
    cold_h: float | None
    grey_after_sun: bool


def clear_days(seed: int, days: int) -> list[float]:
    """How clear each day is, 0 to 1."""
    rng, sunny, found = random.Random(f"sky {seed}"), True, []
    for _ in range(days):
        sunny = sunny if rng.random() < AS_BEFORE else not sunny
        found.append(rng.uniform(0.75, 1.0) if sunny else rng.uniform(0.0, 0.25))
    return found


def _sill(seed: int) -> tuple[Room, Cup]:
    room = Room(seed, fails=NEVER)
    room.sunny = True
    cup = Cup(seed, Size(), room)
    cup.lamp_h = LAMPLESS
    return room, cup


def sunny_room(seed: int, days: int, clear: list[float] | None = None) -> tuple[list[Asked], list[Warned]]:
    """So many days; the limit is what three in ten of its days pass."""
    clear = clear_days(seed, days + 2) if clear is None else clear
    water_c = _lived(seed, days + 2, clear)
    tops = sorted(max(water_c[d * 144 : (d + 1) * 144]) for d in range(1, days))
    limit_c = tops[int(0.7 * len(tops))] - 0.3
    vessel = tray(hot_c=limit_c, cold_c=min(water_c) - NEVER_BY_K)
    belief = VesselBelief(tray(), STEP_S, calendar=Shelf(LAMPLESS))
    probes, (room, cup) = Probes(seed), _sill(seed)
    asked: list[Asked] = []
    foreseen: dict[int, float] = {}
    feared: dict[int, float] = {}
    for step in range(days * 144):
        at = MONDAY + (step + 1) * STEP_S
        _live(room, cup, at, clear)
        reading = probes.read(at, cup, room).get("water_c")
        if reading is not None:
            belief.feed_reading(at, "water_c", reading)
        if at % HOUR or (at - MONDAY) < 2 * DAY:
            continue
        day, clock_h = (at - MONDAY) // DAY, at % DAY // HOUR
        if clock_h >= NIGHT_H and water_c[step] <= limit_c and day not in foreseen:
            ahead = belief.hottest_c(at, at + 8 * HOUR, at)
            if hot_ahead(ahead, vessel, attended=True).beyond:
                foreseen[day] = clock_h
        midnight = at - at % DAY
        if COLD_FROM_H <= clock_h <= LEAVE_S // HOUR and day not in feared:
            ahead = belief.coldest_c(midnight + LEAVE_S, midnight + BACK_S, at)
            if cold_ahead(ahead, vessel).beyond:
                feared[day] = clock_h
        if clock_h % ASKED_EVERY_H == 0:
            for hours in (8, 16):
                found = belief.hottest_c(at, at + hours * HOUR, at)
                believed = (found.p10, found.p50, found.p90)
                comes = water_c[step : step + 6 * hours + 1]
                coldest = belief.coldest_c(at, at + hours * HOUR, at)
                sky = (clear[day], clear[day - 1])
                asked.append(Asked(hours, day, clock_h, *sky, *believed, max(comes), coldest, min(comes)))
    days_seen = []
    for day in range(2, days):
        grey = clear[day] < GREY and clear[day - 1] > SUNNY
        warned_h, passed_h = _day(day, water_c, limit_c, foreseen.get(day))
        days_seen.append(Warned(warned_h, passed_h, feared.get(day), grey))
    return asked, days_seen


def _day(
    day: int, water_c: list[float], limit_c: float, warned_h: float | None
) -> tuple[float | None, float | None]:
    hours = range(NIGHT_H * 6, 144)
    passed = next((n / 6 for n in hours if water_c[day * 144 + n] > limit_c), None)
    late = warned_h is not None and passed is not None and warned_h >= passed
    return None if late else warned_h, passed


def _lived(seed: int, days: int, clear: list[float]) -> list[float]:
    room, cup = _sill(seed)
    found = []
    for step in range(days * 144):
        _live(room, cup, MONDAY + (step + 1) * STEP_S, clear)
        found.append(cup.water_c)
    return found


def _live(room: Room, cup: Cup, at: int, clear: list[float]) -> None:
    room._clear = clear[min(len(clear) - 1, (at - MONDAY) // DAY)]
    room.live(at, STEP_S)
    if at % DAY == 0:
        room._clear = clear[min(len(clear) - 1, (at - MONDAY) // DAY)]
    cup.live(at, STEP_S)
    if cup.loss_ml > 60.0:
        cup.loss_ml = 0.0
