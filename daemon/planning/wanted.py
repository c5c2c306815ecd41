"""The lesson that somebody wants a hatch in, as typed."""

import re
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from daemon.errors import InputError
from daemon.hours import Span, local_time, moment
from daemon.input.csv import read_moment
from daemon.input.file import shown
from daemon.seconds import DAY_S, HOUR_S

AROUND_S = HOUR_S // 2  # a moment is taken with half an hour to either side
LONGEST_S = DAY_S
AHEAD_MOST_S = 366 * DAY_S
ALLOWED = (
    "YYYY-MM-DDTHH:MM/HH:MM or DD.MM.YYYY HH:MM/HH:MM, by the station's clock; with an offset; or one moment"
)
_LOCAL = re.compile(r"(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d)?)", re.ASCII)
# As it is written in much of Europe; what has dots has the day first.
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:,? +|T)(\d{1,2})[:.](\d\d)", re.ASCII)
_CLOCK = re.compile(r"(\d{1,2})[:.](\d\d)", re.ASCII)


class SkippedError(ValueError):
    """A local time that a change of the clocks leaves out."""


def is_skipped(day: date, clock: time, zone: ZoneInfo) -> bool:
    """Whether a change of the clocks leaves out that time of that day."""
    return local_time(moment(day, clock, zone), zone).time() != clock


def lesson_of(text: str, zone: ZoneInfo, now: int, where: str = "--for") -> Span:
    """The lesson's beginning and end, Unix s. Raises InputError for what is none, or not ahead of `now`."""
    first, parted, last = text.partition("/")
    try:
        began = moment_of(first, zone)
        ended = moment_of(_on_that_day(first, last), zone) if parted else began
    except SkippedError as skipped:
        raise InputError(
            f"{where}: found {shown(str(skipped))}, which no clock of {zone.key} shows: that night they go "
            "forward; allowed: a time that there is"
        ) from None
    except ValueError:
        raise InputError(f"{where}: found {shown(text)}; allowed: {ALLOWED}") from None
    if not parted:
        began, ended = began - AROUND_S, ended + AROUND_S
    return checked(began, ended, zone, now, where)


def checked(began: int, ended: int, zone: ZoneInfo, now: int, where: str) -> Span:
    """A lesson that can be planned for. Raises InputError."""
    told = f"{_told(began, zone)} to {_told(ended, zone)}"
    if not 0 < ended - began <= LONGEST_S:
        raise InputError(
            f"{where}: found {told}; allowed: an end after the beginning, at most 24 hours later"
        )
    if began <= now:
        raise InputError(f"{where}: found {told}, which has begun; allowed: later than {_told(now, zone)}")
    if ended - now > AHEAD_MOST_S:
        raise InputError(f"{where}: found {told}; allowed: within a year")
    return began, ended


def moment_of(text: str, zone: ZoneInfo) -> int:
    """Unix s of a local time, or of one with an offset. Raises ValueError."""
    text = _undotted(text.strip())
    local = _LOCAL.fullmatch(text)
    if local is None:
        return read_moment(text)
    day = date.fromisoformat(local[1])
    if not 1970 < day.year < 2199:  # what a store may hold
        raise ValueError(text)
    clock = time.fromisoformat(local[2])
    if is_skipped(day, clock, zone):
        raise SkippedError(text)
    return moment(day, clock, zone)


def _undotted(text: str) -> str:
    """`8.3.2027 9:30` as `2027-03-08T09:30`; anything else as it is."""
    if (found := _DOTTED.fullmatch(text)) is None:
        return text
    day, month, year, hour, minute = found.groups()
    return f"{year}-{month:0>2}-{day:0>2}T{hour:0>2}:{minute}"


def _on_that_day(first: str, last: str) -> str:
    """An end that names a clock alone, with the day of the beginning."""
    clock, local = _CLOCK.fullmatch(last.strip()), _LOCAL.fullmatch(_undotted(first.strip()))
    return last if clock is None or local is None else f"{local[1]}T{clock[1]:0>2}:{clock[2]}"


def _told(at: int, zone: ZoneInfo) -> str:
    return datetime.fromtimestamp(at, zone).isoformat(timespec="minutes")
