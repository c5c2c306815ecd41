"""Whether a centre collects what this station tells."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from daemon.commissioning.checkup.finding import Finding, look, ok
from daemon.errors import NaupliadError
from daemon.seconds import DAY_S
from daemon.station import Broker, Station
from daemon.store import outbox
from daemon.store import readings as reading_store
from daemon.store.file import check_current, open_for_reading

_ASK = "Ask whoever runs the centre whether its broker and gatherer run; naupliad checkup --post calls one."


def record(broker: Broker, station: Station, state: Path) -> Finding:
    """What waits, and whether the centre has answered within a day of the last reading."""
    told = f"a centre keeps what this station tells, as {broker.user}"
    try:
        with closing(open_for_reading(state)) as connection:
            check_current(state, connection)
            waiting, newest = outbox.waiting(connection), reading_store.newest_at(connection)
    except (NaupliadError, sqlite3.Error, PermissionError):
        return ok("record", told)  # what is wrong with the store is said of the store
    if waiting is None:
        return ok("record", f"{told}, from the daemon's next start on")
    answered = datetime.fromtimestamp(waiting.answered_at, station.timezone).strftime("%Y-%m-%d %H:%M")
    waits = f"{told}; {waiting.boxes} boxes wait for it, the last receipt or start was {answered}"
    silent = newest is not None and newest - waiting.answered_at >= DAY_S
    return look("record", waits, _ASK) if silent and waiting.boxes else ok("record", waits)
