"""The station as a state folder's store knows it, and its now."""

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import SUMMARY, check_current, open_for_reading


def open_station(state: Path) -> tuple[Station, sqlite3.Connection]:
    """The station as its store knows it, and the store for reading. Raises InputError where there is none.

    Raises NaupliadError for a store that an earlier version left: only who writes takes it up.
    """
    connection = open_for_reading(state)
    check_current(state, connection)
    return _station(state, connection), connection


def _station(state: Path, connection: sqlite3.Connection) -> Station:
    text = run_store.station_file(connection)
    if text is None:
        raise InputError(
            f"{state}: found records that no station has used yet; allowed: a folder of one that has run"
        )
    return parse_station(text, f"{state}/station.db")


def moment_of(state: Path, connection: sqlite3.Connection) -> int:
    """The station's now, Unix seconds: the wall clock's; where time was played, the last reading's."""
    newest = reading_store.newest_at(connection)
    return newest if newest is not None and (state / SUMMARY).exists() else int(time.time())


def station_and_now(state: Path) -> tuple[Station, int]:
    """The station as a store of any version knows it, and its now. Raises InputError as above."""
    with closing(open_for_reading(state)) as connection:
        return _station(state, connection), moment_of(state, connection)
