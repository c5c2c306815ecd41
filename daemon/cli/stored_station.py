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
from daemon.store.file import SUMMARY, open_for_reading


def open_station(state: Path) -> tuple[Station, sqlite3.Connection]:
    """The station as its store knows it, and the store for reading. Raises InputError where there is none."""
    connection = open_for_reading(state)
    text = run_store.station_file(connection)
    if text is None:
        raise InputError(f"{state}: found a store no station has used yet; allowed: one that has run")
    return parse_station(text, f"{state}/station.db"), connection


def moment_of(state: Path, connection: sqlite3.Connection) -> int:
    """The station's now, Unix seconds: the wall clock's; where time was played, the last reading's."""
    newest = reading_store.newest_at(connection)
    return newest if newest is not None and (state / SUMMARY).exists() else int(time.time())


def station_and_now(state: Path) -> tuple[Station, int]:
    """The station as its store knows it, and its now. Raises InputError where there is none."""
    station, connection = open_station(state)
    with closing(connection):
        return station, moment_of(state, connection)
