"""Which tins of cysts there are, by name. It loads little: the care log asks at every `set` of a tin."""

import sqlite3

from daemon.input.csv import LAST_S
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import tin_tests
from daemon.store.deeds import Entry


def named_lots(connection: sqlite3.Connection, station: Station) -> list[str]:
    """Tins that the station file names, in its order; then by name those of the care log and of tests."""
    given = [one.id for one in station.lots]
    noted = {lot for entry in standing(connection) if (lot := lot_of(entry))}
    noted |= tin_tests.tested_lots(connection, LAST_S)
    return [*given, *sorted(noted - set(given))]


def standing(connection: sqlite3.Connection) -> list[Entry]:
    """The entries of the care log that were not taken back."""
    return [entry for entry in deed_store.every(connection) if entry.withdrawn_at is None]


def lot_of(entry: Entry) -> str:
    """The tin that a `set` names; empty where it names none."""
    return str(entry.deed.detail.get("lot") or "") if entry.deed.deed == "set" else ""
