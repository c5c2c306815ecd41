"""A store that can no longer be read is kept under another name, and the watch goes on with another.

A station that refused to start for want of its memory would warn of nothing; one that wrote on into a broken
file might spoil what can still be read from it.
"""

import os
import re
import sqlite3
from collections.abc import Callable, Collection
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path

# The primary result codes by which SQLite says that the file, not the disk or the moment, is at fault
# (https://sqlite.org/rescode.html); and the extended ones by which the disk gives a page of it back no more.
_BROKEN = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_UNREADABLE = frozenset({sqlite3.SQLITE_IOERR_READ, sqlite3.SQLITE_IOERR_CORRUPTFS})

_KEPT = re.compile(r"\.broken-\d{4}-\d{2}-\d{2}(-\d+)?")

# The newest backup in a state folder that was found whole, or None.
NewestGood = Callable[[Path], Path | None]


@dataclass(frozen=True, slots=True)
class SetAside:
    """A broken store: the name it is kept under, what SQLite found, and the backup that took its place."""

    kept_as: str
    found: str
    backup: str | None


def fault_of(path: Path) -> str | None:
    """What SQLite finds broken in a store's file; None where it finds nothing, or there is none.

    Reads the whole file and writes nothing. A file that cannot be read now (no right to, a busy disk) is
    not called broken: that is for who opens it to say. One of which a page cannot be read, twice, is.
    """
    if not path.is_file():
        return None
    for last in (False, True):
        try:
            with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as connection:
                found = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
        except sqlite3.DatabaseError as error:
            code = getattr(error, "sqlite_errorcode", 0)
            if code & 0xFF in _BROKEN or (code in _UNREADABLE and last):
                return str(error)
            if code not in _UNREADABLE:
                return None
        else:
            return None if found == "ok" else " ".join(found.split())
    return None


def set_aside_if_broken(
    path: Path, today: date, newest_good: NewestGood = lambda _folder: None
) -> SetAside | None:
    """Move a broken store out of the way; a backup takes its place, or nothing does. None: it is whole.

    Nothing is deleted but SQLite's shared memory. Only with the store's lock in hand.
    """
    draft = _draft_of(path)
    if path.exists():
        draft.unlink(missing_ok=True)  # of a copy that was cut short
    elif draft.exists():  # cut short below, before its last step
        draft.rename(path)
    found = fault_of(path)
    if found is None:
        return None
    kept = _free_name(path, today)
    backup = newest_good(path.parent)
    if backup is not None:
        _copy(backup, draft)
    for ending in ("-wal", "-journal", ""):  # the file last: cut short, this is done again
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(kept.with_name(kept.name + ending))
    path.with_name(f"{path.name}-shm").unlink(missing_ok=True)
    if backup is not None:
        draft.rename(path)
    return SetAside(kept.name, found, backup.name if backup else None)


def set_aside_unknown(
    path: Path, known: Collection[str], newest_before: Callable[[int], int | None]
) -> list[tuple[int, SetAside]]:
    """Stores that were set aside and are not among those `known`, each with when: the power went too soon.

    `newest_before` gives the store's newest reading before a moment: where there is one, a backup took the
    place.
    """
    forgotten = []
    for kept in sorted(path.parent.glob(f"{path.name}.broken-*")):
        if _KEPT.fullmatch(kept.name.removeprefix(path.name)) and kept.name not in known:
            at = int(kept.stat().st_ctime)  # when it got that name
            backup = None if newest_before(at) is None else "unknown"
            forgotten.append((at, SetAside(kept.name, "unknown", backup)))
    return forgotten


def _free_name(path: Path, today: date) -> Path:
    names = (f"{path.name}.broken-{today}{f'-{n}' if n > 1 else ''}" for n in count(1))
    places = (path.with_name(name) for name in names)
    return next(place for place in places if not list(place.parent.glob(f"{place.name}*")))


def _draft_of(path: Path) -> Path:
    return path.with_name(f".{path.name}.copied")


def _copy(source: Path, target: Path) -> None:
    """A copy that survives a power cut, made before anything is moved: the disk may be full."""
    from shutil import copyfile  # with all its packers: 1 MB that a daemon would carry for years

    copyfile(source, target)
    with target.open("r+b") as file:
        os.fsync(file.fileno())
