"""Times and hours as the station file writes them, such as "Mon-Fri 08:00-15:30" or "18:00-07:00"."""

import re
from datetime import date, time

from daemon.config.checks import Refused
from daemon.input.file import shown
from daemon.station import DailyHours, DaySpan, WeeklyHours

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LONGEST_AWAY_DAYS = 366

_CLOCK = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")
_HOURS = re.compile(r"([0-9]{2}:[0-9]{2})-([0-9]{2}:[0-9]{2})")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")

CLOCK_ALLOWED = 'a local time in quotes, such as "20:00"'
DAILY_ALLOWED = (
    'local hours such as "18:00-07:00" (past midnight when the end is not later;'
    ' "00:00-24:00" is the whole day)'
)
WEEKLY_ALLOWED = 'weekdays and local hours, such as "Mon-Fri 08:00-15:30" or "Mon,Wed 08:00-12:00"'
AWAY_ALLOWED = (
    'whole days such as "2027-02-15/2027-02-19" (or one day), the first not after the last,'
    f" up to {LONGEST_AWAY_DAYS} days, years 2000 to 2199"
)


def daily(value: object) -> DailyHours:
    """Hours of every day; an end that is not later than the begin lies on the next day."""
    hours = _daily(value) if isinstance(value, str) else None
    if hours is None:
        raise Refused(shown(value), DAILY_ALLOWED)
    return hours


def weekly(value: object) -> WeeklyHours:
    """Hours on certain weekdays; hours past midnight belong to the day they begin on."""
    days, _, hours_text = value.partition(" ") if isinstance(value, str) else ("", "", "")
    weekdays, hours = _weekdays(days), _daily(hours_text.strip())
    if weekdays is None or hours is None:
        raise Refused(shown(value), WEEKLY_ALLOWED)
    return WeeklyHours(weekdays, hours)


def away(value: object) -> DaySpan:
    """Whole local days, both ends included."""
    first_text, slash, last_text = value.partition("/") if isinstance(value, str) else ("", "", "")
    first = _day(first_text)
    last = _day(last_text) if slash else first
    if first is None or last is None or not 0 <= (last - first).days < LONGEST_AWAY_DAYS:
        raise Refused(shown(value), AWAY_ALLOWED)
    return DaySpan(first, last)


def quiet(value: object) -> DailyHours | None:
    """Hours in which letters wait; an empty text for none. The whole day would hold them for ever."""
    if value == "":
        return None
    allowed = f'{DAILY_ALLOWED}, or "" for none, but not the whole day'
    hours = _daily(value) if isinstance(value, str) else None
    if hours is None or hours.begins == hours.ends:
        raise Refused(shown(value), allowed)
    return hours


def letter_time(value: object) -> time:
    """A local time for a daily letter, outside the hours that a clock change can skip or repeat."""
    at = _clock(value) if isinstance(value, str) else None
    if at is None:
        raise Refused(shown(value), CLOCK_ALLOWED)
    if time(1) <= at < time(3):
        raise Refused(
            shown(value), f"{CLOCK_ALLOWED}, but not from 01:00 to 02:59, which clock changes touch"
        )
    return at


def _clock(text: str) -> time | None:
    match = _CLOCK.fullmatch(text)
    return time(int(match[1]), int(match[2])) if match else None


def _daily(text: str) -> DailyHours | None:
    match = _HOURS.fullmatch(text)
    if match is None:
        return None
    begins = _clock(match[1])
    ends = time(0) if match[2] == "24:00" else _clock(match[2])
    # "08:00-08:00" could mean nothing or everything: only 24:00 says the whole day.
    if begins is None or ends is None or match[1] == match[2]:
        return None
    return DailyHours(begins, ends)


def _weekdays(text: str) -> frozenset[int] | None:
    chosen: set[int] = set()
    for part in text.lower().split(","):
        first, dash, last = part.partition("-")
        if first not in WEEKDAYS or (dash and last not in WEEKDAYS):
            return None
        begin = WEEKDAYS.index(first)
        length = (WEEKDAYS.index(last) - begin) % 7 if dash else 0
        chosen.update((begin + step) % 7 for step in range(length + 1))
    return frozenset(chosen)


def _day(text: str) -> date | None:
    if _DAY.fullmatch(text) is None or not "2000" <= text[:4] <= "2199":
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
