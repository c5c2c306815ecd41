"""When it was, as people say it: `08:30`, `Sat 18:00`, `yesterday 18:00`, `2026-11-28 08:30`, or RFC 3339.

A time without an offset is the station's local one, and the latest that is past. Where a clock change
skips it or brings it twice, it is asked about: the refusal names the two offsets that say which is meant.
"""

import re
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from daemon.errors import InputError
from daemon.hours import local_day, local_time
from daemon.input.csv import LAST_S, read_moment
from daemon.input.file import shown
from daemon.seconds import DAY_S, HOUR_S

# A person's watch and the station's may differ a little; more than this is a wrong entry.
AHEAD_S = 300
_ALLOWED = "08:30, 'Sat 18:00', 'yesterday 18:00', '2026-11-28 08:30', or RFC 3339 with an offset; not ahead"

# English and German, in full or the first two letters, which mean the same day wherever both know them.
_WEEKDAYS = (
    *(("monday", "montag"), ("tuesday", "dienstag"), ("wednesday", "mittwoch"), ("thursday", "donnerstag")),
    *(("friday", "freitag"), ("saturday", "samstag"), ("sunday", "sonntag")),
)
_DAYS_AGO = {"today": 0, "heute": 0, "yesterday": 1, "gestern": 1}
_LOCAL = re.compile(
    r"(?:([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[Tt]| +)|([a-z]{2,10})\.? +)?([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?"
)


def past_moment(where: str, text: str, now: int, zone: ZoneInfo) -> int:
    """The moment meant, whole Unix seconds, at most `AHEAD_S` after `now`.

    Raises InputError with one line that begins with `where`, such as "--at".
    """
    try:
        at = read_moment(text.strip())
    except ValueError:
        return _local_moment(where, text, now, zone)
    if at > now + AHEAD_S:
        raise _too_early(where, text, at - now)
    return at


def readings_of(text: str, zone: ZoneInfo) -> tuple[str, ...]:
    """RFC 3339 of the moments that a date with a local time may mean: two around a clock change, else one.

    Empty where the text is no such time.
    """
    try:
        shows = datetime.fromisoformat(text.strip()).replace(second=0, microsecond=0)
        if shows.tzinfo is not None:
            return ()
        return tuple(_with_offset(shows, at) for at in _moments(shows, zone))
    except (ValueError, OverflowError):
        return ()


def ahead(seconds: int) -> str:
    """How far a moment lies ahead: "20 minutes", "3 hours", "4 days"."""
    if seconds < 2 * HOUR_S:
        return f"{seconds // 60} minutes"
    return f"{seconds // HOUR_S} hours" if seconds < 2 * DAY_S else f"{seconds // DAY_S} days"


def _local_moment(where: str, text: str, now: int, zone: ZoneInfo) -> int:
    try:
        meant = [(shows, _moments(shows, zone)) for shows in _clocks(text, now, zone)]
    except (ValueError, OverflowError):
        raise InputError(f"{where}: found {shown(text)}; allowed: {_ALLOWED}") from None
    for shows, moments in meant:
        past = [at for at in moments if at <= now + AHEAD_S]
        if len(past) == 1 and _clock_at(past[0], zone) == shows:
            return past[0]
        if past:
            raise InputError(f"{where}: found {shown(text)}, {_ways(shows, moments, zone)}")
    raise _too_early(where, text, meant[-1][1][0] - now)


def _too_early(where: str, text: str, seconds: int) -> InputError:
    return InputError(f"{where}: found {shown(text)}, {ahead(seconds)} ahead; allowed: now or earlier")


def _clocks(text: str, now: int, zone: ZoneInfo) -> list[datetime]:
    """What the local clock showed then, the latest that may be meant first. Raises ValueError."""
    match = _LOCAL.fullmatch(text.strip().lower())
    if match is None:
        raise ValueError(text)
    written, named, hour, minute, second = match.groups()
    clock = time(int(hour), int(minute), int(second or 0))
    days = [date.fromisoformat(written)] if written else _days(named, local_day(now + AHEAD_S, zone))
    return [datetime.combine(day, clock) for day in days]


def _days(named: str | None, today: date) -> list[date]:
    if named in _DAYS_AGO:
        return [today - timedelta(days=_DAYS_AGO[named])]
    if named is None:
        back, every = 0, 1
    else:
        weekdays = [n for n, names in enumerate(_WEEKDAYS) if any(name.startswith(named) for name in names)]
        if not weekdays:
            raise ValueError(named)
        back, every = (today.weekday() - weekdays[0]) % 7, 7
    return [today - timedelta(days=back), today - timedelta(days=back + every)]


def _moments(shows: datetime, zone: ZoneInfo) -> list[int]:
    """The moment at which the local clock shows that; two around a clock change, the earlier first."""
    local = shows.replace(tzinfo=zone)
    moments = sorted({int(local.replace(fold=fold).timestamp()) for fold in (0, 1)})
    if not 0 <= moments[0] <= moments[-1] <= LAST_S:
        raise ValueError(shows)
    return moments


def _clock_at(at: int, zone: ZoneInfo) -> datetime:
    return local_time(at, zone).replace(tzinfo=None)


def _ways(shows: datetime, moments: list[int], zone: ZoneInfo) -> str:
    """What the clock change did to the hour, and the two ways to say which moment is meant."""
    first, second = (_with_offset(shows, at) for at in moments)
    if _clock_at(moments[0], zone) == shows:
        return f"which the clocks showed twice; allowed: {first} (the first) or {second} (the second)"
    before, after = (local_time(at, zone).strftime("%H:%M") for at in moments)
    return f"which the clocks skipped; allowed: {first} (they showed {before}) or {second} ({after})"


def _with_offset(shows: datetime, at: int) -> str:
    """RFC 3339: that reading of the clock, with the offset by which it means `at`."""
    offset_s = int(shows.replace(tzinfo=UTC).timestamp()) - at
    return shows.replace(tzinfo=timezone(timedelta(seconds=offset_s))).isoformat()
