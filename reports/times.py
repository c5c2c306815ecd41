"""Plain words for moments, ranges of moments and durations, in local time."""

from datetime import UTC, datetime, timedelta

from reports.records import Span, TimeRange

# What is believed of a moment is never known to the minute, so a believed moment is told in half hours.
_BELIEVED_STEP_S = 1800

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
# Own names: strftime would follow the locale.
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_NAMED_DAYS = {-1: "yesterday", 0: "today", 1: "tomorrow"}


def many(count: int, one: str, more: str | None = None) -> str:
    """ "1 alarm", "2 alarms"."""
    return f"{count} {one if count == 1 else (more or one + 's')}"


def times(count: int) -> str:
    """ "once", "twice", "3 times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def duration(length: timedelta) -> str:
    """ "3 hours", "1 hour 30 minutes", "2 days 4 hours"; two steps at most."""
    minutes = int(length.total_seconds() // 60)
    if minutes < 1:
        return "less than a minute"
    days, hours, rest = minutes // 1440, minutes % 1440 // 60, minutes % 60
    told = [many(days, "day")] if days else []
    told += [many(hours, "hour")] if hours else []
    told += [many(rest, "minute")] if rest and not days else []
    return " ".join(told)


def elapsed(began: datetime, ended: datetime) -> timedelta:
    """Real time between two moments, also across a change of the clocks."""
    return ended.astimezone(UTC) - began.astimezone(UTC)


def clock(at: datetime) -> str:
    """ "14:30"."""
    return f"{at.hour:02d}:{at.minute:02d}"


def day(at: datetime, now: datetime) -> str:
    """ "today", "tomorrow", "Saturday 16 January"; with the year where it is another."""
    at = at.astimezone(now.tzinfo)
    named = _NAMED_DAYS.get((at.date() - now.date()).days)
    year = "" if at.year == now.year else f" {at.year}"
    return named or f"{_WEEKDAYS[at.weekday()]} {at.day} {_MONTHS[at.month - 1]}{year}"


def moment(at: datetime, now: datetime) -> str:
    """ "today at 14:30", "Saturday 16 January at 14:30", in the local time of `now`."""
    return f"{day(at, now)} at {clock(at.astimezone(now.tzinfo))}"


def full_moment(at: datetime) -> str:
    """ "Friday 15 January 2027 at 22:10"."""
    return f"{_WEEKDAYS[at.weekday()]} {at.day} {_MONTHS[at.month - 1]} {at.year} at {clock(at)}"


def short_day(at: datetime) -> str:
    """ "Fri 15 Jan"."""
    return f"{_WEEKDAYS[at.weekday()][:3]} {at.day} {_MONTHS[at.month - 1][:3]}"


def short_moment(at: datetime) -> str:
    """ "Fri 14:30"."""
    return f"{_WEEKDAYS[at.weekday()][:3]} {clock(at)}"


def hours(span: Span) -> str:
    """ "18:00 to 07:00"."""
    return f"{clock(span.began)} to {clock(span.ended)}"


def believed_moment(at: datetime) -> datetime:
    """A believed moment, rounded to the half hour it can be known to."""
    rounded_s = round(at.timestamp() / _BELIEVED_STEP_S) * _BELIEVED_STEP_S
    return datetime.fromtimestamp(rounded_s, UTC).astimezone(at.tzinfo)


def moment_range(believed: TimeRange, now: datetime) -> str:
    """ "between today at 22:00 and tomorrow at 03:00, most likely …"; says what is later than can be told."""
    ends = (believed.p10, believed.p50, believed.p90)
    early, likely, late = (None if at is None else moment(believed_moment(at), now) for at in ends)
    if early is None:
        return "later than can be told"
    if likely is None:
        return f"not before {early}; how much later cannot be told"
    if late is None:
        return f"not before {early}, most likely {likely}; it may be later than can be told"
    if early == late:
        return f"about {likely}"
    days = {told.rpartition(" at ")[0] for told in (early, likely, late)}
    if len(days) == 1:
        early, likely, late = (told.rpartition(" at ")[2] for told in (early, likely, late))
        return f"{days.pop()} between {early} and {late}, most likely {likely}"
    return f"between {early} and {late}, most likely {likely}"
