"""When somebody is there to do what a planned start asks for. Light: what only looks at plans needs it."""

from daemon.hours import Span, next_attended
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

WATER_S = DAY_S  # tap water stands as long before it is used


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
