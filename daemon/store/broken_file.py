"""A store that can no longer be read is kept under another name, and the watch goes on with another.

A station that refused to start for want of its memory would warn of nothing; one that wrote on into a broken
file might spoil what can still be read from it.
"""

import os
import re
import sqlite3
from collections.abc import Callable, Collection
from contextlib import closing
from datetime import date
from itertools import count
from pathlib import Path

from daemon.store.file_check import FileFound, look_through
from daemon.store.mishaps import SetAside

# The primary result codes by which SQLite says that the file, not the disk or the moment, is at fault
# (https://sqlite.org/rescode.html); and the extended ones by which the disk gives a page of it back no more.
_BROKEN = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})
_UNREADABLE = frozenset({sqlite3.SQLITE_IOERR_READ, sqlite3.SQLITE_IOERR_CORRUPTFS})

_NOTHING = FileFound(None, frozenset())
_KEPT = re.compile(r"\.broken-\d{4}-\d{2}-\d{2}(-\d+)?")

# The newest backup in a state folder that was found whole, or None.
NewestGood = Callable[[Path], Path | None]


def look_at(path: Path) -> FileFound:
    """What SQLite finds in a store's file; nothing where there is none.

    Reads the whole file and writes nothing. A file that cannot be read now (no right to, a busy disk) is
    not called broken: that is for who opens it to say. One of which a page cannot be read, twice, is.
    """
    if not path.is_file():
        return _NOTHING
    for last in (False, True):
        try:
            with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as connection:
                return look_through(connection)
        except sqlite3.DatabaseError as error:
            code = getattr(error, "sqlite_errorcode", 0)
            if code & 0xFF in _BROKEN or (code in _UNREADABLE and last):
                return FileFound(str(error), frozenset())
            if code not in _UNREADABLE:
                return _NOTHING
    return _NOTHING


def finish(path: Path) -> None:
    """Finish what a power cut broke off in `set_aside`."""
    draft = draft_of(path)
    if path.exists():
        draft.unlink(missing_ok=True)  # of a copy that was cut short
    elif draft.exists():  # cut short before its last step
        draft.rename(path)


def set_aside(
    path: Path, today: date, found: str, newest_good: NewestGood = lambda _folder: None
) -> SetAside:
    """Move a store out of the way for what was found; a backup takes its place, or nothing does.

    Nothing is deleted but SQLite's shared memory. Only with the store's lock in hand.
    """
    backup = newest_good(path.parent)
    if backup is not None:
        _copy(backup, draft_of(path))
    kept = move_aside(path, today)
    if backup is not None:
        draft_of(path).rename(path)
    return SetAside(kept.name, found, backup.name if backup else None)


def move_aside(path: Path, today: date) -> Path:
    """Give a store's file and its log a name under which nothing looks for them; that name."""
    kept = _free_name(path, today)
    for ending in ("-wal", "-journal", ""):  # the file last: cut short, this is done again
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(kept.with_name(kept.name + ending))
    path.with_name(f"{path.name}-shm").unlink(missing_ok=True)
    return kept


def take_backup(path: Path, newest_good: NewestGood) -> str | None:
    """Put the newest good backup where a store was; its name, None where there is none."""
    backup = newest_good(path.parent)
    if backup is None:
        return None
    _copy(backup, draft_of(path))
    for ending in ("-wal", "-journal", "-shm"):  # a log of another store would be folded into it
        path.with_name(path.name + ending).unlink(missing_ok=True)
    draft_of(path).rename(path)
    return backup.name


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


def draft_of(path: Path) -> Path:
    """Where a store is made ready that is to take a place."""
    return path.with_name(f".{path.name}.copied")


def _copy(source: Path, target: Path) -> None:
    """A copy that survives a power cut, made before anything is moved: the disk may be full."""
    from shutil import copyfile  # with all its packers: 1 MB that a daemon would carry for years

    copyfile(source, target)
    with target.open("r+b") as file:
        os.fsync(file.fileno())
