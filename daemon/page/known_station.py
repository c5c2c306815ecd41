"""The station as its records know it, for the guard: looked up at every request, read where it changed."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

from daemon.config import parse_station
from daemon.errors import NaupliadError
from daemon.station import Station
from daemon.store import runs as run_store
from daemon.store.file import open_for_reading


class KnownStation:
    """Called, it gives the station; while its records cannot be read, as it was known last. None before that.

    So who may read stays as it was while the records are being replaced.
    """

    def __init__(self, state: Path) -> None:
        self._state = state
        self._lock = threading.Lock()
        self._text = ""
        self._station: Station | None = None

    def __call__(self) -> Station | None:
        """The station now."""
        try:
            with closing(open_for_reading(self._state)) as connection:
                text = run_store.station_file(connection)
            with self._lock:
                if text is not None and text != self._text:
                    self._station, self._text = parse_station(text, f"{self._state}/station.db"), text
        except (NaupliadError, sqlite3.Error):
            pass
        return self._station
