"""Looks after every beat whether the store's file still stands where it was opened, and puts it back.

A file that somebody deletes or replaces stays whole for who has it open, and is gone for good when that one
ends: what was acknowledged would be too.
"""

import logging
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime

from daemon.store.backup import sync
from daemon.store.broken_file import draft_of, move_aside
from daemon.store.file import Whereabouts, WritingStore
from daemon.store.mishaps import StoreGone, keep_store_gone

log = logging.getLogger(__name__)


class StoreWatch:
    """Hears of completed beats, and has the daemon begin anew where its store is not where it was."""

    def __init__(self, store: WritingStore, begin_anew: Callable[[], None]) -> None:
        """`begin_anew` ends the daemon in good order, by `close`, for another in its place."""
        self._store = store
        self._begin_anew = begin_anew

    def after_beat(self, _at: int) -> None:
        """A beat was completed."""
        found = self._store.where_it_was()
        if found is Whereabouts.THERE:
            return
        log.error("%s: found it %s while it is in use; it is put back as it was", self._store.path, found)
        if found is Whereabouts.LOG_GONE or _save(self._store):  # else it is kept open, and tried again
            self._begin_anew()


def close(store: WritingStore, now: int) -> None:
    """Close a store; where its file was deleted or replaced it is put back, and letters say so later."""
    found = store.where_it_was()
    if found not in (Whereabouts.GONE, Whereabouts.REPLACED):
        store.close()
        return
    kept = None
    if found is Whereabouts.REPLACED:
        kept = move_aside(store.path, datetime.fromtimestamp(now, UTC).date()).name
    with suppress(sqlite3.DatabaseError):  # what was saved before is better than nothing
        with store.transaction() as connection:
            keep_store_gone(connection, StoreGone(found.value, kept, None, saved=True), now)
        _save(store)
    store.close()
    with suppress(OSError):
        draft_of(store.path).rename(store.path)
        sync(store.path.parent)


def _save(store: WritingStore) -> bool:
    """Write all that the open store holds into a file beside it, on the disk; whether that went."""
    draft = draft_of(store.path)
    part = draft.with_name(f"{draft.name}.part")
    try:
        draft.parent.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        store.connection.execute("VACUUM INTO ?", (str(part),))
        sync(part)
        part.rename(draft)
        sync(draft.parent)
    except (OSError, sqlite3.DatabaseError) as error:
        log.error("%s: it cannot be put back yet: %s", store.path, error)
        return False
    return True
