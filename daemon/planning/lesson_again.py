"""A lesson that is over, once more: the same weekday and hours, on a day to come."""

from datetime import timedelta

from daemon.hours import Span, is_attended, local_day, local_time, moment
from daemon.planning.wanted import is_skipped
from daemon.seconds import DAY_S
from daemon.station import Station

WEEKS_MOST = 26  # further ahead nobody knows the timetable [P]


def lesson_again(station: Station, lesson: Span, set_at: int, now: int) -> Span | None:
    """The first such day on which somebody is there as it begins, and on which the cysts could be set as long
    before, with a day for the water; None where there is none in half a year."""
    zone, before_s = station.timezone, lesson[0] - set_at + DAY_S
    clock, day = local_time(lesson[0], zone).time(), local_day(lesson[0], zone)
    weeks_over = max(0, (local_day(now, zone) - day).days // 7)
    for week in range(weeks_over, weeks_over + WEEKS_MOST + 1):
        then = day + timedelta(days=7 * week)
        began = moment(then, clock, zone)
        if began - before_s >= now and not is_skipped(then, clock, zone) and is_attended(station, began):
            return began, began + lesson[1] - lesson[0]
    return None
