"""Wiping: what would go, and its going, in an order in which a power cut at any moment leaves old or new.

The texts that are searched for at the end are noted first: a wipe that is broken off has blanked some of them
already, and one that is begun again takes them up. Copies go before the store, and each is a whole file.
"""

import json
import os
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from daemon.errors import NaupliadError
from daemon.store.backup import LEFT_FREE_BYTES, NoRoom, free_bytes, sync
from daemon.store.file import FILE_NAME, SUMMARY, WritingStore, open_for_reading
from daemon.wiping.class_data import blank, counts, texts_of
from daemon.wiping.copies import files_in, folders_of, rewrite_backups, texts_in_copies, to_remove, to_rewrite
from daemon.wiping.proof import Proof, prove

# What is being wiped, for its owner alone; there only while a wipe is under way, or was broken off.
UNDER_WAY = "wiping.json"
_SPARE = 2  # so many times the store's size a rewriting takes for a while


class Announces(Protocol):
    """Hears the name of each step before it is done, and of which folder it is where it is of one."""

    def __call__(self, key: str, folder: str = "") -> None: ...


def _unsaid(key: str, folder: str = "") -> None:
    pass


@dataclass(frozen=True, slots=True)
class WipePlan:
    """What would go: rows by what they are, files that are removed, backups that are rewritten. `broken_off`:
    an earlier wipe was."""

    rows: dict[str, int]
    files: dict[str, list[Path]]
    backups: list[Path]
    broken_off: bool

    @property
    def empty(self) -> bool:
        """Whether there is nothing to wipe."""
        return not (self.rows or self.files or self.backups or self.broken_off)


def wipe_plan(state: Path, also: Path | None) -> WipePlan:
    """What a wipe would do as things stand. Raises InputError where there is no store."""
    with closing(open_for_reading(state)) as connection:
        rows = counts(connection)
    folders = folders_of(state, also)
    backups = [path for folder in folders for path in to_rewrite(folder)]
    return WipePlan(rows, to_remove(state, folders), backups, (state / UNDER_WAY).exists())


def wipe(state: Path, also: Path | None, said: Announces = _unsaid, *, patience_s: float = 5.0) -> Proof:
    """Wipe class data from the store in `state` and from its copies, and search all files for it.

    Each step is `said` before it is done; who reads meanwhile is waited for up to `patience_s`. Raises
    StoreInUse where a daemon runs, NoRoom, and NaupliadError.
    """
    store = WritingStore(state, durable=not (state / SUMMARY).exists(), patience_s=patience_s)
    try:
        _check_room(state)
        folders = folders_of(state, also)
        said("note")
        texts = _noted(state, texts_of(store.connection) | texts_in_copies(state, folders))
        for folder in folders:
            said("backups", str(folder))
            rewrite_backups(folder)
        said("files")
        _remove([path for paths in to_remove(state, folders).values() for path in paths])
        said("blank")
        _blank(store)
        said("rewrite")
        _rewrite(store)
    except sqlite3.DatabaseError as error:
        raise NaupliadError(
            f"{state / FILE_NAME}: found {error}; the wipe is not done; run it again"
        ) from error
    finally:
        store.close()
    said("search")
    (state / UNDER_WAY).unlink(missing_ok=True)
    sync(state)
    return prove(texts, list(files_in([state, *folders])))


def _check_room(state: Path) -> None:
    needed = _SPARE * (state / FILE_NAME).stat().st_size + LEFT_FREE_BYTES
    if (free := free_bytes(state)) < needed:
        raise NoRoom(
            f"{state}: found {free / 1e6:.0f} MB free; allowed: {needed / 1e6:.0f} MB, for the records are "
            "written anew; nothing was wiped"
        )


def _noted(state: Path, texts: set[str]) -> set[str]:
    """These and those of a wipe that was broken off; kept until all of it is done."""
    path, beside = state / UNDER_WAY, state / f"{UNDER_WAY}.new"
    with suppress(FileNotFoundError, ValueError):
        texts |= {str(text) for text in json.loads(path.read_text("utf-8"))}
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        json.dump(sorted(texts), file, ensure_ascii=False)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
    sync(state)
    return texts


def _remove(paths: list[Path]) -> None:
    for path in paths:
        path.unlink(missing_ok=True)
    for folder in {path.parent for path in paths}:
        sync(folder)


def _blank(store: WritingStore) -> None:
    store.connection.execute("PRAGMA secure_delete = ON")
    with store.transaction() as connection:
        blank(connection)


def _rewrite(store: WritingStore) -> None:
    """Nothing of what was stays in free pages or in the log."""
    store.connection.execute("PRAGMA secure_delete = ON")
    store.connection.execute("VACUUM")
    busy, _, _ = store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    if busy:
        raise NaupliadError(
            f"{store.path}: found somebody reading it; allowed: nobody, for a moment. Run it again"
        )
