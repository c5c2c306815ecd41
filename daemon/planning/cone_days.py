"""Nauplii every day: when each cone is set so that its harvest falls at a wanted hour."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from math import ceil

from daemon.estimates.quantile import Estimate
from daemon.hours import attended_spans, is_attended, local_day, moment
from daemon.planning.cone import OPENS_AT, ConeHatch
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

STEP_S = 1800
SETTING_S = 900  # so long before people leave it is begun at the latest [P]
CLEANING_S = HOUR_S  # a cone is emptied, rinsed and filled anew [P]
LONGEST_H = 96
WORTH = 0.5  # of the best chance: a harvest that meets its window less often is none [P]
DAYS = 7
_HALF_A_PERCENT = 0.005


@dataclass(frozen=True, slots=True)
class DailyRhythm:
    """Where somebody is always there: set a cone so many hours before each harvest, in turn."""

    after_h: float
    chance: float
    out: Estimate
    cones: int


@dataclass(frozen=True, slots=True)
class DailyHarvest:
    """A day's harvest at `at`, set at `set_at` (Unix s; None where nobody is there in time, or then).

    `attended` says whether somebody is there at the hour; `cone` counts from 1.
    """

    day: date
    attended: bool
    at: int
    set_at: int | None = None
    cone: int = 0
    chance: float = 0.0
    out: Estimate | None = None

    @property
    def is_open(self) -> bool:
        """Whether nine in ten have most likely hatched by then, as whole percents say it."""
        return self.out is not None and self.out.p50 >= OPENS_AT - _HALF_A_PERCENT


def daily_rhythm(hatch: ConeHatch) -> DailyRhythm:
    """The hours from setting to harvest that meet the window most often, in half hours."""
    half_hours = range(2, 2 * LONGEST_H)
    best = max(half_hours, key=lambda half: (round(hatch.chance_open(half / 2.0), 6), -half))
    after_h = best / 2.0
    cones = ceil((after_h * HOUR_S + CLEANING_S) / DAY_S)
    return DailyRhythm(after_h, hatch.chance_open(after_h), hatch.out_after(after_h), cones)


def daily_harvests(hatch: ConeHatch, station: Station, clock: time, now: int) -> list[DailyHarvest]:
    """A week of harvests at a local hour, from the first day on that can still be set for (now: Unix s)."""
    best = daily_rhythm(hatch).chance
    first = local_day(now, station.timezone)
    days = [_day(hatch, station, first + timedelta(days=n), clock, now, best) for n in range(2 * DAYS)]
    begins = next((n for n, one in enumerate(days) if one.set_at is not None), None)
    return [] if begins is None else _with_cones(days[begins : begins + DAYS])


def cones_of(harvests: Sequence[DailyHarvest]) -> int:
    """How many cones they take."""
    return max((one.cone for one in harvests), default=0)


def _day(hatch: ConeHatch, station: Station, day: date, clock: time, now: int, best: float) -> DailyHarvest:
    at = moment(day, clock, station.timezone)
    if not is_attended(station, at):
        return DailyHarvest(day, attended=False, at=at)
    chances = [(hatch.chance_open((at - set_at) / HOUR_S), set_at) for set_at in _set_times(station, at, now)]
    chance, set_at = max(chances, default=(0.0, 0))
    if chance < WORTH * best:
        return DailyHarvest(day, attended=True, at=at)
    return DailyHarvest(day, True, at, set_at, 0, chance, hatch.out_after((at - set_at) / HOUR_S))


def _set_times(station: Station, at: int, now: int) -> list[int]:
    """Every half hour before a harvest in which somebody is there to set a cone."""
    begins = max(now, at - LONGEST_H * HOUR_S)
    if begins >= at:
        return []
    return [
        set_at
        for began, ended in attended_spans(station, begins, at)
        for set_at in range(-(-began // STEP_S) * STEP_S, ended - SETTING_S + 1, STEP_S)
    ]


def _with_cones(harvests: Sequence[DailyHarvest]) -> list[DailyHarvest]:
    """Each in the first cone that is empty and clean when it is set."""
    free_at: list[int] = []
    found = []
    for one in harvests:
        if one.set_at is None:
            found.append(one)
            continue
        cone = next((n for n, at in enumerate(free_at) if at <= one.set_at), len(free_at))
        free_at[cone : cone + 1] = [one.at + CLEANING_S]
        found.append(replace(one, cone=cone + 1))
    return found
