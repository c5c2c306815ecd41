"""The daemon's store, opened; one that is broken is set aside under another name, and letters say so."""

import logging
import sqlite3
import threading
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from daemon.clock import Clock
from daemon.errors import InputError
from daemon.inbox import INBOX, is_heard
from daemon.running.disk.fault import in_a_line
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store.backup import BACKUPS, newest_good
from daemon.store.broken_file import SetAside, set_aside_if_broken, set_aside_unknown
from daemon.store.file import StoreInUse, WritingStore

log = logging.getLogger(__name__)

# A command that records a deed where no daemon runs holds the store until it has thought again: a second
# here, some on the smallest Pi. Another daemon, which holds it for good, is known by its inbox.
_PATIENCE_S = 30
_LOOK_AGAIN_S = 0.25


def open_store(state: Path, now: int, clock: Clock) -> WritingStore:
    """The store in a folder, which is made where it is not there; waits while a command writes to it.

    Raises NaupliadError where there is none to be had; its cause says whether the disk is at fault.
    """
    found: list[SetAside] = []

    def salvage(path: Path) -> None:
        today = datetime.fromtimestamp(now, UTC).date()
        aside = set_aside_if_broken(path, today, lambda state: newest_good(state / BACKUPS))
        found.extend([aside] if aside else [])

    until_s = clock.monotonic_s() + _PATIENCE_S
    while True:
        try:
            store = WritingStore(_made(state), before_opening=salvage)
            break
        except StoreInUse as in_use:
            if _is_a_daemons(state) or clock.monotonic_s() >= until_s:
                raise
            log.info("%s; waiting for it, up to %d s", in_use, _PATIENCE_S)
        clock.wait(clock.monotonic_s() + _LOOK_AGAIN_S, threading.Event())
    try:
        with in_a_line(store.path), store.transaction() as connection:
            _remember(connection, store.path, found, now)
    except BaseException:
        store.close()
        raise
    return store


def _is_a_daemons(state: Path) -> bool:
    with suppress(OSError):
        return is_heard(state / INBOX)
    return False


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
