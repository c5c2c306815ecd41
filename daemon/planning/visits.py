"""When somebody is there to do what a planned start asks for. Light: what only looks at plans needs it."""

from dataclasses import replace
from datetime import time

from daemon.hours import Span, next_attended
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import DailyHours, Station, WeeklyHours

WATER_S = DAY_S  # tap water stands as long before it is used


WAKING = DailyHours(time(7), time(21))  # where nobody's hours are known [P]


def waking_hours(station: Station) -> Station:
    """The station as if people could come on any day while they are awake."""
    return replace(station, attended=(WeeklyHours(frozenset(range(7)), WAKING),), away=())


def with_hours(station: Station) -> Station:
    """The station, with waking hours where its file names no hours; days away stay."""
    return station if station.attended else replace(waking_hours(station), away=station.away)


def water_visit(station: Station, now: int, set_at: int) -> Span:
    """When tap water is put up to stand a day before the cysts are set; not before `now`."""
    return visit(station, max(now, set_at - WATER_S - HOUR_S), set_at)


def visit(station: Station, at: int, before: int | None) -> Span:
    """The next half hour from a moment on at which somebody is there, and before another one."""
    there = next_attended(station, at)
    began = at if there is None else there
    if before is not None:
        began = min(began, before)
    return began, began + HOUR_S // 2
