"""Opening station.db: one writer at a time, any number of readers."""

import fcntl
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from enum import StrEnum
from pathlib import Path

from daemon.errors import LET_IN, InputError, NaupliadError
from daemon.store.schema import is_current, migrate, newer_step

FILE_NAME = "station.db"
LOCK = f"{FILE_NAME}.lock"  # whoever writes holds it; the file itself stays for good
# Beside the store of a play: its time was played, and its now is its last reading.
SUMMARY = "summary.json"
# A beat adds a few rows of 30 bytes and writes each page it touches whole: small pages, small writes. A day
# of six probes made 15 MB with pages of 4 kB, and makes 7 (tests/bench/station.py). Older files keep theirs.
_PAGE_BYTES = 512
# SQLite folds its log in when it has so many pages, about 1 MB; one that had to grow is cut back to that.
_LOG_PAGES = 2000
_LOG_BYTES = 2**20
# What the beat reads is in the system's own cache anyway; SQLite's would grow to 2 MB for nothing.
_CACHE_KB = 512


class StoreInUse(NaupliadError):
    """Another process writes to this store."""


class StoreBroken(NaupliadError):
    """The file is there and cannot be used as a store."""


class Whereabouts(StrEnum):
    """Where an open store's file stands: others on the machine may delete it or put another in its place."""

    THERE = "there"
    LOG_GONE = "its log is gone"
    GONE = "deleted"
    REPLACED = "replaced"


class StoreNewer(NaupliadError):
    """A newer program wrote this store; it is whole, and left as it is."""


class WritingStore:
    """The one connection that may write.

    A lock file beside the database keeps a second writer out, since two connections that write and
    checkpoint at the same moment can damage a WAL file in SQLite before 3.51.3.
    """

    def __init__(
        self,
        folder: Path,
        *,
        durable: bool = True,
        patience_s: float = 5.0,
        before_opening: Callable[[Path], object] = lambda _path: None,
    ) -> None:
        """Open or make the store in `folder`. `durable` False leaves fsync out: for played time only.
        Whoever reads while the log is to be folded in is waited for up to `patience_s`.

        `before_opening` gets the file's path when nobody else can write to it and it is not open yet.
        Raises StoreInUse when another process holds it, StoreBroken when it is no usable database, and
        StoreNewer.
        """
        self.path = folder / FILE_NAME
        self._durable = durable
        self._lock = _locked(folder / LOCK)
        try:
            before_opening(self.path)
            self.connection = sqlite3.connect(self.path, patience_s, isolation_level=None)
            _check_known(self.path, self.connection)
            self.connection.execute(f"PRAGMA page_size = {_PAGE_BYTES}")
            self.connection.execute("PRAGMA journal_mode = WAL")
            self.connection.execute(f"PRAGMA wal_autocheckpoint = {_LOG_PAGES}")
            self.connection.execute(f"PRAGMA cache_size = -{_CACHE_KB}")
            self.connection.execute(f"PRAGMA synchronous = {'FULL' if durable else 'OFF'}")
            self.connection.execute(f"PRAGMA journal_size_limit = {_LOG_BYTES}")
            migrate(self.connection)
            self.connection.execute("PRAGMA foreign_keys = ON")  # not before: tables are written anew there
            self._opened = {path: _identity(path) for path in _parts(self.path)}
        except StoreNewer:
            self.connection.close()
            os.close(self._lock)
            raise
        except sqlite3.DatabaseError as error:
            os.close(self._lock)
            raise StoreBroken(
                f"{self.path}: found {error}; allowed: a database that naupliad made"
            ) from error
        except OSError as error:  # of `before_opening`
            os.close(self._lock)
            raise InputError(
                f"{folder}: found {error.strerror}; allowed: a folder this user can write to"
            ) from error

    def where_it_was(self) -> "Whereabouts":
        """Whether the file that is written to still stands where it was opened, and what belongs to it."""
        if _identity(self.path) != self._opened[self.path]:
            return Whereabouts.GONE if _identity(self.path) is None else Whereabouts.REPLACED
        beside = {path: known for path, known in self._opened.items() if known is not None}
        if any(_identity(path) != known for path, known in beside.items()):
            return Whereabouts.LOG_GONE
        return Whereabouts.THERE

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All that is written inside, or nothing; one inside another joins it."""
        if self.connection.in_transaction:
            yield self.connection
            return
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield self.connection
        except BaseException:
            self.connection.rollback()
            raise
        self.connection.execute("COMMIT")

    def close(self) -> None:
        """Fold the log into the file and let the next writer in.

        A played store is finished: without a log its readers leave nothing beside it.
        """
        # A Ctrl-C can leave a read half done, which keeps the log in use; it is folded in at the next start.
        # A disk that fails now has said so before.
        with suppress(sqlite3.DatabaseError):
            self.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            if not self._durable:
                self.connection.execute("PRAGMA journal_mode = DELETE")
        self.connection.close()
        os.close(self._lock)


@contextmanager
def one_moment(connection: sqlite3.Connection) -> Iterator[None]:
    """All that is read inside is of one moment, whatever a daemon writes meanwhile."""
    if connection.in_transaction:
        yield
        return
    connection.execute("BEGIN")
    try:
        yield
    finally:
        connection.rollback()


@contextmanager
def no_writer(folder: Path) -> Iterator[None]:
    """Nobody else writes to the store in `folder` meanwhile.

    Raises StoreInUse where somebody does, and InputError where that cannot be found out.
    """
    lock = _locked(folder / LOCK)
    try:
        yield
    finally:
        os.close(lock)


def not_kept(path: Path, error: sqlite3.Error) -> str:
    """The line for who asked for something that the store did not take."""
    return f"{path}: found {error}; allowed: a disk that takes and keeps what is written. Nothing was done"


def _parts(path: Path) -> list[Path]:
    return [path.with_name(path.name + ending) for ending in ("", "-wal", "-shm", ".lock")]


def _identity(path: Path) -> tuple[int, int] | None:
    """What tells a file from any other of that name; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _locked(path: Path) -> int:
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
    except OSError as error:
        raise InputError(
            f"{path.parent}: found {error.strerror}; allowed: a folder this user can write to"
        ) from error
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(descriptor)
        raise StoreInUse(
            f"{path.parent}: found another naupliad writing here; allowed: one writer"
        ) from error
    return descriptor


def open_for_reading(folder: Path) -> sqlite3.Connection:
    """A connection that cannot write. Raises InputError where there is no store, or no way in."""
    path = folder / FILE_NAME
    try:
        there = path.is_file()
    except PermissionError as error:
        raise InputError(f"{folder}: found a folder you may not look into; {LET_IN}") from error
    if not there:
        raise InputError(f"{path}: found no store; allowed: the folder of a station that has run")
    try:
        return _checked(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True))
    except sqlite3.OperationalError as error:
        return _read_unattended(path, error)
    except sqlite3.DatabaseError as error:
        raise StoreBroken(f"{path}: found {error}; allowed: a database that naupliad made") from error


def check_current(folder: Path, connection: sqlite3.Connection) -> None:
    """Raises NaupliadError where the store is an earlier version's, and was not opened for writing since.

    StoreNewer where it is a later version's.
    """
    _check_known(folder / FILE_NAME, connection)
    if not is_current(connection):
        raise NaupliadError(
            f"{folder / FILE_NAME}: found a store as an earlier version left it; allowed: one that this "
            "version has taken up. Start the daemon anew, or play it again"
        )


def _check_known(path: Path, connection: sqlite3.Connection) -> None:
    step = newer_step(connection)
    if step is not None:
        raise StoreNewer(
            f"{path}: found a store that a newer naupliad wrote ({step}); allowed: one of this version or of "
            "an earlier one. Bring the program up to date, or put an older backup back; nothing was changed"
        )


def _checked(connection: sqlite3.Connection) -> sqlite3.Connection:
    connection.execute("SELECT at FROM station_file LIMIT 1")
    return connection


def _read_unattended(path: Path, error: sqlite3.OperationalError) -> sqlite3.Connection:
    """Read a store that no daemon has open, as somebody who may not write to its folder.

    SQLite cannot make the shared memory of its log there. Where the log is empty it is not needed.
    """
    log = path.with_name(f"{path.name}-wal")
    if log.exists() and log.stat().st_size > 0:
        raise NaupliadError(
            f"{path}: found a store whose daemon is stopped and whose log only its account can read; "
            "start the daemon, or run this command as the daemon's account"
        ) from error
    try:
        return _checked(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True))
    except sqlite3.DatabaseError as broken:
        raise StoreBroken(f"{path}: found {broken}; allowed: a database that naupliad made") from broken
