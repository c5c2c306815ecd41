"""What waits for a centre that does not answer, for letters, `naupliad now` and the page."""

import sqlite3

from daemon.letters.conversions import local
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import mishaps as mishap_store
from daemon.store import outbox
from reports.letters.record_full import RecordFull, RecordWaits

# A night without network is worth no word.
_WORTH_A_WORD_S = DAY_S


def record_waits(station: Station, connection: sqlite3.Connection, at: int) -> RecordWaits | None:
    """What waits for a centre that has not answered for a day by `at`, Unix seconds."""
    waiting = _waiting(station, connection)
    long = waiting is not None and at - waiting.answered_at >= _WORTH_A_WORD_S
    return _as_record(station, waiting) if waiting is not None and long and waiting.boxes else None


def record_full(station: Station, connection: sqlite3.Connection) -> RecordFull | None:
    """Since when the oldest is given up, where it is."""
    since, waiting = mishap_store.record_full_since(connection), _waiting(station, connection)
    if since is None or waiting is None:
        return None
    return RecordFull(local(station, since), _as_record(station, waiting))


def _waiting(station: Station, connection: sqlite3.Connection) -> outbox.Uncollected | None:
    return outbox.waiting(connection) if station.is_recorded else None


def _as_record(station: Station, waiting: outbox.Uncollected) -> RecordWaits:
    return RecordWaits(waiting.boxes, local(station, waiting.answered_at))
