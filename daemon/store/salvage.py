"""A store that can no longer be read is kept under another name, and the watch goes on with another.

A station that refused to start for want of its memory would warn of nothing; one that wrote on into a broken
file might spoil what can still be read from it.
"""

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path

# The primary result codes by which SQLite says that the file, not the disk or the moment, is at fault
# (https://sqlite.org/rescode.html).
_BROKEN = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})

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
    not called broken: that is for who opens it to say.
    """
    if not path.is_file():
        return None
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            found = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        return str(error) if code in _BROKEN else None
    return None if found == "ok" else " ".join(found.split())


def set_aside_if_broken(
    path: Path, today: date, newest_good: NewestGood = lambda _folder: None
) -> SetAside | None:
    """Move a broken store out of the way; a backup takes its place, or nothing does. None: it is whole.

    Nothing is deleted but SQLite's shared memory. Only with the store's lock in hand.
    """
    found = fault_of(path)
    if found is None:
        return None
    kept = _free_name(path, today)
    backup = newest_good(path.parent)
    draft = _copied(backup, path) if backup else None
    for ending in ("-wal", "-journal", ""):  # the file last: cut short, this is done again
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(kept.with_name(kept.name + ending))
    path.with_name(f"{path.name}-shm").unlink(missing_ok=True)
    if draft is not None:
        draft.rename(path)
    return SetAside(kept.name, found, backup.name if backup else None)


def _free_name(path: Path, today: date) -> Path:
    names = (f"{path.name}.broken-{today}{f'-{n}' if n > 1 else ''}" for n in count(1))
    places = (path.with_name(name) for name in names)
    return next(place for place in places if not list(place.parent.glob(f"{place.name}*")))


def _copied(source: Path, target: Path) -> Path:
    """A copy beside `target` that survives a power cut, before anything is moved: the disk may be full."""
    draft = target.with_name(f".{target.name}.copied")
    shutil.copyfile(source, draft)
    with draft.open("r+b") as file:
        os.fsync(file.fileno())
    return draft
