"""What would do where a daily harvest falls before it is open: another hour, or warmer water."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import time

from daemon.planning.cone import ConeHatch, ConeWish, hatch_of
from daemon.planning.cone_days import DailyHarvest, daily_harvests
from daemon.seconds import DAY_S
from daemon.station import Station

WARMEST_C = 30.0  # FAO 428 has 25 to 30 °C as good [R]
FIRST_S = 2 * DAY_S
_DAY_H = 24


@dataclass(frozen=True, slots=True)
class Instead:
    """The nearest whole hour, and the least warm water in whole °C, at which each harvest is open; None where
    none is."""

    clock: time | None
    water_c: float | None


def instead_of(
    wish: ConeWish, hatch: ConeHatch, station: Station, clock: time, now: int, found: Sequence[DailyHarvest]
) -> Instead | None:
    """For the harvests `found` at a local hour; None where each that can be set is open by then.

    The first two days are left out: what can be set for them hangs on the hour at which it is asked.
    """
    from_s = now + FIRST_S

    def all_open(some: Sequence[DailyHarvest], needed: int = 0) -> bool:
        """Whether so many can be set, and each of those is open at its hour."""
        can = [one for one in some if one.set_at is not None and one.at >= from_s]
        return len(can) >= needed and all(one.is_open for one in can)

    if all_open(found):
        return None
    # A week that begins a day later may hold one fewer.
    needed = max(1, sum(one.set_at is not None and one.at >= from_s for one in found) - 1)
    hours = [time(hour) for hour in range(_DAY_H) if time(hour) != clock]
    hours.sort(key=lambda one: abs(_minutes(one) - _minutes(clock)))
    other = next((one for one in hours if all_open(daily_harvests(hatch, station, one, now), needed)), None)
    for water_c in range(int(wish.water_c) + 1, int(WARMEST_C) + 1):
        there = hatch_of(replace(wish, water_c=float(water_c)))
        if all_open(daily_harvests(there, station, clock, now), needed):
            return Instead(other, float(water_c))
    return Instead(other, None)


def _minutes(clock: time) -> int:
    return 60 * clock.hour + clock.minute
