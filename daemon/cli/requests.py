"""Requests to the daemon through its inbox; where none runs, this process carries them out in its place."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from daemon.errors import InputError
from daemon.inbox import INBOX, ask
from daemon.local_user import own_name
from daemon.station import Station


def answer(state: Path, station: Station, request: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError where it is refused."""
    answered = ask(state / INBOX, dict(request))
    if answered is None:
        return _answer_here(state, station, request, now)
    if "error" in answered:
        raise InputError(str(answered["error"]))
    return answered


def _answer_here(state: Path, station: Station, request: Mapping[str, Any], now: int) -> dict[str, Any]:
    # Half of all our modules: loaded only where no daemon runs that has them already.
    from daemon.assembly import assemble
    from daemon.store.file import WritingStore
    from daemon.watching.snapshot.snapshots import Snapshots

    store = WritingStore(state)
    try:
        with store.transaction() as connection:
            desks = assemble(station, connection, now, Snapshots(state, station).found(connection, now))
            desks.alarms.take_up(now)
            return desks.requests.answer(request, now, own_name())
    finally:
        store.close()
