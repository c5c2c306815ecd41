"""Notices that the station file was changed while the daemon runs, and has it taken up if it is right."""

import logging
from collections.abc import Callable
from pathlib import Path

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.input.file import read_text
from daemon.running.going_by import FileState, Going, file_state, tell_overlooked
from daemon.store.mishaps import Overlooked

log = logging.getLogger(__name__)


class StationFileWatch:
    """Looks at the file after every beat; one that stood still from one beat to the next is read."""

    def __init__(
        self,
        path: Path,
        going: Going,
        overlook: Callable[[Overlooked | None], None],
        begin_anew: Callable[[], None],
    ) -> None:
        """`overlook` is told of a file that is refused, and None once it says again what is gone by.

        `begin_anew` is called when the file is right and says something else.
        """
        self._path = path
        self._station = going.station
        self._overlook = overlook
        self._begin_anew = begin_anew
        self._overlooked = going.overlooked is not None
        self._judged = going.judged
        self._last_seen = going.judged

    def after_beat(self, _at: int) -> None:
        """A beat was completed."""
        seen: FileState = file_state(self._path)
        stood_still, self._last_seen = seen == self._last_seen, seen
        if stood_still and seen != self._judged:  # else it may be only half saved
            self._judged = seen
            self._judge()

    def _judge(self) -> None:
        try:
            station = parse_station(read_text(self._path), str(self._path))
        except InputError as refused:
            overlooked = Overlooked(str(self._path), refused.faults)
            tell_overlooked(overlooked)
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
