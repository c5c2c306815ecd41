"""A fault of the disk, apart from all else that can go wrong."""

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from daemon.errors import NaupliadError

_NO_FILE = "no file can be made or opened"
# SQLite's primary result codes that speak of the disk (https://sqlite.org/rescode.html).
_OF_SQLITE = {
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_READONLY: "read-only",
    sqlite3.SQLITE_IOERR: "failing",
    sqlite3.SQLITE_CANTOPEN: _NO_FILE,
}
_OF_THE_SYSTEM = {
    errno.ENOSPC: "full",
    errno.EDQUOT: "full",
    errno.EROFS: "read-only",
    errno.EIO: "failing",
}
# These speak of the file on it: the next start sets that aside.
_OF_THE_FILE = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
# And these of what stands in it; an error without a code is our own.
_OF_THE_CONTENT = _OF_THE_FILE | {
    0,
    sqlite3.SQLITE_ERROR,
    sqlite3.SQLITE_CONSTRAINT,
    sqlite3.SQLITE_MISMATCH,
    sqlite3.SQLITE_TOOBIG,
}


def disk_fault(error: BaseException, folder: Path) -> str | None:
    """How the disk under a folder fails, "full", "read-only" or "failing"; None where it is not at fault."""
    named = {_named(cause) for cause in _causes(error)} - {None}
    if "failing" in named:  # as SQLite calls whatever went wrong with a read or a write
        return _plain_fault(folder) or "failing"
    if _NO_FILE in named:
        return _plain_fault(folder)
    return next(iter(named), None)


def is_of_the_disk(error: sqlite3.DatabaseError) -> bool:
    """Whether SQLite speaks of the disk or of the file on it."""
    code = _code(error)
    return code in _OF_SQLITE or code in _OF_THE_FILE


def is_of_the_content(error: BaseException | None) -> bool:
    """Whether SQLite speaks of the file or of what stands in it, and not of the disk or the moment."""
    return isinstance(error, sqlite3.DatabaseError) and _code(error) in _OF_THE_CONTENT


@contextmanager
def in_a_line(path: Path) -> Iterator[None]:
    """Within it, a disk that fails raises NaupliadError with the line that the daemon ends with."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        if not is_of_the_disk(error):
            raise
        raise NaupliadError(
            f"{path}: found {error}; allowed: a disk that takes and keeps what is written. The daemon ends, "
            "and goes on where it was when it is started and the disk is well"
        ) from error


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__


def _named(error: BaseException) -> str | None:
    if isinstance(error, sqlite3.DatabaseError):
        return _OF_SQLITE.get(_code(error))
    return _OF_THE_SYSTEM.get(error.errno or 0) if isinstance(error, OSError) else None


def _code(error: sqlite3.DatabaseError) -> int:
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF


def _plain_fault(folder: Path) -> str | None:
    """What the system says of the disk by itself: "read-only", "full" or nothing."""
    with suppress(OSError):
        disk = os.statvfs(folder)
        if disk.f_flag & os.ST_RDONLY:
            return "read-only"
        if disk.f_bavail == 0 or (disk.f_files > 0 and disk.f_favail == 0):
            return "full"
    return None
