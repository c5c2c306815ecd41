"""What is believed over a span: where it may be drawn, where it is broken, and in words how it ends."""

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from itertools import pairwise

from reports import amounts, night, times
from reports.language import say
from reports.letters.stages import is_emptied
from reports.records import Range, RangePoint, TimeRange, VesselNight

# A level so many times as far below the mark as the low mark is no level: most was drawn off.
_DRAWN_OFF = 3.0
_FILLING = ("top-up", "brine", "set")

Believed = tuple[datetime, float, float, float]


def band_of(points: Sequence[RangePoint]) -> list[Believed]:
    """The series as UTC moment, p10, p50, p90."""
    return [(night.moment_utc(p.at), p.range.p10, p.range.p50, p.range.p90) for p in points]


def neighbours(times: Sequence[datetime]) -> Iterator[tuple[tuple[datetime, datetime], timedelta]]:
    """Each two neighbours, and how far apart they may be to be joined."""
    return zip(pairwise(times), night.longest_joined(times), strict=True)


def pieces(series: Sequence[Believed]) -> list[list[Believed]]:
    """The series cut where too long nothing was calculated."""
    found = [[point] for point in series[:1]]
    for ((before, at), limit), point in zip(neighbours([at for at, *_ in series]), series[1:], strict=True):
        if at - before > limit:
            found.append([])
        found[-1].append(point)
    return found


def kept(points: Sequence[RangePoint], vessel: VesselNight) -> list[Believed]:
    """A series without what was believed after most was drawn off, up to the next filling."""
    series, off = band_of(points), drawn_off(vessel)
    return [point for point in series if not any(began <= point[0] < ended for began, ended in off)]


def drawn_off(vessel: VesselNight) -> list[tuple[datetime, datetime]]:
    """From each harvest that took most of the water to the next filling, or to the end of time."""
    deeds = [(night.moment_utc(deed.at), deed.kind) for deed in vessel.deeds]
    levels = band_of(vessel.loss_ml)
    never = datetime.max.replace(tzinfo=UTC)
    off = [
        (at, next((later for later, other in deeds if later > at and other in _FILLING), never))
        for at, kind in deeds
        if kind in ("harvest", "remove")
    ]
    return [
        (began, ended)
        for began, ended in off
        if (is_emptied(vessel) and ended == never)
        or any(began <= at < ended and low > _DRAWN_OFF * vessel.low_ml for at, low, *_ in levels)
    ]


def over(vessel: VesselNight) -> str:
    """Why what was calculated last is not said any more; empty where it is."""
    if vessel.batch_set_at is None:
        return say("the batch is over")
    return say("not judged since most was drawn") if is_emptied(vessel) else ""


def nothing(vessel: VesselNight) -> str:
    """Why nothing is there."""
    if vessel.batch_set_at is None:
        return say("no batch is running")
    return over(vessel) or say("nothing calculated yet")


def last(believed: Range, digits: int) -> str:
    """What is believed at the end."""
    return say("last {middle} ({low} to {high})", **_ends(believed, digits))


def last_calculated(believed: Range, digits: int) -> str:
    """The same, where a reader may take it for measured."""
    return say("last {middle} ({low} to {high}), calculated", **_ends(believed, digits))


def _ends(believed: Range, digits: int) -> dict[str, str]:
    ends = {"low": believed.p10, "middle": believed.p50, "high": believed.p90}
    return {name: amounts.number(value, digits) for name, value in ends.items()}


def half_said(half: TimeRange, zone: tzinfo, share: Callable[[datetime], float]) -> str:
    """When half has hatched, with a sign: ahead, behind or inside the span, in which `share` tells places."""
    early, likely, late = (
        None if at is None else times.believed_moment(at.astimezone(zone))
        for at in (half.p10, half.p50, half.p90)
    )
    if early is None:
        return say("▶ half: not known yet")
    if likely is None or late is None:
        return say("▶ half not before {early}", early=times.short_moment(early))
    place = share(likely)
    moment = times.clock if early.date() == likely.date() == late.date() else times.short_moment
    return say(
        "{sign} half {likely} ({early} to {late})",
        sign="▶" if place > 1.0 else "◀" if place < 0.0 else "◆",
        likely=times.short_moment(likely),
        early=moment(early),
        late=moment(late),
    )
