"""What a report of whole batches is made from: the store alone, and what is believed of it."""

import sqlite3
from collections.abc import Mapping, Sequence
from math import inf

from daemon.care.deed import Deed
from daemon.errors import InputError
from daemon.estimates.grounds import Grounds
from daemon.estimates.quantile import Estimate
from daemon.hours import local_time
from daemon.letters.conversions import as_range, hatch_time, local, range_of, setting
from daemon.letters.longer_records import batch_record
from daemon.letters.short_words import deed_in_words
from daemon.planning.kept_start import KeptStart
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel
from daemon.store import batches as batch_store
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import planned_starts
from daemon.store import readings as reading_store
from daemon.store.batches import BatchSpan
from reports.batch.records import (
    Account,
    ColdNights,
    HatchTimes,
    PlannedBatch,
    SeenHatch,
    Taught,
    ToldBatch,
    WaterSpent,
)
from reports.records import Range, Span, VesselNight
from sensors.reading import Measure

_SHARE = "hatchable_share"
_LOOKS = ("first-swimmer", "hatched", "count")
_BEFORE_S = 14 * DAY_S
_NIGHT_BEGINS_H, _NIGHT_ENDS_H = 20, 8
# A night of which less than this was read has no coldest water that is known.
_LEAST_READINGS_H = 6

Knowns = Mapping[str, Range]


def accounts(
    station: Station,
    connection: sqlite3.Connection,
    vessels: Sequence[Vessel],
    newest: int,
    *,
    believed: bool = True,
) -> Account:
    """The last batch of each of the vessels, up to the newest reading (Unix s) where it runs.

    Vessels without a batch are left out. Not `believed`: of what was learned only what the store has, for a
    belief costs half a second and much memory. Raises InputError where none has a batch.
    """
    last = batch_store.last_of(connection, newest)
    found = [(vessel, last[vessel.id]) for vessel in vessels if vessel.id in last]
    if not found:
        names = ", ".join(vessel.id for vessel in vessels)
        raise InputError(f"batch: found none in {names}; allowed: a vessel in which one was set")
    knowns = _knowns_at if believed else _stored_at
    before = knowns(station, connection, [(vessel, batch.set_at) for vessel, batch in found])
    after = knowns(station, connection, [(vessel, batch.until(newest)) for vessel, batch in found])
    return Account(
        setting(station, connection, newest),
        tuple(
            _batch(station, connection, vessel, batch, newest, (before[vessel.id], after[vessel.id]))
            for vessel, batch in found
        ),
    )


def _knowns_at(
    station: Station, connection: sqlite3.Connection, moments: Sequence[tuple[Vessel, int]]
) -> dict[str, Knowns]:
    """What is believed of each vessel's own unknowns at a moment at which its batch runs."""
    from daemon.watching.beliefs import Beliefs  # a third of all our modules: the page goes without

    found: dict[str, Knowns] = {}
    for at in dict.fromkeys(at for _, at in moments):
        beliefs = Beliefs(station, connection, at)  # what is believed then is a function of the store
        for vessel in (vessel for vessel, then in moments if then == at):
            grounds = beliefs.of(vessel.id).grounds(at)
            found[vessel.id] = _knowns(grounds, beliefs.estimates(vessel.id, at))
    return found


def _stored_at(
    _station: Station, connection: sqlite3.Connection, moments: Sequence[tuple[Vessel, int]]
) -> dict[str, Knowns]:
    """Of that what the store has: estimates are written every hour, and with every deed."""
    found: dict[str, Knowns] = {}
    for vessel, at in moments:
        row = estimate_store.latest(connection, vessel.id, at).get(_SHARE)
        found[vessel.id] = {_SHARE: Range(*row[1:])} if row is not None and row[0] >= at - HOUR_S else {}
    return found


def _knowns(grounds: Sequence[Grounds], believed: Mapping[str, Estimate]) -> Knowns:
    knowns = {name: as_range(known) for one in grounds for name, known in one.knowns.items()}
    share = range_of(believed, _SHARE)
    return knowns if share is None else {**knowns, _SHARE: share}


def _batch(
    station: Station,
    connection: sqlite3.Connection,
    vessel: Vessel,
    batch: BatchSpan,
    newest: int,
    knowns: tuple[Knowns, Knowns],
) -> ToldBatch:
    until = batch.until(newest)
    deeds = [
        deed for deed in deed_store.between(connection, batch.set_at - 1, until) if deed.vessel == vessel.id
    ]
    first, last = (_believed(connection, vessel, batch.set_at, at) for at in (batch.set_at, until))
    before, after = knowns
    record = batch_record(station, connection, vessel, newest)
    return ToldBatch(
        record=record,
        planned=_planned(
            station, vessel, deeds, planned_starts.carried_out(connection, vessel.id, batch.set_at)
        ),
        ended_at=None if batch.ended_at is None else local(station, batch.ended_at),
        expected=_hatch_times(station, first, batch.set_at),
        believed=_hatch_times(station, last, until),
        hatchable=range_of(last, _SHARE),
        looks=tuple(_look(station, deed) for deed in deeds if deed.deed in _LOOKS),
        water=_water(record.vessels[0], deeds),
        learned=tuple(
            Taught(name, before.get(name), after.get(name)) for name in dict.fromkeys([*before, *after])
        ),
        nights_before=nights(station, connection, vessel, (batch.set_at - _BEFORE_S, batch.set_at)),
        nights=nights(station, connection, vessel, (batch.set_at, until)),
    )


def _planned(station: Station, vessel: Vessel, deeds: Sequence[Deed], plan: KeptStart | None) -> PlannedBatch:
    noted = next(deed for deed in deeds if deed.deed == "set")
    tin, light = noted.detail.get("lot"), noted.detail.get("light")
    return PlannedBatch(
        cysts_g=noted.amount,
        salt_g_per_l=noted.number("salt_g_per_l"),
        volume_ml=noted.number("volume_ml"),
        tin=str(tin) if tin else None,
        light=None if light is None else light == "yes",
        mark_ml=vessel.mark_ml,
        set_at=None if plan is None else local(station, plan.set_at),
        lesson=None if plan is None else Span(*(local(station, at) for at in plan.lesson)),
    )


def _believed(connection: sqlite3.Connection, vessel: Vessel, set_at: int, at: int) -> dict[str, Estimate]:
    """What the store says was believed last by a moment of the batch."""
    return {
        quantity: Estimate(p10, p50, p90)
        for quantity, (then, p10, p50, p90) in estimate_store.latest(connection, vessel.id, at).items()
        if then >= set_at
    }


def _hatch_times(station: Station, believed: Mapping[str, Estimate], at: int) -> HatchTimes:
    t10, t50, t90 = (
        hatch_time(station, believed, quantity, at) for quantity in ("hatch_t10", "hatch_t50", "hatch_t90")
    )
    return HatchTimes(t10, t50, t90)


def _look(station: Station, deed: Deed) -> SeenHatch:
    share = deed.amount if deed.deed == "hatched" else None
    cysts = deed.number("of_cysts")
    if deed.deed == "count" and cysts and deed.amount is not None and "volume_ml" not in deed.detail:
        share = min(deed.amount / cysts, 1.0)
    return SeenHatch(local(station, deed.at), deed.deed, deed_in_words(deed, station.language), share)


def _water(night: VesselNight, deeds: Sequence[Deed]) -> WaterSpent:
    """What evaporated: how far the level fell, and what was poured in, without what was taken out.

    Up to when most of it was drawn off, where it was: of the rest no level is kept.
    """
    poured, drawn = _poured(deeds), _drawn(deeds)
    kept = {one.at for one in night.salinity_g_per_kg}
    levels = [one for one in night.loss_ml if one.at in kept]
    if not levels:
        return WaterSpent(None, 0.0, poured, drawn)
    first, last = levels[0], levels[-1]
    by_then = [deed for deed in deeds if deed.at <= last.at.timestamp()]
    more = _poured(by_then) - _drawn(by_then) - first.range.p50
    gone = Range(*(max(end + more, 0.0) for end in (last.range.p10, last.range.p50, last.range.p90)))
    return WaterSpent(gone, (last.at - first.at).total_seconds() / DAY_S, poured, drawn)


def _poured(deeds: Sequence[Deed]) -> float:
    return sum(deed.amount or 0.0 for deed in deeds if deed.deed in ("top-up", "brine"))


def _drawn(deeds: Sequence[Deed]) -> float:
    return sum(deed.amount or 0.0 for deed in deeds if deed.deed in ("remove", "harvest"))


def nights(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, span: tuple[int, int]
) -> ColdNights | None:
    """The coldest water of each night that was mostly read, between two moments; None where there is none.

    With it the coldest at any hour: a cold Saturday has its letter too.
    """
    probe = station.probe_of(vessel, Measure.WATER_C)
    if probe is None:
        return None
    coldest: dict[int, float] = {}
    hours: dict[int, set[int]] = {}
    lowest_c = inf
    for at, value in reading_store.good_values(connection, probe.id, *span):
        then = local_time(at, station.timezone)
        lowest_c = lowest_c if value is None else min(value, lowest_c)
        if value is None or _NIGHT_ENDS_H <= then.hour < _NIGHT_BEGINS_H:
            continue
        night = then.date().toordinal() + (then.hour >= _NIGHT_BEGINS_H)
        coldest[night] = min(value, coldest.get(night, value))
        hours.setdefault(night, set()).add(at // HOUR_S)
    known = [coldest[night] for night in coldest if len(hours[night]) >= _LEAST_READINGS_H]
    if not known:
        return None
    return ColdNights(len(known), min(known), sorted(known)[len(known) // 2], lowest_c)
