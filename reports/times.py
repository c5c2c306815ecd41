"""Plain words for moments, ranges of moments and durations, in local time."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from reports import amounts, words
from reports.language import say, say_in, say_many, say_many_in, to_say
from reports.records import LampHours, Span, TimeRange

# What is believed of a moment is never known to the minute, so a believed moment is said in half hours.
_BELIEVED_STEP_S = 1800
_WEEK_DAYS = 7
# What is known to more than that is said in days: its hours would say what nobody knows.
_KNOWN_TO_DAYS = timedelta(days=3)

# Own names: strftime would follow the locale of the process.
_WEEKDAYS = (
    *(to_say("Monday"), to_say("Tuesday"), to_say("Wednesday"), to_say("Thursday"), to_say("Friday")),
    *(to_say("Saturday"), to_say("Sunday")),
)
_MONTHS = (
    *(to_say("January"), to_say("February"), to_say("March"), to_say("April"), to_say("May"), to_say("June")),
    *(to_say("July"), to_say("August"), to_say("September"), to_say("October"), to_say("November")),
    to_say("December"),
)
SHORT_WEEKDAYS = (
    *(to_say("Mon"), to_say("Tue"), to_say("Wed"), to_say("Thu"), to_say("Fri"), to_say("Sat")),
    to_say("Sun"),
)
_NAMED_DAYS = {-1: to_say("yesterday"), 0: to_say("today"), 1: to_say("tomorrow")}


def _short_month(month: int) -> str:
    """By its number; "May" is as long as its short form, so all stand in a context."""
    return (
        say_in("short month", "Jan"),
        say_in("short month", "Feb"),
        say_in("short month", "Mar"),
        say_in("short month", "Apr"),
        say_in("short month", "May"),
        say_in("short month", "Jun"),
        say_in("short month", "Jul"),
        say_in("short month", "Aug"),
        say_in("short month", "Sep"),
        say_in("short month", "Oct"),
        say_in("short month", "Nov"),
        say_in("short month", "Dec"),
    )[month - 1]


def duration(length: timedelta) -> str:
    """ "3 hours", "1 hour 30 minutes", "2 days 4 hours"; two steps at most."""
    days, hours, minutes = _steps(length)
    if not days + hours + minutes:
        return say("less than a minute")
    parts = [say_many("{count} day", "{count} days", days)] if days else []
    return _with_hours(parts, hours, minutes)


def duration_after(length: timedelta) -> str:
    """The same as it stands after "after": other languages bend it there."""
    days, hours, minutes = _steps(length)
    if not days + hours + minutes:
        return say_in("after, ago", "less than a minute")
    parts = [say_many_in("after, ago", "{count} day", "{count} days", days)] if days else []
    return _with_hours(parts, hours, minutes)


def short_length(length: timedelta) -> str:
    """ "8 h 30 min", "15 h", "4 days"; from ten hours on in whole hours, from three days on in days."""
    minutes = round(length.total_seconds() / 60)
    if minutes >= 3 * 1440:
        return say_many("{count} day", "{count} days", round(minutes / 1440))
    if minutes >= 600:
        minutes = round(minutes / 60) * 60
    hours, rest = divmod(minutes, 60)
    parts = (say("{count} h", count=hours) if hours else "", say("{count} min", count=rest) if rest else "")
    return " ".join(part for part in parts if part) or say("{count} min", count=0)


def ago(length: timedelta) -> str:
    """ "2 days 4 hours ago"."""
    return say("{length} ago", length=duration_after(length))


def _steps(length: timedelta) -> tuple[int, int, int]:
    """Days, hours and, under a day, minutes."""
    minutes = max(int(length.total_seconds() // 60), 0)
    days, hours, rest = minutes // 1440, minutes % 1440 // 60, minutes % 60
    return days, hours, 0 if days else rest


def _with_hours(parts: list[str], hours: int, minutes: int) -> str:
    parts += [say_many("{count} hour", "{count} hours", hours)] if hours else []
    parts += [say_many("{count} minute", "{count} minutes", minutes)] if minutes else []
    return " ".join(parts)


def rough_duration(length: timedelta) -> str:
    """ "8.5 hours", "10 minutes": for what is not known to the minute, or need not be."""
    hours = round(length.total_seconds() / 1800) / 2
    if hours < 1:
        return duration(length)
    return (
        say_many("{count} hour", "{count} hours", int(hours)) if hours == int(hours) else _half_hours(hours)
    )


def _half_hours(hours: float) -> str:
    return say("{number} hours", number=amounts.number(hours, 1))


def elapsed(began: datetime, ended: datetime) -> timedelta:
    """Real time between two moments, also across a change of the clocks."""
    return ended.astimezone(UTC) - began.astimezone(UTC)


def clock(at: datetime | time) -> str:
    """ "14:30"."""
    return f"{at.hour:02d}:{at.minute:02d}"


def day(at: datetime, now: datetime) -> str:
    """ "today", "tomorrow", "Saturday 16 January"; with the year where it is another."""
    at = at.astimezone(now.tzinfo)
    named = _NAMED_DAYS.get((at.date() - now.date()).days)
    return dated(at, now) if named is None else say(named)


def dated(at: date, now: date) -> str:
    """ "Saturday 16 January", also where it is today; with the year where it is another."""
    weekday, month = say(_WEEKDAYS[at.weekday()]), say(_MONTHS[at.month - 1])
    if at.year == now.year:
        return say("{weekday} {day} {month}", weekday=weekday, day=at.day, month=month)
    return say("{weekday} {day} {month} {year}", weekday=weekday, day=at.day, month=month, year=at.year)


def weekday(at: datetime) -> str:
    """ "Saturday"."""
    return say(_WEEKDAYS[at.weekday()])


def on_day(at: datetime, now: datetime) -> str:
    """ "today", "on Saturday 16 January"."""
    named = day(at, now)
    return named if is_named(at, now) else say("on {day}", day=named)


def is_named(at: datetime, now: datetime) -> bool:
    """Whether the day has a name of its own: yesterday, today, tomorrow."""
    return (at.astimezone(now.tzinfo).date() - now.date()).days in _NAMED_DAYS


def moment(at: datetime, now: datetime) -> str:
    """ "today at 14:30", "Saturday 16 January at 14:30", in the local time of `now`."""
    return say("{day} at {clock}", day=day(at, now), clock=clock(at.astimezone(now.tzinfo)))


def on_moment(at: datetime, now: datetime) -> str:
    """ "today at 14:30", "on Saturday 16 January at 14:30"."""
    return say("{day} at {clock}", day=on_day(at, now), clock=clock(at.astimezone(now.tzinfo)))


def full_moment(at: datetime) -> str:
    """ "Friday 15 January 2027 at 22:10"."""
    long_day = say(
        "{weekday} {day} {month} {year}",
        weekday=say(_WEEKDAYS[at.weekday()]),
        day=at.day,
        month=say(_MONTHS[at.month - 1]),
        year=at.year,
    )
    return say("{day} at {clock}", day=long_day, clock=clock(at))


def month(at: date) -> str:
    """ "January 2027"."""
    return say("{month} {year}", month=say(_MONTHS[at.month - 1]), year=at.year)


def short_day(at: date) -> str:
    """ "Fri 15 Jan"."""
    weekday, month = say(SHORT_WEEKDAYS[at.weekday()]), _short_month(at.month)
    return say_in("short", "{weekday} {day} {month}", weekday=weekday, day=at.day, month=month)


def short_weekday(at: datetime) -> str:
    """ "Fri"."""
    return say(SHORT_WEEKDAYS[at.weekday()])


def short_moment(at: datetime) -> str:
    """ "Fri 14:30"."""
    return say("{weekday} {clock}", weekday=say(SHORT_WEEKDAYS[at.weekday()]), clock=clock(at))


def hours(daily: Sequence[LampHours]) -> str:
    """ "18:00 to 07:00", "07:00 to 12:00 and 13:00 to 19:00"; what ends at midnight ends at 24:00."""
    return words.joined([_hours(one) for one in daily])


def _hours(daily: LampHours) -> str:
    ended = clock(daily.ends) if daily.ends != time(0) else "24:00"
    return say_in("hours", "{began} to {ended}", began=clock(daily.begins), ended=ended)


def between(began: datetime, ended: datetime) -> str:
    """ "18:00 to 07:00", of one stretch."""
    return say_in("hours", "{began} to {ended}", began=clock(began), ended=clock(ended))


def believed_moment(at: datetime) -> datetime:
    """A believed moment, rounded to the half hour it can be known to."""
    rounded_s = round(at.timestamp() / _BELIEVED_STEP_S) * _BELIEVED_STEP_S
    return datetime.fromtimestamp(rounded_s, UTC).astimezone(at.tzinfo)


def moment_range(believed: TimeRange, now: datetime) -> str:
    """ "most likely today at 22:30 (21:00 to 23:30)"; in days where it is known to days only."""
    early, likely, late = (
        None if at is None else believed_moment(at.astimezone(now.tzinfo))
        for at in (believed.p10, believed.p50, believed.p90)
    )
    if early is None:
        return say("not known yet")
    if likely is None:
        return say("not before {early}", early=moment(early, now))
    if late is None:
        return say(
            "most likely {likely} (not before {early})",
            early=short_dated(early, now),
            likely=moment(likely, now),
        )
    if early == late:
        return say("about {value}", value=moment(likely, now))
    return _around(early, likely, late, now)


def _around(early: datetime, likely: datetime, late: datetime, now: datetime) -> str:
    middle = moment(likely, now)
    if elapsed(early, late) >= _KNOWN_TO_DAYS:
        middle, low, high = day(likely, now), short_day(early), short_day(late)
    elif early.date() == likely.date() == late.date():
        low, high = clock(early), clock(late)
    else:
        low, high = short_dated(early, now), short_dated(late, now)
    return say("most likely {likely} ({low} to {high})", likely=middle, low=low, high=high)


def short_range(believed: TimeRange, now: datetime) -> str:
    """ "Tue 14:00 to 20:00", "Tue 22:00 to Wed 04:00"; says what is later than is known."""
    ends = (None if at is None else at.astimezone(now.tzinfo) for at in (believed.p10, believed.p90))
    early, late = (None if at is None else believed_moment(at) for at in ends)
    if early is None:
        return say("not known yet")
    began = short_dated(early, now)
    if late is None:
        return say("not before {early}", early=began)
    return began if early == late else _spanned(early, late, now)


def short_span(span: Span, now: datetime) -> str:
    """ "Sat 07:40 to 19:40", "Sat 22:00 to Sun 04:00", of what is over."""
    began, ended = span.began.astimezone(now.tzinfo), span.ended.astimezone(now.tzinfo)
    return _spanned(began, ended, now)


def dated_span(span: Span) -> str:
    """ "Mon 30 Nov at 15:00 to 15:30", of any day: for lists that are kept."""
    return _spanned(span.began, span.ended, span.began - timedelta(days=2 * _WEEK_DAYS))


def _spanned(began: datetime, ended: datetime, now: datetime) -> str:
    """In other languages an hour's own word stands once in it, wherever the dates stand."""
    if began.date() == ended.date():
        if _is_near(began, now):
            return say_in("hours", "{began} to {ended}", began=short_dated(began, now), ended=clock(ended))
        return say_in(
            "hours",
            "{day} at {began} to {ended}",
            day=short_day(began),
            began=clock(began),
            ended=clock(ended),
        )
    parts = {"began": short_dated(began, now), "ended": short_dated(ended, now)}
    if _is_near(ended, now):
        return say_in("hours", "{began} to {ended}", **parts)
    return say_in("dated hours", "{began} to {ended}", **parts)


def short_dated(at: datetime, now: datetime) -> str:
    """With its date where the weekday alone may be taken for another."""
    at = at.astimezone(now.tzinfo)
    return (
        short_moment(at) if _is_near(at, now) else say("{day} at {clock}", day=short_day(at), clock=clock(at))
    )


def _is_near(at: datetime, now: datetime) -> bool:
    """Whether its weekday alone says which day is meant."""
    return abs((at.date() - now.date()).days) < _WEEK_DAYS
