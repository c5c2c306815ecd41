"""The record of a night, for its chart and letter: the day and night up to the letter."""

import sqlite3
from datetime import date, datetime, timedelta
from pathlib import Path

from daemon.hours import next_local_time
from daemon.letters.conversions import local
from daemon.letters.span_record import span_record
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from reports.records import NightRecord

_LATE_S = 120  # longer than a busy beat: the station was off when the letter was due


def chart_path(folder: Path, night: date) -> Path:
    """Where a night's chart stands."""
    return folder / "charts" / f"{night.isoformat()}.png"


def night_ends(station: Station, night: date) -> int:
    """The moment at which a night's record ends: `nightly_at` on its date, Unix seconds."""
    moment = datetime.combine(night, station.post.nightly_at, station.timezone)
    return int(moment.timestamp())


def night_of(station: Station, at: int) -> date:
    """The night that a moment belongs to: the date on which its letter is due."""
    return local(station, next_local_time(station.post.nightly_at, at, station.timezone)).date()


def night_record(
    station: Station, connection: sqlite3.Connection, due_at: int, written_at: int | None = None
) -> NightRecord:
    """The day and night up to `due_at`, Unix seconds; it begins with the first reading where that is later.
    Written after it was due, it goes on up to the writing: what is believed, and what stands, is of then."""
    ended = written_at if written_at is not None and _is_late(connection, due_at, written_at) else due_at
    began = night_began(station, connection, due_at, ended)
    return span_record(station, connection, began, ended, night_of(station, due_at), station.vessels)


def night_began(station: Station, connection: sqlite3.Connection, due_at: int, ended: int) -> int:
    """When the record of a night begins that is due then and goes on to `ended`, Unix seconds."""
    begin = int((local(station, due_at) - timedelta(days=1)).timestamp())
    first = next(iter(reading_store.between(connection, begin, ended)), None)
    return begin if first is None or reading_store.any_before(connection, begin + 1) else first.at


def past_night(
    station: Station, connection: sqlite3.Connection, night: date, newest: int
) -> NightRecord | None:
    """The record of a past night, up to the `newest` reading (Unix s) where it is not over; None where no
    reading is of it that is believed."""
    record = night_record(station, connection, min(night_ends(station, night), newest))
    return record if record.night == night and record.readings_good else None


def _is_late(connection: sqlite3.Connection, due_at: int, written_at: int) -> bool:
    """Whether a night's letter was not written when it was due: the station was off then, or stood still."""
    off = run_store.outages(connection, due_at, due_at - 1)
    return written_at > due_at and (written_at - due_at > _LATE_S or bool(off))
