"""Which station file the daemon goes by: the one that is there, or, while that is refused, the one before.

A refused file keeps the daemon from running where somebody sees that, at a terminal. Where nobody does it
goes by the file it last ran by, if the store holds one: a typo must not cost the watch at the next power cut.
"""

import logging
import os
import sys
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from sqlite3 import Error as StoreError
from typing import NoReturn, TypeVar

from daemon.config import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.input.file import read_text
from daemon.station import Station
from daemon.store import runs as run_store
from daemon.store.file import open_for_reading
from daemon.store.mishaps import Overlooked

log = logging.getLogger(__name__)

# Tells the process that follows that it was begun by this one, with nobody looking on.
_BEGUN_ANEW = "NAUPLIAD_BEGUN_ANEW"

# What tells one saved file from the next: inode, size, time of change in ns. None: there is no file.
FileState = tuple[int, int, int] | None
_Fitted = TypeVar("_Fitted")


@dataclass(frozen=True, slots=True)
class Going:
    """The station gone by, with its text; `judged` is the file as it was found, `overlooked` what is
    wrong with it where the one before is gone by instead."""

    station: Station
    text: str
    judged: FileState
    overlooked: Overlooked | None


def file_state(path: Path) -> FileState:
    """What tells the file as it is now from any other."""
    with suppress(OSError, ValueError):
        found = path.stat()
        return found.st_ino, found.st_size, found.st_mtime_ns
    return None


def begun_anew(environ: Mapping[str, str]) -> bool:
    """Whether a daemon that ran has begun this one, for another station file."""
    return bool(environ.get(_BEGUN_ANEW))


def nobody_looks_on(environ: Mapping[str, str]) -> bool:
    """Whether nobody is there to see a daemon refuse: a service manager started it, or a daemon did."""
    return bool(environ.get("NOTIFY_SOCKET")) or begun_anew(environ)


def going_by(
    path: Path, state: Path, fit: Callable[[Station], _Fitted], *, alone: bool
) -> tuple[Going, _Fitted]:
    """The station to go by, and what `fit` makes of it; `fit` may refuse a station by InputError too.

    Raises InputError with a line for every fault where the file is refused and either somebody looks on
    (not `alone`) or no other file is known.
    """
    judged = file_state(path)
    try:
        text = read_text(path)
        station = parse_station(text, str(path))
        return Going(station, text, judged, None), fit(station)
    except InputError as refused:
        kept = _kept(state) if alone else None
        if kept is None:
            raise
        try:
            station = parse_station(kept, str(path))
            fitted = fit(station)
        except InputError:
            raise refused from None
        overlooked = Overlooked(str(path), refused.faults)
        tell_overlooked(overlooked)
        return Going(station, kept, judged, overlooked), fitted


def tell_overlooked(overlooked: Overlooked) -> None:
    """A line in the log for each fault, and one that says what is done."""
    for line in overlooked.faults:
        log.error("%s", line)
    log.error("%s is not taken; the station goes on by the file it ran by before", overlooked.path)


def begin_anew() -> NoReturn:
    """Put a new process in the place of this one: the same command, number and service, nothing left over."""
    os.environ[_BEGUN_ANEW] = "1"
    sys.stdout.flush()
    sys.stderr.flush()
    os.closerange(3, os.sysconf("SC_OPEN_MAX"))  # what a library left open must not hold a pin or a lock
    os.execv(sys.executable, [sys.executable, *sys.orig_argv[1:]])  # noqa: S606 - the command it is itself


def _kept(state: Path) -> str | None:
    """The station file that the store was last run by; None where that cannot be had."""
    with suppress(NaupliadError, StoreError), closing(open_for_reading(state)) as connection:
        return run_store.station_file(connection)
    return None
