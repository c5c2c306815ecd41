"""Opening the daemon's store: one that is broken is kept beside it under another name, and told of."""

import logging
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from daemon.duties.setting import local
from daemon.errors import InputError, NaupliadError
from daemon.running.disk_fault import is_of_the_disk
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.backup import BACKUPS, newest_good
from daemon.store.broken_file import SetAside, set_aside_if_broken, set_aside_unknown
from daemon.store.file import WritingStore, open_for_reading
from reports.troubles import LastRead
from sensors.reading import Measure

log = logging.getLogger(__name__)


def opened(state: Path, now: int) -> WritingStore:
    """The store in a folder, which is made where it is not there.

    Raises NaupliadError where there is none to be had; its cause says whether the disk is at fault.
    """
    found: list[SetAside] = []

    def salvage(path: Path) -> None:
        today = datetime.fromtimestamp(now, UTC).date()
        aside = set_aside_if_broken(path, today, lambda state: newest_good(state / BACKUPS))
        found.extend([aside] if aside else [])

    store = WritingStore(_made(state), before_opening=salvage)
    try:
        with told_in_a_line(store.path), store.transaction() as connection:
            _remember(connection, store.path, found, now)
    except BaseException:
        store.close()
        raise
    return store


def _remember(connection: sqlite3.Connection, path: Path, found: Sequence[SetAside], now: int) -> None:
    for aside in found:
        begins = f"the backup {aside.backup} takes its place" if aside.backup else "an empty one begins"
        log.error("%s: found %s; it is kept as %s, %s", path, aside.found, aside.kept_as, begins)
        run_store.keep_set_aside(connection, aside, now)
    told = run_store.set_aside_names(connection)
    for at, untold in set_aside_unknown(path, told, lambda at: reading_store.newest_before(connection, at)):
        log.error("%s was set aside and nothing was said of it; it is told now", untold.kept_as)
        run_store.keep_set_aside(connection, untold, min(at, now))


def _made(state: Path) -> Path:
    try:
        state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{state}: found {found}; allowed: a folder this user can write to") from error
    return state


@contextmanager
def told_in_a_line(path: Path) -> Iterator[None]:
    """A disk that fails ends the daemon with a line that says so; nothing half-written is left."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        if not is_of_the_disk(error):
            raise
        raise NaupliadError(
            f"{path}: found {error}; allowed: a disk that takes and keeps what is written. The daemon ends, "
            "and goes on where it was when it is started and the disk is well"
        ) from error


def last_reads(station: Station, connection: sqlite3.Connection, vessels: Sequence[str]) -> list[LastRead]:
    """What the water of some vessels was when it was last read well."""
    told = []
    for vessel in station.vessels:
        plan = station.probe_of(vessel, Measure.WATER_C)
        reading = plan and reading_store.latest(connection, plan.id, good=True)
        if reading and reading.value is not None and vessel.id in vessels:
            told.append(LastRead(vessel.id, vessel.count, reading.value, local(station, reading.at)))
    return told


def last_reads_in(station: Station, state: Path) -> list[LastRead]:
    """The same of all vessels, as far as a store can be read that cannot be opened for writing."""
    with suppress(NaupliadError, sqlite3.Error), closing(open_for_reading(state)) as connection:
        return last_reads(station, connection, [vessel.id for vessel in station.vessels])
    return []
