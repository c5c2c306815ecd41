"""What a night's record shows: extremes, gaps, hours of light, and whether all of it is known."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from reports.records import Event, NightRecord, PastAlarm, Point, Span, VesselNight

# A night counts as known when this share of its readings came and was believed; our own choice, no source.
KNOWN_SHARE = 0.95
# Shorter silences are a missed beat or two, not a gap worth a word.
_SHORTEST_GAP = timedelta(minutes=10)
_LONGEST_STEP = timedelta(minutes=30)
# A store thins its old readings to one an hour.
_THINNED_STEP = timedelta(hours=1)
# So many steps on either side say what is usual there.
_NEAR = 7


@dataclass(frozen=True, slots=True)
class Extremes:
    """The coldest, warmest and latest good readings of a span."""

    coldest: Point
    warmest: Point
    latest: Point


@dataclass(frozen=True, slots=True)
class LampSeen:
    """How the lamp hours of a span went: seen lit, seen dark, not seen at all."""

    lit: timedelta
    dark: timedelta
    unseen: timedelta


@dataclass(frozen=True, slots=True)
class Beyond:
    """How long water was too cold and too hot."""

    cold: timedelta
    hot: timedelta


def moment_utc(at: datetime) -> datetime:
    """The moment on the one clock that never jumps; local times of one zone must not be subtracted."""
    return at.astimezone(UTC)


def good(points: Sequence[Point]) -> list[tuple[datetime, float]]:
    """The readings that are there, with UTC times in order."""
    there = [(moment_utc(p.at), p.value) for p in points if p.value is not None and math.isfinite(p.value)]
    return sorted(there, key=lambda reading: reading[0])


def extremes(points: Sequence[Point]) -> Extremes | None:
    """The first coldest, first warmest and last reading; None where nothing was read."""
    there = [(p.value, moment_utc(p.at), p) for p in points if p.value is not None and math.isfinite(p.value)]
    if not there:
        return None
    coldest = min(there, key=lambda one: one[:2])
    warmest = min(there, key=lambda one: (-one[0], one[1]))
    return Extremes(coldest[2], warmest[2], max(there, key=lambda one: one[1])[2])


def usual_steps(times: Sequence[datetime]) -> list[timedelta]:
    """For each two neighbours of a series, how far apart values usually are there.

    By the steps just before and just after, whichever are longer: where a store has thinned its old readings
    to one an hour, neither they nor the change to one a minute are unusual.
    """
    steps = [(after - before).total_seconds() for before, after in pairwise(times)]
    before = [_middle(steps[max(n - _NEAR, 0) : n]) for n in range(min(len(steps), _NEAR + 1))]
    after = [_middle(steps[n + 1 : n + 1 + _NEAR]) for n in range(len(steps))]
    before += after[: max(len(steps) - _NEAR - 1, 0)]  # the steps before one are those after an earlier one
    usual = steps if len(steps) == 1 else map(max, before, after)
    return [timedelta(seconds=step) for step in usual]


def _middle(steps: Sequence[float]) -> float:
    """The median, 0 of none; `statistics` brings fractions and decimals along, of no use to a daemon."""
    if not steps:
        return 0.0
    ranked, half = sorted(steps), len(steps) // 2
    return ranked[half] if len(ranked) % 2 else (ranked[half - 1] + ranked[half]) / 2


def longest_joined(times: Sequence[datetime]) -> list[timedelta]:
    """For each two neighbours of a series, how far apart they may be and still be joined by a line: values
    further apart have a gap between them."""
    return [max(2.5 * usual, _SHORTEST_GAP) for usual in usual_steps(times)]


def gaps(points: Sequence[Point], span: Span) -> list[tuple[datetime, datetime]]:
    """Where the span has no good reading, in UTC; the whole span where it has none at all."""
    began, ended = moment_utc(span.began), moment_utc(span.ended)
    times = [at for at, _ in good(points) if began <= at <= ended]
    if not times:
        return [(began, ended)]
    if all(b - a <= _SHORTEST_GAP for a, b in pairwise([began, *times, ended])):
        return []  # whatever is usual there: none is long enough
    joined = longest_joined(times)
    ends = (joined[0], joined[-1]) if joined else (_SHORTEST_GAP, _SHORTEST_GAP)
    limits = [ends[0], *joined, ends[1]]
    return [
        (a, b)
        for (a, b), limit in zip(pairwise([began, *times, ended]), limits, strict=True)
        if b - a > limit
    ]


def without(
    stretches: Sequence[tuple[datetime, datetime]], taken: Sequence[tuple[datetime, datetime]]
) -> list[tuple[datetime, datetime]]:
    """The stretches with the taken ones cut out."""
    left = list(stretches)
    for out, back in taken:
        left = [
            piece for a, b in left for piece in ((a, min(b, out)), (max(a, back), b)) if piece[0] < piece[1]
        ]
    return left


def held(points: Sequence[Point], ended: datetime) -> list[tuple[datetime, datetime, float]]:
    """Each good reading as (from, until, value): it holds up to the next, and not long where that is missing.

    A lone reading holds for no time.
    """
    readings = good(points)
    steps = usual_steps([at for at, _ in readings])
    limits = [min(2.5 * usual, max(_LONGEST_STEP, min(usual, _THINNED_STEP))) for usual in steps]
    limits.append(limits[-1] if limits else timedelta(0))
    nexts = [*(at for at, _ in readings[1:]), moment_utc(ended)]
    return [
        (at, min(following, at + limit), value)
        for (at, value), following, limit in zip(readings, nexts, limits, strict=False)
    ]


def lamp_seen(vessel: VesselNight, span: Span) -> LampSeen:
    """The lamp hours inside the span, by the light measured in them; a lone reading speaks for no hours."""
    readings = held(vessel.light, span.ended)
    lit = dark = whole = timedelta(0)
    for lamp in vessel.lamp_hours:
        began = max(moment_utc(lamp.began), moment_utc(span.began))
        ended = min(moment_utc(lamp.ended), moment_utc(span.ended))
        whole += max(ended - began, timedelta(0))
        for at, until, value in readings:
            counted = min(until, ended) - max(at, began)
            if counted > timedelta(0):
                lit, dark = (lit + counted, dark) if value >= vessel.low_light else (lit, dark + counted)
    return LampSeen(lit, dark, max(whole - lit - dark, timedelta(0)))


def beyond(vessel: VesselNight, span: Span) -> Beyond:
    """How long the vessel's water was read to be colder, or hotter, than its limits while it was watched."""
    cold = hot = timedelta(0)
    if vessel.watched:
        for at, until, water_c in held(vessel.water_c, span.ended):
            counted = max(until - max(at, moment_utc(vessel.watched_from)), timedelta(0))
            cold += counted if water_c < vessel.cold_c else timedelta(0)
            hot += counted if water_c > vessel.hot_c else timedelta(0)
    return Beyond(cold, hot)


def share_read(record: NightRecord) -> float:
    """The share of the expected readings that came, trusted or not; 0 where none was expected."""
    return record.readings_came / record.readings_expected if record.readings_expected > 0 else 0.0


def blind_vessels(record: NightRecord) -> list[VesselNight]:
    """Watched vessels whose water was not read for more than a twentieth of the span."""
    return [v for v in record.vessels if v.watched and _unread(v, record.span) > 1 - KNOWN_SHARE]


def _unread(vessel: VesselNight, span: Span) -> float:
    whole = (moment_utc(span.ended) - moment_utc(span.began)).total_seconds()
    unread = sum((b - a).total_seconds() for a, b in gaps(vessel.water_c, span))
    unread = max(unread - vessel.dry_s, 0.0)  # of an empty vessel there is nothing to read
    return unread / whole if whole > 0 else 1.0


def is_known(record: NightRecord) -> bool:
    """Whether the night is known: nearly everything was read, and trusted of the water that is watched;
    nothing was off, and the clock was right."""
    read = share_read(record) >= KNOWN_SHARE and not blind_vessels(record)
    return record.clock_sure and read and not record.outages and not record.doubts


def alarm_count(alarms: Iterable[tuple[str, Event | PastAlarm]]) -> int:
    """How many alarms these are, each with its vessel: a probe that vessels share is one."""
    return len(
        {("" if alarm.kind == "probe" else vessel, alarm.kind, alarm.text) for vessel, alarm in alarms}
    )
