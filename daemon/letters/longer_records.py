"""The records of longer spans: a weekend or another absence, and a batch from its setting to its end."""

import sqlite3
from dataclasses import replace

from daemon.errors import InputError
from daemon.hours import Span, next_absence
from daemon.letters.night_record import night_of
from daemon.letters.span_record import span_record
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel
from daemon.store import batches as batch_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from reports.records import NightRecord

# Where nobody is ever away: a weekend from Friday evening to Monday evening.
_NO_ABSENCE_S = 72 * HOUR_S
_LOOK_BACK_S = 15 * DAY_S
_ABSENCE_H = 24
# It comes every night, so that it came is no news in a longer span.
_EVERY_NIGHT = "nightly"


def weekend_record(station: Station, connection: sqlite3.Connection, at: int, newest: int) -> NightRecord:
    """The last absence of a day and more that began before `at`, to its end or the newest reading (Unix s);
    the 72 hours up to `at` where there was none in the 15 days before it, or none that was watched."""
    oldest = reading_store.oldest_at(connection) or at
    absence = _absence(station, at)
    began, ended = absence if absence and absence[1] > oldest else (at - _NO_ABSENCE_S, at)
    began = max(began, oldest)
    ended = min(ended, newest)
    record = span_record(station, connection, began, ended, night_of(station, ended), station.vessels)
    return replace(record, letters=tuple(one for one in record.letters if one.kind != _EVERY_NIGHT))


def _absence(station: Station, at: int) -> Span | None:
    found, since = None, at - _LOOK_BACK_S
    while (absence := next_absence(station, since, _ABSENCE_H)) is not None and absence[0] < at:
        found, since = absence, absence[1]
    return found


def batch_record(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, newest: int
) -> NightRecord:
    """A vessel's last batch from its setting to its end or the newest reading (Unix s), with the letters that
    were about the vessel or one of its probes. Raises InputError where none was set."""
    began, ended = _batch(connection, vessel, newest)
    record = span_record(station, connection, began, ended, night_of(station, ended), (vessel,))
    about = {vessel.id, *vessel.probes}
    theirs = {
        (row.kind, row.subject)
        for row in letter_store.sent_between(connection, began - 1, ended)
        if row.kind != _EVERY_NIGHT and (not row.about or about & set(row.about))
    }
    return replace(record, letters=tuple(one for one in record.letters if (one.kind, one.text) in theirs))


def _batch(connection: sqlite3.Connection, vessel: Vessel, newest: int) -> Span:
    batch = batch_store.last_of(connection, newest).get(vessel.id)
    if batch is None:
        raise InputError(f"batch: found none in {vessel.id}; allowed: a vessel in which one was set")
    return batch.set_at, batch.until(newest)
