"""A glance at the station: what a view is made from, read once, by a connection of its own.

One is opened for each request: a connection opened while the daemon was stopped sees nothing of what it
writes after its next start.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path

from daemon.inbox.asking import is_heard
from daemon.inbox.line import INBOX
from daemon.letters.conversions import local, setting
from daemon.letters.night_record import night_began, night_record
from daemon.station import Station
from daemon.store import boots as boot_store
from daemon.store import readings as reading_store
from daemon.store.file import SUMMARY
from daemon.stored_station import moment_of, open_station
from reports.records import NightRecord, Setting


@dataclass
class Glance:
    """The station as it stands at `at` (Unix s)."""

    state: Path
    station: Station
    connection: sqlite3.Connection
    at: int

    @cached_property
    def record(self) -> NightRecord:
        """The last day and night of all vessels."""
        return night_record(self.station, self.connection, self.at)

    @cached_property
    def setting(self) -> Setting:
        """Where and when this is, and who comes next."""
        # Not by the night's record: that is 1.6 MB, and half of the views need no more of it.
        began = night_began(self.station, self.connection, self.at, self.at)
        sure = boot_store.sure_between(self.connection, began, self.at)
        return setting(self.station, self.connection, self.at, clock_sure=sure)

    @cached_property
    def watched(self) -> bool:
        """Whether a daemon watches now. A played station has none, and lacks none."""
        if self.played:
            return True
        try:
            return is_heard(self.state / INBOX)
        except OSError:  # there, and not to be spoken to: somebody holds it
            return True

    @property
    def played(self) -> bool:
        """Whether its time was played: nothing more will come, and nothing can be recorded."""
        return (self.state / SUMMARY).exists()

    @cached_property
    def newest_at(self) -> int | None:
        """When the last reading came, Unix seconds."""
        return reading_store.newest_at(self.connection)

    @property
    def language(self) -> str:
        """The station's."""
        return self.station.language

    def local(self, at: float) -> datetime:
        """A moment in the station's time zone."""
        return local(self.station, at)


# SQLite would keep 2 MB of pages for a connection that answers one request. A day of eight vessels is 0.4 MB.
_CACHE_KB = 256

Moment = Callable[[Path, sqlite3.Connection], int]


@contextmanager
def glancing(state: Path, moment: Moment = moment_of) -> Iterator[Glance]:
    """A glance, as long as it lasts; `moment` says what time it is, Unix seconds.

    Raises NaupliadError where there is no store to look into.
    """
    station, connection = open_station(state)
    with closing(connection):
        connection.execute(f"PRAGMA cache_size = -{_CACHE_KB}")
        yield Glance(state, station, connection, moment(state, connection))
