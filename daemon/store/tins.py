"""What the store says of tins of cysts: which there are, and what each batch of them gave."""

import sqlite3
from collections.abc import Mapping, Sequence

from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import CountedHatch, lot_share
from daemon.planning.tin_history import BatchOfTin
from daemon.planning.tin_test import KeptTest
from daemon.planning.tins import Tin, hatches_of, opened_days, plan_of, tin
from daemon.station import Station
from daemon.store import batches as batch_store
from daemon.store import estimates as estimate_store
from daemon.store import tin_tests
from daemon.store.batches import BatchSpan
from daemon.store.deeds import Entry
from daemon.store.tin_names import lot_of, named_lots, standing

_BELIEVED = ("hatch_t10", "hatch_t50", "hatch_t90", "hatchable_share")


def every(connection: sqlite3.Connection, station: Station, at: int) -> list[Tin]:
    """All tins as they stand at a moment (Unix s), in the order of `named_lots`."""
    batches, tests = _batches(connection, station, at), _tests(connection, at)
    return [
        tin(
            plan_of(station, lot), batches.get(lot, ()), tests.get(lot, ()), at, opened_days(station, lot, at)
        )
        for lot in named_lots(connection, station)
    ]


def known_share(connection: sqlite3.Connection, station: Station, lot: str, at: int) -> Estimate:
    """`lot_share` of a tin by what this store knows of it: how many of its cysts hatch next (0 to 1).

    A tin that nobody named has that of 15 commercial lots.
    """
    return lot_share(counted_hatches(connection, station, lot, at), at, opened_days(station, lot, at) or 0.0)


def counted_hatches(
    connection: sqlite3.Connection, station: Station, lot: str, at: int
) -> list[CountedHatch]:
    """The batches and kept tests of a tin in which cysts were counted, in the order of time."""
    batches = _batches(connection, station, at, lot).get(lot, ())
    return hatches_of(plan_of(station, lot), batches, _tests(connection, at).get(lot, ()))


def _tests(connection: sqlite3.Connection, at: int) -> Mapping[str, Sequence[KeptTest]]:
    """By tin, those that stand at a moment."""
    found: dict[str, list[KeptTest]] = {}
    for one in tin_tests.standing(connection, at):
        found.setdefault(one.lot, []).append(one)
    return found


def _batches(
    connection: sqlite3.Connection, station: Station, at: int, only: str | None = None
) -> Mapping[str, Sequence[BatchOfTin]]:
    """By tin, in the order of setting; of the tin `only`, where one is named."""
    entries = standing(connection)
    sets = {entry.id: entry for entry in entries}
    counts = [entry for entry in entries if entry.deed.deed == "count"]
    found: dict[str, list[BatchOfTin]] = {}
    for span in batch_store.every(connection, at):
        lot = lot_of(sets[span.id])
        if lot and only in (None, lot):
            found.setdefault(lot, []).append(_batch(connection, station, span, sets[span.id], counts, at))
    return found


def _batch(
    connection: sqlite3.Connection,
    station: Station,
    span: BatchSpan,
    began: Entry,
    counts: Sequence[Entry],
    at: int,
) -> BatchOfTin:
    vessel, until = station.vessel(span.vessel), span.until(at)
    own = [
        entry.deed
        for entry in counts
        if entry.deed.vessel == span.vessel and span.set_at <= entry.deed.at <= until
    ]
    believed = {
        quantity: found
        for quantity in _BELIEVED
        if (found := _believed(connection, span, quantity, until)) is not None
    }
    return BatchOfTin(
        id=span.id,
        set=began.deed,
        cups=1 if vessel is None else vessel.count,
        mark_ml=None if vessel is None else vessel.mark_ml,
        ended_at=span.ended_at,
        counts=tuple(own),
        out_at=tuple(_believed(connection, span, "hatched_fraction", one.at - 1) for one in own),
        believed=believed,
    )


def _believed(connection: sqlite3.Connection, span: BatchSpan, quantity: str, until: int) -> Estimate | None:
    row = estimate_store.last(connection, span.vessel, quantity, span.set_at, until)
    return None if row is None else Estimate(*row)
