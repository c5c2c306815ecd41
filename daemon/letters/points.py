"""A probe's good values as the points of a chart, fewer where a span is long.

No chart shows two weeks by the minute, and the Pi has 512 MB: so they are streamed, too, for a batch of two
months has 86 000 of them.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from functools import cache, partial

from daemon.letters.conversions import local
from daemon.seconds import HOUR_S
from daemon.station import ProbePlan, Station
from daemon.store import readings as reading_store
from daemon.store.thinning import thinned_until
from reports.records import Point

# A night, and the hour or two by which its letter may be late, is kept whole.
_WHOLE_S = 30 * HOUR_S
# A chart's plot is some 600 px wide.
_MOST = 720

Reading = tuple[int, float]
Clock = Callable[[int], datetime]


def clock_of(station: Station) -> Clock:
    """Moments in the station's time zone, each made once: all probes of a beat are read at the same one."""
    return cache(partial(local, station))


def points(
    station: Station,
    connection: sqlite3.Connection,
    probe: ProbePlan | None,
    span: tuple[int, int],
    clock: Clock,
) -> tuple[Point, ...]:
    """The probe's good values, fewer in a long span; a None stands where too many in a row are missing."""
    silences: list[int] = []
    rows = reading_store.each_good_value(connection, probe.id, *span) if probe else iter(())
    read = fewer(_noting_silences(station, thinned_until(connection), rows, span[1], silences), span)
    found: list[Point] = []
    for at, value in read:
        while silences and silences[0] < at:
            found.append(Point(clock(silences.pop(0) + station.sample_every_s), None))
        found.append(Point(clock(at), value))
    found += [Point(clock(at + station.sample_every_s), None) for at in silences]
    return tuple(found)


def _noting_silences(
    station: Station, thinned: int, read: Iterable[Reading], ended: int, silences: list[int]
) -> Iterator[Reading]:
    """All the readings; after which of them the next is missing for too long goes to `silences`."""
    last: int | None = None

    def missing(at: int) -> bool:
        return last is not None and at - last > (station.off_after_s if last >= thinned else 2 * HOUR_S)

    for reading in read:
        if last is not None and missing(reading[0]):
            silences.append(last)
        last = reading[0]
        yield reading
    if last is not None and missing(ended):
        silences.append(last)


def fewer(readings: Iterable[Reading], span: tuple[int, int]) -> list[Reading]:
    """Of a span of more than 30 hours a reading every 720th part of it, and the coldest, warmest and last.

    Readings are (Unix s, value) in time order. Two that follow each other are never further apart than two
    such parts unless there was a gap, so that gaps can still be told.
    """
    began, ended = span
    if ended - began <= _WHOLE_S:
        return list(readings)
    part_s = (ended - began) / _MOST
    first_of: dict[int, Reading] = {}
    coldest = warmest = last = None
    for last in readings:
        first_of.setdefault(int((last[0] - began) / part_s), last)
        coldest = last if coldest is None or last[1] < coldest[1] else coldest
        warmest = last if warmest is None or last[1] > warmest[1] else warmest
    ends = {one for one in (coldest, warmest, last) if one is not None}
    return sorted({*first_of.values(), *ends})
