"""The daemon's store, opened; what is broken in it, rows or the file, is set aside, and letters say so."""

import logging
import sqlite3
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from daemon.alarms.conditions import CONDITIONS
from daemon.care.deed import KINDS
from daemon.clock import Clock
from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import is_heard
from daemon.inbox.line import INBOX
from daemon.letter_kinds import LETTER_KINDS
from daemon.post.message import number_of
from daemon.running.disk.fault import in_a_line, is_of_the_content
from daemon.seconds import DAY_S
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store.backup import BACKUPS, newest_good
from daemon.store.broken_file import finish, look_at, set_aside, set_aside_unknown, take_backup
from daemon.store.file import LOCK, StoreBroken, StoreInUse, Whereabouts, WritingStore
from daemon.store.mishaps import SetAside, StoreGone
from daemon.store.spoiled_rows import Vocabulary, set_aside_spoiled

log = logging.getLogger(__name__)

# A command that records a deed where no daemon runs holds the store until it has thought again: a second
# here, some on the smallest Pi. Another daemon, which holds it for good, is known by its inbox.
_PATIENCE_S = 30
_LOOK_AGAIN_S = 0.25

Whole = TypeVar("Whole")

# Columns that hold a word of the program: without it nothing can be made of the row.
WORDS: Vocabulary = {
    ("alarm", "condition"): CONDITIONS,
    ("deed", "deed"): KINDS,
    ("letter", "kind"): LETTER_KINDS,
    ("shelf", "condition"): ("", *CONDITIONS),  # all of them, in a quiet time
}


def taken_up(
    state: Path, now: int, put_together: Callable[[WritingStore], Whole], clock: Clock | None = None
) -> tuple[WritingStore, Whole]:
    """The store in a folder, opened, and what is put together from it.

    Where that cannot be done for what stands in the store, it is set aside: for the newest good backup, and
    where that serves no better for an empty one. Raises NaupliadError as `open_store` does.
    """
    failed, from_backup = None, True
    while True:
        store = open_store(state, now, clock, failed=failed, from_backup=from_backup)
        try:
            return store, put_together(store)
        except BaseException as error:
            of_no_use = _is_of_the_store(error) and not _began_empty(store.connection, now)
            store.close()
            if not of_no_use:
                raise
            log.exception("%s cannot be taken up", store.path)
            from_backup = failed is None
            failed = f"{type(error).__name__}: {error}"


def open_store(
    state: Path,
    now: int,
    clock: Clock | None = None,
    *,
    failed: str | None = None,
    from_backup: bool = True,
) -> WritingStore:
    """The store in a folder, which is made where it is not there; by a clock it waits for a command's end.

    `failed` says why the one that is there is of no use: it is set aside. Raises NaupliadError where there is
    none to be had; its cause says whether the disk is at fault.
    """
    found: list[SetAside] = []
    gone: list[StoreGone] = []
    damaged: set[str] = set()
    ran_before = False
    with suppress(OSError):  # a folder that lets nobody in: opening says so
        ran_before = (state / LOCK).exists()

    def salvage(path: Path) -> None:
        finish(path)
        if ran_before and not path.exists():
            gone.extend(_gone(path))
        seen = look_at(path)
        damaged.update(seen.tables)
        broken = failed if path.is_file() and failed else seen.broken
        if broken is not None:
            damaged.clear()
            today = datetime.fromtimestamp(now, UTC).date()
            found.append(set_aside(path, today, broken, _newest_good if from_backup else lambda _: None))

    try:
        store = _opened(state, salvage, clock)
    except StoreBroken as error:  # a migration that cannot carry it over
        if failed is not None or not is_of_the_content(error.__cause__):
            raise
        return open_store(state, now, clock, failed=str(error.__cause__))
    try:
        with in_a_line(store.path):
            _set_rows_aside(store, damaged, now)
            with store.transaction() as connection:
                _remember(connection, store.path, found, now)
                for one in gone:
                    mishap_store.keep_store_gone(connection, one, now)
    except BaseException as error:
        store.close()
        if failed is None and is_of_the_content(error.__cause__ or error):
            return open_store(state, now, clock, failed=str(error.__cause__ or error))
        raise
    return store


def _opened(state: Path, salvage: Callable[[Path], None], clock: Clock | None) -> WritingStore:
    """Opened at once, or when a command that writes to it has done so; another daemon is not waited for."""
    until_s = clock.monotonic_s() + _PATIENCE_S if clock else 0.0
    while True:
        try:
            return WritingStore(_made(state), before_opening=salvage)
        except StoreInUse as in_use:
            if clock is None or _is_a_daemons(state) or clock.monotonic_s() >= until_s:
                raise
            log.info("%s; waiting for it, up to %d s", in_use, _PATIENCE_S)
        clock.wait(clock.monotonic_s() + _LOOK_AGAIN_S, threading.Event())


def _is_a_daemons(state: Path) -> bool:
    with suppress(OSError):
        return is_heard(state / INBOX)
    return False


def _is_of_the_store(error: BaseException) -> bool:
    """What is raised of a value that cannot be, as a program that knows of none raises it."""
    if isinstance(error, sqlite3.DatabaseError):
        return is_of_the_content(error)
    return isinstance(error, Exception) and not isinstance(error, (NaupliadError, OSError, MemoryError))


def _began_empty(connection: sqlite3.Connection, now: int) -> bool:
    """Whether a store holds too little to be at fault, or took an unusable one's place within the day."""
    if reading_store.newest_at(connection) is None:
        return True
    last = mishap_store.last_set_aside(connection)
    return last is not None and last[1].backup is None and now - last[0] < DAY_S


def _gone(path: Path) -> list[StoreGone]:
    """A store that stood here and does not any more: a backup takes its place where there is one."""
    backup = take_backup(path, _newest_good)
    if backup is None and list(path.parent.glob(f"{path.name}.broken-*")):
        return []  # that is where it is, and will be told
    begins = f"the backup {backup} takes its place" if backup else "an empty one begins"
    log.error("%s: found no store where one was; %s", path, begins)
    return [StoreGone(Whereabouts.GONE.value, None, backup, saved=False)]


def _newest_good(state: Path) -> Path | None:
    return newest_good(state / BACKUPS)


def _set_rows_aside(store: WritingStore, damaged: set[str], now: int) -> None:
    store.connection.execute("PRAGMA foreign_keys = OFF")  # it only works between transactions
    with store.transaction() as connection:
        set_aside_spoiled(connection, damaged, WORDS, number_of)
        aside = mishap_store.date_rows_aside(connection, now)
    store.connection.execute("PRAGMA foreign_keys = ON")
    if damaged:
        log.error("%s: written anew for what SQLite found: %s", store.path, ", ".join(sorted(damaged)))
    if aside is not None:
        counts = ", ".join(f"{table} {count}" for table, count in aside.counts)
        log.error("%s: found rows that cannot be true; they are in row_set_aside: %s", store.path, counts)


def _remember(connection: sqlite3.Connection, path: Path, found: Sequence[SetAside], now: int) -> None:
    for aside in found:
        begins = f"the backup {aside.backup} takes its place" if aside.backup else "an empty one begins"
        log.error("%s: found %s; it is kept as %s, %s", path, aside.found, aside.kept_as, begins)
        mishap_store.keep_set_aside(connection, aside, now)
    known = mishap_store.set_aside_names(connection)
    for at, unsaid in set_aside_unknown(path, known, lambda at: reading_store.newest_before(connection, at)):
        log.error("%s was set aside and nothing was said of it; it is told now", unsaid.kept_as)
        mishap_store.keep_set_aside(connection, unsaid, min(at, now))


def _made(state: Path) -> Path:
    try:
        state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{state}: found {found}; allowed: a folder this user can write to") from error
    return state
