"""Notes in a play's store what was put right in hindsight: letters are held against what was known then."""

import sqlite3
from contextlib import suppress

_NOTES = (
    "CREATE TABLE judged_anew (noticed_at INTEGER, probe TEXT, at INTEGER, was TEXT)",
    (
        "CREATE TRIGGER judged_anew AFTER UPDATE OF quality ON reading WHEN NEW.quality <> OLD.quality BEGIN "
        "INSERT INTO judged_anew VALUES ((SELECT max(at) FROM reading), NEW.probe, NEW.at, OLD.quality); END"
    ),
    "CREATE TABLE noticed_late (alarm INTEGER PRIMARY KEY, noticed_at INTEGER)",
    (
        "CREATE TRIGGER noticed_late AFTER INSERT ON alarm WHEN NEW.at < (SELECT max(at) FROM reading) BEGIN "
        "INSERT INTO noticed_late VALUES (NEW.id, (SELECT max(at) FROM reading)); END"
    ),
)


def note_hindsight(connection: sqlite3.Connection) -> None:
    """Have a store note from now on the quality that a reading had, and alarms that changed before now."""
    for statement in _NOTES:
        connection.execute(statement)


def judged_anew(store: sqlite3.Connection) -> dict[str, dict[int, list[tuple[int, str]]]]:
    """By probe and moment of a reading: until when it had which quality, the oldest first."""
    found: dict[str, dict[int, list[tuple[int, str]]]] = {}
    with suppress(sqlite3.OperationalError):  # a store that noted nothing
        for noticed_at, probe, at, was in store.execute(
            "SELECT * FROM judged_anew ORDER BY noticed_at, rowid"
        ):
            found.setdefault(probe, {}).setdefault(at, []).append((noticed_at, was))
    return found


def noticed_late(store: sqlite3.Connection) -> dict[int, int]:
    """When the changes of alarms were noticed that were not at once, by their ids."""
    with suppress(sqlite3.OperationalError):
        return dict(store.execute("SELECT alarm, noticed_at FROM noticed_late"))
    return {}
