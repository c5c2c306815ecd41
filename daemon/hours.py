"""The local calendar of a station: attended hours, absences, lamp and quiet hours. Pure arithmetic.

Times are Unix seconds, UTC. Hours run from the first moment at which the local clock shows the begin
or later, up to the first moment at which it shows the end or later: a time that a clock change skips
begins at the change, a time that comes twice counts the first time. Hours past midnight belong to the
day they begin on. A station without attended hours is always attended, apart from its away days.
"""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import chain, pairwise
from zoneinfo import ZoneInfo

from daemon.seconds import DAY_S, HOUR_S
from daemon.station import DailyHours, Station

Span = tuple[int, int]

# Weekly hours repeat in 7 days; a hole of almost a week and a clock change lie within 15.
_REACH_S = 15 * DAY_S
_MIDNIGHT = time(0)


def moment(day: date, clock: time, zone: ZoneInfo) -> int:
    """The first moment of a local day at which its clock shows `clock` or later."""
    shown = datetime.combine(day, clock, tzinfo=zone)
    first, again = int(shown.timestamp()), int(shown.replace(fold=1).timestamp())
    # In a skipped hour Python's two readings lie on both sides of the change, the second one earlier.
    return first if first <= again else _change_between(again, first, zone)


def next_local_time(clock: time, at: int, zone: ZoneInfo) -> int:
    """The next moment at which the local clock shows `clock`; `at` itself when it is that moment."""
    day = local_day(at, zone)
    while (found := moment(day, clock, zone)) < at:
        day += timedelta(days=1)
    return found


def local_time(at: int, zone: ZoneInfo) -> datetime:
    """A moment by the local clock."""
    return datetime.fromtimestamp(at, zone)


def local_day(at: int, zone: ZoneInfo) -> date:
    """The local date of a moment."""
    return local_time(at, zone).date()


def daily_spans(hours: DailyHours, zone: ZoneInfo, began: int, ended: int) -> list[Span]:
    """The stretches of daily hours within [began, ended), cut to it, touching ones joined."""
    spans = (_span(day, hours, zone) for day in _days(began, ended, zone))
    return _joined(_cut(spans, began, ended))


def in_daily_hours(hours: DailyHours, at: int, zone: ZoneInfo) -> bool:
    """Whether a moment lies in daily hours; the end itself lies outside."""
    return any(began <= at < ended for began, ended in _spans_around(hours, zone, at // DAY_S))


def unchanged_hours(hours: DailyHours, at: int, zone: ZoneInfo) -> Span:
    """A stretch with `at` in it, within its UTC day, of which all or nothing lies in daily hours."""
    day = at // DAY_S
    since, until = day * DAY_S, (day + 1) * DAY_S
    for edge in chain.from_iterable(_spans_around(hours, zone, day)):
        since, until = (max(since, edge), until) if edge <= at else (since, min(until, edge))
    return since, until


@lru_cache(maxsize=64)
def _spans_around(hours: DailyHours, zone: ZoneInfo, utc_day: int) -> tuple[Span, ...]:
    """The daily hours that touch a UTC day: asked for at every beat, so kept."""
    return tuple(daily_spans(hours, zone, utc_day * DAY_S, (utc_day + 1) * DAY_S))


def morning_of_day(station: Station, day: date) -> int:
    """When letters of the morning go on a local day."""
    return moment(day, station.post.morning_at, station.timezone)


def morning_of_weekday(station: Station, weekday: int, at: int) -> int:
    """The same on the next such weekday (Monday is 0), later than `at`."""
    day = local_day(at, station.timezone)
    while day.weekday() != weekday or morning_of_day(station, day) <= at:
        day += timedelta(days=1)
    return morning_of_day(station, day)


def quiet_ends(quiet: DailyHours | None, at: int, zone: ZoneInfo) -> int | None:
    """When the quiet hours under way end, or None where it is not quiet."""
    if quiet is None:
        return None
    spans = (_span(day, quiet, zone) for day in _days(at, at + 1, zone))
    return next((ended for began, ended in spans if began <= at < ended), None)


def attended_spans(station: Station, began: int, ended: int) -> list[Span]:
    """The stretches within [began, ended) in which somebody is in the room."""
    zone = station.timezone
    if not station.attended:
        present = _cut([(began, ended)], began, ended)
    else:
        days = list(_days(began, ended, zone))
        spans = (
            _span(day, weekly.hours, zone)
            for weekly in station.attended
            for day in days
            if day.weekday() in weekly.weekdays
        )
        present = _joined(_cut(spans, began, ended))
    for gone in _away_spans(station):
        present = [piece for span in present for piece in _without(span, gone)]
    return present


def is_attended(station: Station, at: int) -> bool:
    """Whether somebody is in the room; the end of attended hours itself lies outside."""
    return bool(attended_spans(station, at, at + 1))


def next_attended(station: Station, at: int) -> int | None:
    """When somebody next is in the room: `at` itself when attended, None where nobody ever comes."""
    for ended in (at + _REACH_S, _horizon(station, at)):
        if spans := attended_spans(station, at, ended):
            return spans[0][0]
    return None


def next_absence(station: Station, at: int, min_hours: float) -> Span | None:
    """When the room is next left, and entered again, for at least `min_hours`.

    The stretch is under way at `at` or begins later; its whole length counts. None where there is no
    such stretch within 15 days of `at` or of the last away day, or where nobody comes back from it.
    """
    began = _earlier_presence(station, at)
    for ended in (at + _REACH_S, _horizon(station, at)):
        present = attended_spans(station, began, ended)
        for (_, leaves), (returns, _) in pairwise(present):
            if returns > at and returns - leaves >= min_hours * HOUR_S:
                return leaves, returns
    return None


def _earlier_presence(station: Station, at: int) -> int:
    """A moment before `at` from which on somebody was in the room at least once up to `at`."""
    near = at - _REACH_S
    if attended_spans(station, near, at + 1):
        return near
    return min([near, *(began for began, _ in _away_spans(station))]) - _REACH_S


def _horizon(station: Station, at: int) -> int:
    return max([at, *(ended for _, ended in _away_spans(station))]) + _REACH_S


def _away_spans(station: Station) -> list[Span]:
    return [
        (
            moment(span.first, _MIDNIGHT, station.timezone),
            moment(span.last + timedelta(days=1), _MIDNIGHT, station.timezone),
        )
        for span in station.away
    ]


def _days(began: int, ended: int, zone: ZoneInfo) -> Iterable[date]:
    """The local days whose hours can reach into [began, ended): also the day before the first."""
    day = local_day(began, zone) - timedelta(days=1)
    last = local_day(ended, zone)
    while day <= last:
        yield day
        day += timedelta(days=1)


def _span(day: date, hours: DailyHours, zone: ZoneInfo) -> Span:
    over_midnight = hours.ends <= hours.begins
    last = day + timedelta(days=1) if over_midnight else day
    return moment(day, hours.begins, zone), moment(last, hours.ends, zone)


def _cut(spans: Iterable[Span], began: int, ended: int) -> list[Span]:
    cut = ((max(b, began), min(e, ended)) for b, e in spans)
    return sorted((b, e) for b, e in cut if b < e)


def _joined(spans: list[Span]) -> list[Span]:
    joined: list[Span] = []
    for began, ended in spans:
        if joined and began <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], ended))
        else:
            joined.append((began, ended))
    return joined


def _without(span: Span, gone: Span) -> list[Span]:
    pieces = [(span[0], min(span[1], gone[0])), (max(span[0], gone[1]), span[1])]
    return [piece for piece in pieces if piece[0] < piece[1]]


def _change_between(before: int, after: int, zone: ZoneInfo) -> int:
    """The moment between two at which the zone's offset changes."""
    old = datetime.fromtimestamp(before, zone).utcoffset()
    while after - before > 1:
        middle = (before + after) // 2
        if datetime.fromtimestamp(middle, zone).utcoffset() == old:
            before = middle
        else:
            after = middle
    return after
