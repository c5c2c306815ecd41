"""Which station file is followed: the one that is there, or, while that is refused, the one before.

A refused file keeps the daemon from running where somebody sees that, at a terminal. Where nobody does it
follows the file it last ran by, if the store holds one: a typo must not cost the watch at the next power cut.
While it runs, a changed file is taken up if it is right, and overlooked if it is not.
"""

import logging
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from sqlite3 import Error as StoreError
from typing import TypeVar

from daemon.config import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.input.file import read_text
from daemon.station import Station
from daemon.store import runs as run_store
from daemon.store.file import open_for_reading
from daemon.store.mishaps import Overlooked

log = logging.getLogger(__name__)

# What tells one saved file from the next: inode, size, time of change in ns; and when its owner or its mode
# was changed last, in ns, by which it may have become unreadable. None: it cannot be looked at.
FileState = tuple[int, int, int, int] | None
_Fitted = TypeVar("_Fitted")


@dataclass(frozen=True, slots=True)
class Followed:
    """The station that is followed, and its text.

    `judged` is the file as it was found, `overlooked` what is wrong with it where the one before is followed.
    """

    station: Station
    text: str
    judged: FileState
    overlooked: Overlooked | None


def file_state(path: Path) -> FileState:
    """What tells the file as it is now from any other."""
    with suppress(OSError, ValueError):
        found = path.stat()
        return found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns
    return None


def follow(
    path: Path, state: Path, fit: Callable[[Station], _Fitted], *, alone: bool
) -> tuple[Followed, _Fitted]:
    """The station to follow, and what `fit` makes of it; `fit` may refuse a station by InputError too.

    Raises InputError with a line for every fault where the file is refused and either somebody looks on
    (not `alone`) or no other file is known.
    """
    judged = file_state(path)
    try:
        text = read_text(path)
        station = parse_station(text, str(path))
        return Followed(station, text, judged, None), fit(station)
    except InputError as refused:
        before = _file_before(state) if alone else None
        if before is None:
            raise
        try:
            station = parse_station(before, str(path))
            fitted = fit(station)
        except InputError:
            raise refused from None
        overlooked = Overlooked(str(path), refused.faults)
        log_overlooked(overlooked)
        return Followed(station, before, judged, overlooked), fitted


def log_overlooked(overlooked: Overlooked) -> None:
    """A line in the log for each fault, and one that says what is done."""
    for line in overlooked.faults:
        log.error("%s", line)
    log.error("%s is not taken; the station goes on by the file it ran by before", overlooked.path)


class StationFileWatch:
    """Looks at the file after every beat; one that stood still from one beat to the next is read."""

    def __init__(
        self,
        path: Path,
        followed: Followed,
        overlook: Callable[[Overlooked | None], None],
        begin_anew: Callable[[], None],
    ) -> None:
        """`overlook` is given a file that is refused, and None once it says again what is followed.

        `begin_anew` is called when the file is right and says something else.
        """
        self._path = path
        self._station = followed.station
        self._overlook = overlook
        self._begin_anew = begin_anew
        self._overlooked = followed.overlooked is not None
        self._judged = followed.judged
        self._last_seen = followed.judged

    def after_beat(self, _at: int) -> None:
        """A beat was completed."""
        seen = file_state(self._path)
        stood_still, self._last_seen = seen == self._last_seen, seen
        if stood_still and seen != self._judged:  # else it may be only half saved
            self._judged = seen
            self._judge()

    def _judge(self) -> None:
        try:
            station = parse_station(read_text(self._path), str(self._path))
        except InputError as refused:
            overlooked = Overlooked(str(self._path), refused.faults)
            log_overlooked(overlooked)
            self._overlooked = True
            self._overlook(overlooked)
            return
        if station != self._station:
            log.info("%s was changed; the station begins anew by it", self._path)
            self._begin_anew()
        elif self._overlooked:
            log.info("%s is right again, and says what the station goes by", self._path)
            self._overlooked = False
            self._overlook(None)


def _file_before(state: Path) -> str | None:
    """The station file that the store was last run by; None where that cannot be had."""
    with suppress(NaupliadError, StoreError), closing(open_for_reading(state)) as connection:
        return run_store.station_file(connection)
    return None
