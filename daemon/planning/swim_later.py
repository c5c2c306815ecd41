"""The first lesson after one for which it is too late in which animals can swim already."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from daemon.hours import Span, is_attended, local_time, moment
from daemon.planning.start import StartGround, StartOption
from daemon.planning.start_ways import swimming_plan
from daemon.planning.wanted import AHEAD_MOST_S
from daemon.station import Station

# Days with people that are tried; whatever cannot swim after so many of them swims in none [P].
TRIED_MOST = 15


@dataclass(frozen=True, slots=True)
class LaterSwim:
    """A lesson (Unix s) and the time to set for it; `best` is None where animals swim surely in none of those
    that were tried, of which this is the last."""

    lesson: Span
    best: StartOption | None


def first_swim(
    station: Station, lesson: Span, now: int, ground_of: Callable[[Span], StartGround]
) -> LaterSwim | None:
    """The first lesson at the same hours on a later day with people; None where no such day is to come."""
    last = None
    for number, later in enumerate(_later_days(station, lesson, now), start=1):
        plan = swimming_plan(station, later, now, ground_of(later))
        last = LaterSwim(later, plan.options[0] if plan.options else None)
        if plan.options or number == TRIED_MOST:
            break
    return last


def _later_days(station: Station, lesson: Span, now: int) -> Iterator[Span]:
    local, length = local_time(lesson[0], station.timezone), lesson[1] - lesson[0]
    day = local.date()
    while True:
        day += timedelta(days=1)
        began = moment(day, local.time(), station.timezone)
        if began + length - now > AHEAD_MOST_S:
            return
        if is_attended(station, began):
            yield began, began + length
