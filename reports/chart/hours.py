"""A span by the local clock, also where that changes: full hours, midnights, moments in words."""

from datetime import UTC, datetime, timedelta, tzinfo

from reports import times

# A day of 25 hours has one hour twice; in a week and a bit every weekday comes once.
_CLOCK_TELLS, _WEEKDAY_TELLS = timedelta(hours=25), timedelta(days=7)


def local_hours(began: datetime, ended: datetime, zone: tzinfo) -> list[datetime]:
    """Every full local hour from one moment to another, both included, in UTC: one that comes twice is there
    twice, one that is skipped is not."""
    first = began.astimezone(zone).replace(minute=0, second=0, microsecond=0).astimezone(UTC)
    count = int((ended - first) / timedelta(hours=1)) + 1
    return [at for n in range(count) if began <= (at := first + timedelta(hours=n)) <= ended]


def midnights(began: datetime, ended: datetime, zone: tzinfo) -> list[datetime]:
    """Those of them at which a day begins."""
    return [at for at in local_hours(began, ended, zone) if at.astimezone(zone).hour == 0]


def said_within(at: datetime, began: datetime, ended: datetime, zone: tzinfo) -> str:
    """A moment of a span in as few words as tell it from others: "14:30", "Sat 14:30", "Sat 16 Jan 14:30"."""
    local, whole = at.astimezone(zone), ended - began
    if whole <= _CLOCK_TELLS and began <= at <= ended:
        return times.clock(local)
    if whole <= _WEEKDAY_TELLS:
        return times.short_moment(local)
    return f"{times.short_day(local)} {times.clock(local)}"
