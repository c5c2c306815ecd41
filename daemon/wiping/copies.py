"""Where class data stands besides the store: files of the state folder that quote it, and backups."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from daemon.store.backup import BACKUPS, backups_in, rewrite
from daemon.wiping.class_data import blank, counts, texts_of

Found = TypeVar("Found")
Else = TypeVar("Else")


@dataclass(frozen=True, slots=True)
class Copies:
    """A sort of file that is removed: by a pattern in the state folder; `what` it is."""

    what: str
    pattern: str


REMOVED = (
    Copies("charts", "charts/*"),
    Copies("letter files", "letters/*"),
    Copies("snapshot", "beliefs.snapshot*"),
    Copies("damaged", "station.db.broken-*"),
)


def to_remove(state: Path, folders: list[Path]) -> dict[str, list[Path]]:
    """The files that go, by what they are; only of what there is. A backup that is no store any more is one
    of them.
    """
    found = {
        one.what: sorted(path for path in state.glob(one.pattern) if path.is_file() or path.is_symlink())
        for one in REMOVED
    }
    found["damaged"] += [path for folder in folders for path in backups_in(folder) if _holds(path) is None]
    return {what: paths for what, paths in found.items() if paths}


def folders_of(state: Path, also: Path | None) -> list[Path]:
    """The folders of backups that are there."""
    return [folder for folder in (state / BACKUPS, also) if folder is not None and folder.is_dir()]


def to_rewrite(folder: Path) -> list[Path]:
    """The backups in a folder that hold class data."""
    return [path for path in backups_in(folder) if _holds(path)]


def rewrite_backups(folder: Path) -> None:
    """Blank class data in every backup of a folder: under each name is the old one or the new one, whole."""
    wanted = set(to_rewrite(folder))
    rewrite(folder, blank, lambda path: path in wanted)


def texts_in_copies(state: Path, folders: list[Path]) -> set[str]:
    """What people wrote as far as copies hold it: a wipe that was broken off had it gone from the store."""
    stores = [path for folder in folders for path in backups_in(folder)]
    stores += [path for path in state.glob("station.db.broken-*") if not path.name.endswith("-wal")]
    return set().union(*(_read(path, texts_of, set[str]()) for path in stores))


def _holds(path: Path) -> bool | None:
    """Whether a store holds class data; None where nobody can look into it."""
    found = _read(path, counts, None)
    return None if found is None else bool(found)


def _read(path: Path, look: Callable[[sqlite3.Connection], Found], otherwise: Else) -> Found | Else:
    with suppress(sqlite3.DatabaseError), closing(looked_into(path)) as connection:
        return look(connection)
    return otherwise


def looked_into(path: Path) -> sqlite3.Connection:
    """A store that nobody writes to, for reading."""
    return sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)


def files_in(folders: list[Path]) -> Iterator[Path]:
    """Every file below some folders, each once."""
    yield from dict.fromkeys(
        path
        for folder in folders
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.is_symlink()
    )
