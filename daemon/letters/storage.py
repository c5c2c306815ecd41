"""What befell the station's card, store and station file, for letters and for `naupliad now`."""

import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial

from daemon.letters.conversions import WAITS_MOST_S, local
from daemon.station import Station
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from reports.letters.memory_card import CardBack, card_back_letter
from reports.letters.page import lead_of
from reports.letters.station_records import (
    RowsSpoiled,
    StoreLost,
    StoreSaved,
    rows_spoiled_letter,
    store_lost_letter,
    store_saved_letter,
)
from reports.letters.storage import FileOverlooked, StorageTrouble, file_overlooked_letter, storage_letter
from reports.records import LetterText, Setting

# When it was, and the letter that tells of it.
Mishap = tuple[datetime, Callable[[Setting], LetterText]]


def write_storage(
    station: Station, connection: sqlite3.Connection, full: StorageTrouble | None, place: Setting, at: int
) -> LetterText | None:
    """The letter about card, store, station file: what happened last, and at its end what else did.

    `full`: a card that is nearly full.
    """
    found = mishaps(station, connection, at)
    if full is not None:
        found.append((full.since, lambda where: storage_letter(where, full)))
    if not found:
        return None
    (_, newest), *others = sorted(found, key=lambda one: one[0], reverse=True)
    leads = tuple(lead_of(write(place)) for _, write in others)
    return newest(replace(place, also=(*place.also, *leads)))


def mishaps(station: Station, connection: sqlite3.Connection, at: int) -> list[Mishap]:
    """What befell card, store and station file, as far as it stands or is of late."""
    found: list[Mishap] = []
    if lost := store_lost(station, connection, at):
        found.append((lost.at, lambda place: store_lost_letter(place, lost)))
    if gone := store_gone(station, connection, at):
        found.append((gone.at, partial(_gone_letter, gone)))
    if rows := rows_spoiled(station, connection, at):
        found.append((rows.at, lambda place: rows_spoiled_letter(place, rows)))
    if back := card_back(station, connection, at):
        found.append((back.back_at, lambda place: card_back_letter(place, back)))
    if station.is_recorded:
        found += _of_the_record(station, connection)
    if overlooked := file_overlooked(station, connection):
        found.append((overlooked.at, lambda place: file_overlooked_letter(place, overlooked)))
    return found


def store_lost(station: Station, connection: sqlite3.Connection, at: int) -> StoreLost | None:
    """A store that was found damaged lately."""
    last = mishap_store.last_set_aside(connection)
    if last is None or at - last[0] >= WAITS_MOST_S:
        return None
    found_at, aside = last
    until = reading_store.newest_before(connection, found_at) if aside.backup else None
    until_local = None if until is None else local(station, until)
    return StoreLost(local(station, found_at), aside.kept_as, until_local, _vessels(station))


def store_gone(station: Station, connection: sqlite3.Connection, at: int) -> StoreSaved | StoreLost | None:
    """A store whose file was lately deleted or replaced by somebody."""
    last = mishap_store.last_store_gone(connection)
    if last is None or at - last[1] >= WAITS_MOST_S:
        return None
    _, gone_at, gone = last
    if gone.saved:
        return StoreSaved(local(station, gone_at), gone.kept_as)
    until = reading_store.newest_before(connection, gone_at) if gone.backup else None
    return StoreLost(
        local(station, gone_at), None, None if until is None else local(station, until), _vessels(station)
    )


def _gone_letter(gone: StoreSaved | StoreLost, place: Setting) -> LetterText:
    return store_saved_letter(place, gone) if isinstance(gone, StoreSaved) else store_lost_letter(place, gone)


def rows_spoiled(station: Station, connection: sqlite3.Connection, at: int) -> RowsSpoiled | None:
    """Rows that could not be true and were lately set aside."""
    aside = mishap_store.last_rows_aside(connection)
    if aside is None or at - aside.at >= WAITS_MOST_S:
        return None
    counts = dict(aside.counts)
    readings, deeds = counts.pop("reading", 0), counts.pop("deed", 0)
    others = sum(counts.values())
    return RowsSpoiled(local(station, aside.at), readings, deeds, others, _vessels(station))


def card_back(station: Station, connection: sqlite3.Connection, at: int) -> CardBack | None:
    """A disk that took no writes and lately does again."""
    last = mishap_store.last_card_failure(connection)
    if last is None or at - last[0] >= WAITS_MOST_S:
        return None
    back_at, failure = last
    return CardBack(local(station, failure.began), local(station, back_at), failure.found, _vessels(station))


def _of_the_record(station: Station, connection: sqlite3.Connection) -> list[Mishap]:
    from daemon.letters.record_waiting import record_full  # few stations are recorded
    from reports.letters.record_full import record_full_letter

    full = record_full(station, connection)
    return [] if full is None else [(full.since, lambda place: record_full_letter(place, full))]


def _vessels(station: Station) -> tuple[str, ...]:
    return tuple(vessel.id for vessel in station.vessels)


def file_overlooked(station: Station, connection: sqlite3.Connection) -> FileOverlooked | None:
    """A station file that is not taken."""
    stands = mishap_store.overlooked(connection)
    if stands is None:
        return None
    since, overlooked = stands
    by = run_store.station_file_at(connection)
    return FileOverlooked(
        local(station, since), overlooked.path, overlooked.faults, None if by is None else local(station, by)
    )
