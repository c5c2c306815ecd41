"""The last lesson that was planned for in each vessel, as reports are made from."""

import sqlite3
from collections.abc import Iterable, Sequence
from itertools import chain

from daemon.estimates.quantile import Estimate
from daemon.letters.conversions import hatch_time, local
from daemon.planning.kept_start import KeptStart
from daemon.planning.lesson_again import lesson_again
from daemon.station import Station
from daemon.store import batches as batch_store
from daemon.store import estimates as estimate_store
from daemon.store import planned_starts
from reports.records import Span, TimeRange
from reports.starts.last_time import LastTime

_MOST = 3
_HALF = "hatch_t50"


def last_times(station: Station, connection: sqlite3.Connection, at: int) -> Sequence[LastTime]:
    """Those of vessels for which no plan stands at `at` (Unix s): the latest lesson first, three at most. Of
    vessels planned for one lesson those that were set, or else the first."""
    waits = {one.start.vessel for one in planned_starts.standing(connection, at)}
    place = {vessel.id: n for n, vessel in enumerate(station.vessels)}
    plans = [
        one for one in planned_starts.over(connection, at) if one.vessel not in waits and one.vessel in place
    ]
    plans.sort(key=lambda one: (-one.lesson[0], place[one.vessel]))
    batches = batch_store.every(connection, at) if plans else []
    by_lesson: dict[Span, list[LastTime]] = {}
    for one in plans:
        told = _told(station, connection, one, _batch_of(connection, batches, one), at)
        by_lesson.setdefault(told.lesson, []).append(told)
    found = [([one for one in alike if one.set_at] or alike[:1]) for alike in by_lesson.values()]
    return list(chain.from_iterable(found))[:_MOST]


def _batch_of(
    connection: sqlite3.Connection, batches: Iterable[batch_store.BatchSpan], plan: KeptStart
) -> batch_store.BatchSpan | None:
    """The batch that carried a plan out."""
    by_plan = (
        one
        for one in batches
        if one.vessel == plan.vessel
        and planned_starts.carried_out(connection, plan.vessel, one.set_at) == plan
    )
    return next(by_plan, None)


def _told(
    station: Station,
    connection: sqlite3.Connection,
    plan: KeptStart,
    batch: batch_store.BatchSpan | None,
    at: int,
) -> LastTime:
    again = lesson_again(station, plan.lesson, plan.set_at, at)
    expected, came = (
        (None, None)
        if batch is None
        else (_half(station, connection, batch, then) for then in (batch.set_at, batch.until(at)))
    )
    return LastTime(
        vessel=plan.vessel,
        tin=plan.lot or "",
        lesson=_span(station, plan.lesson),
        set_at=None if batch is None else local(station, batch.set_at),
        expected=expected,
        came=came,
        again=None if again is None else _span(station, again),
        swimming=plan.swimming,
    )


def _half(
    station: Station, connection: sqlite3.Connection, batch: batch_store.BatchSpan, at: int
) -> TimeRange | None:
    """When half of a batch hatched, as the store says it was believed at a moment of it."""
    row = estimate_store.latest(connection, batch.vessel, at).get(_HALF)
    if row is None or row[0] < batch.set_at:
        return None
    return hatch_time(station, {_HALF: Estimate(*row[1:])}, _HALF, at)


def _span(station: Station, span: tuple[int, int]) -> Span:
    return Span(local(station, span[0]), local(station, span[1]))
