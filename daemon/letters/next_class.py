"""What was learned of a station, for the next class: by its last batches, from the store alone."""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace

from daemon.config.next_text import NextText
from daemon.errors import InputError
from daemon.hours import next_absence
from daemon.letters.batch_accounts import accounts
from daemon.seconds import HOUR_S
from daemon.station import CONE, Station
from daemon.store import deeds as deed_store
from reports.batch.next_class import KnownTin, KnownVessel, NextClass
from reports.batch.records import ToldBatch

_ABSENCE_H = 24


def next_class(station: Station, connection: sqlite3.Connection, newest: int, edited: NextText) -> NextClass:
    """What is to be told to the next class, by what is believed up to the newest reading (Unix s).

    `station` is the one of the new file: of its vessels the last batches are asked.
    """
    batches: Sequence[ToldBatch] = ()
    with suppress(InputError):  # no batch was ever set: the set-up is copied all the same
        batches = accounts(station, connection, station.vessels, newest).batches
    away = next_absence(replace(station, away=()), newest, _ABSENCE_H)
    return NextClass(
        language=station.language,
        unit=station.temperature_unit,
        away_h=None if away is None else (away[1] - away[0]) / HOUR_S,
        over=edited.over,
        to_come=edited.to_come,
        vessels=tuple(_vessel(station, batch) for batch in batches),
        tins=_tins(batches),
        unnamed=_unnamed(station, connection),
    )


def _vessel(station: Station, batch: ToldBatch) -> KnownVessel:
    vessel = station.vessel(batch.vessel.vessel)
    assert vessel is not None  # noqa: S101 - the batches are of the station's vessels
    return KnownVessel(
        vessel=vessel.id,
        count=vessel.count,
        low_ml=vessel.low_ml,
        cold_c=vessel.cold_c,
        a_day_ml=batch.vessel.loss_ml_per_day,
        nights=batch.nights,
        may_heat=vessel.kind == CONE and vessel.heater_c is None,
    )


def _tins(batches: Sequence[ToldBatch]) -> tuple[KnownTin, ...]:
    """Each tin of the last batches, by the newest of them."""
    newest: dict[str, ToldBatch] = {}
    for batch in sorted(batches, key=lambda one: one.record.span.began):
        if batch.planned.tin:
            newest[batch.planned.tin] = batch
    return tuple(
        KnownTin(tin, {one.name: one.after for one in batch.learned if one.after is not None})
        for tin, batch in newest.items()
    )


def _unnamed(station: Station, connection: sqlite3.Connection) -> tuple[str, ...]:
    """Tins of the care log that the station file does not know: their strain and first day are not told."""
    known = {lot.id for lot in station.lots}
    used = (
        entry.deed.detail.get("lot") for entry in deed_store.every(connection) if entry.withdrawn_at is None
    )
    return tuple(dict.fromkeys(str(lot) for lot in used if lot and lot not in known))
