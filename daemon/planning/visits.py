"""When somebody is there to do what a planned start asks for. Light: what only looks at plans needs it."""

from dataclasses import replace
from datetime import time

from daemon.hours import Span, attended_spans, next_attended
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import DailyHours, Station, WeeklyHours

WATER_S = DAY_S  # tap water stands as long before it is used
# A little less is a day too, and over a long weekend it may stand covered [P].
STANDS_LEAST_S, STANDS_MOST_S = 20 * HOUR_S, 6 * DAY_S
VISIT_S = HOUR_S // 2

WAKING = DailyHours(time(7), time(21))  # where nobody's hours are known [P]


def waking_hours(station: Station) -> Station:
    """The station as if people could come on any day while they are awake."""
    return replace(station, attended=(WeeklyHours(frozenset(range(7)), WAKING),), away=())


def with_hours(station: Station) -> Station:
    """The station, with waking hours where its file names no hours; days away stay."""
    return station if station.attended else replace(waking_hours(station), away=station.away)


def water_visit(station: Station, now: int, set_at: int) -> Span | None:
    """When tap water is put up so that it stands a day before the cysts are set; not before `now`.

    Where nobody is there a day before, it is as people left the last time; None where that is over, or so
    long before that water does not stand as long.
    """
    day_before = visit(station, max(now, set_at - WATER_S - HOUR_S), None)
    if day_before[0] <= set_at - STANDS_LEAST_S:
        return day_before
    earlier = attended_spans(station, max(now, set_at - STANDS_MOST_S), set_at - STANDS_LEAST_S)
    if not earlier:
        return None
    began, leaves = earlier[-1]
    began = max(began, leaves - VISIT_S)
    return began, began + VISIT_S


def visit(station: Station, at: int, before: int | None) -> Span:
    """The next half hour from a moment on at which somebody is there, and before another one."""
    there = next_attended(station, at)
    began = at if there is None else there
    if before is not None:
        began = min(began, before)
    return began, began + VISIT_S
