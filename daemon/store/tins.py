"""What the store says of tins of cysts: which there are."""

import sqlite3

from daemon.station import Station
from daemon.store import deeds as deed_store


def named_lots(connection: sqlite3.Connection, station: Station) -> list[str]:
    """Tins that the station file names, in its order; then by name those that only the care log names."""
    given = [one.id for one in station.lots]
    deeds = (entry.deed for entry in deed_store.every(connection) if entry.withdrawn_at is None)
    noted = {str(lot) for deed in deeds if deed.deed == "set" and (lot := deed.detail.get("lot"))}
    return [*given, *sorted(noted - set(given))]
