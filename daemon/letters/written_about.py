"""Which of a vessel's standing alarms a letter told of."""

import sqlite3

from daemon.alarms.conditions import CONDITIONS
from daemon.station import Vessel
from daemon.store import alarms as alarm_store
from daemon.store import letters as letter_store


def written_about(connection: sqlite3.Connection, vessel: Vessel, at: int) -> tuple[str, ...]:
    """Conditions of the vessel's standing alarms of which a letter went out since they began, all of them."""
    rows = [row for row in alarm_store.standing(connection, at) if row.vessel == vessel.id]
    unsaid = {
        row.condition
        for row in rows
        if not letter_store.any_sent_about(
            connection, CONDITIONS[row.condition].letter, vessel.id, row.since or row.at, at
        )
    }
    return tuple(sorted({row.condition for row in rows} - unsaid))
