"""The simulated room's calendar: who is there and when a lamp should burn, by the station's own hours."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from daemon.station import DailyHours, Station


def within(hours: Iterable[DailyHours], local: datetime) -> bool:
    """Whether a local time lies in one of the daily hours, also past midnight."""
    now = local.time()
    for span in hours:
        if span.begins < span.ends:
            if span.begins <= now < span.ends:
                return True
        elif now >= span.begins or now < span.ends:
            return True
    return False


def attended(station: Station, local: datetime) -> bool:
    """Whether someone is in the room: in the weekly hours, on a day that is not away."""
    day = local.date()
    if any(span.first <= day <= span.last for span in station.away):
        return False
    return any(_in_week(week.weekdays, week.hours, local) for week in station.attended)


def _in_week(weekdays: frozenset[int], hours: DailyHours, local: datetime) -> bool:
    now = local.time()
    if hours.begins < hours.ends:
        return local.weekday() in weekdays and hours.begins <= now < hours.ends
    if now >= hours.begins:
        return local.weekday() in weekdays
    return (local - timedelta(days=1)).weekday() in weekdays and now < hours.ends
