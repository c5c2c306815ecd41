"""Requests to the daemon through its inbox; where none runs, this process carries them out in its place."""

import sqlite3
from collections.abc import Mapping
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.local_user import own_name
from daemon.station import Station
from daemon.store.file import StoreInUse, WritingStore, not_kept

# A daemon that is just starting holds the store for a moment before it listens; another command, a second.
_PATIENCE_S = 10
_LOOK_AGAIN_S = 0.25


def answer(state: Path, station: Station, request: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError where it is refused."""
    given_up_s = monotonic() + _PATIENCE_S
    while (answered := ask(state / INBOX, dict(request))) is None:
        try:
            return _answer_here(state, station, request, now)
        except StoreInUse:
            if monotonic() >= given_up_s:
                raise
        sleep(_LOOK_AGAIN_S)
    if "error" in answered:
        raise InputError(str(answered["error"]))
    return answered


def _answer_here(state: Path, station: Station, request: Mapping[str, Any], now: int) -> dict[str, Any]:
    # Half of all our modules: loaded only where no daemon runs that has them already.
    from daemon.assembly import assemble
    from daemon.watching.snapshot.snapshots import Snapshots

    store = WritingStore(state)
    try:
        with store.transaction() as connection:
            desks = assemble(station, connection, now, Snapshots(state, station).found(connection, now))
            desks.alarms.take_up(now)
            return desks.requests.answer(request, now, own_name())
    except sqlite3.DatabaseError as error:
        raise NaupliadError(not_kept(store.path, error)) from error
    finally:
        store.close()
