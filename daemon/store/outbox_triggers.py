"""The triggers that put what is written into the outbox; there only where a centre is told."""

import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from daemon.seconds import HOUR_S

HOUR, ALARM, DEED, ESTIMATE, LETTER = "hour", "alarm", "deed", "estimate", "letter"

_EVENTS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}
_MINE = "type = 'trigger' AND name LIKE 'outbox\\_%' ESCAPE '\\'"


@dataclass(frozen=True, slots=True)
class _ToldTable:
    """Which box a table's rows are told in: its kind, the column of its key, what a change must touch."""

    kind: str
    column: str
    columns: str


_TOLD: Mapping[str, _ToldTable] = {
    "reading": _ToldTable(HOUR, "at", "at, probe, value, quality"),
    "alarm": _ToldTable(ALARM, "id", "at, vessel, condition, state, value, probe, since"),
    "deed": _ToldTable(
        DEED, "id", "at, vessel, deed, amount, unit, detail, withdrawn_at, recorded_at, replaces"
    ),
    "estimate": _ToldTable(ESTIMATE, "at", "at, vessel, quantity, p10, p50, p90"),
    "letter": _ToldTable(LETTER, "id", "at, kind, state, sent_at, number"),
    "delivery": _ToldTable(LETTER, "letter", "letter, carrier, state, attempts, sent_at"),
}


def there(connection: sqlite3.Connection) -> bool:
    """Whether what is written is put into boxes."""
    return connection.execute(f"SELECT 1 FROM sqlite_master WHERE {_MINE}").fetchone() is not None


def put(connection: sqlite3.Connection) -> None:
    """Have the triggers that this version wants; nothing is written where they are there."""
    wanted = set(_triggers())
    if {sql for (sql,) in connection.execute(f"SELECT sql FROM sqlite_master WHERE {_MINE}")} != wanted:
        drop(connection)
        for trigger in sorted(wanted):
            connection.execute(trigger)


def drop(connection: sqlite3.Connection) -> None:
    """Have none."""
    for (name,) in connection.execute(f"SELECT name FROM sqlite_master WHERE {_MINE}").fetchall():
        connection.execute(f"DROP TRIGGER {name}")


def _triggers() -> list[str]:
    found = []
    for table, told in _TOLD.items():
        for event, rows in _EVENTS.items():
            of = f" OF {told.columns}" if event == "UPDATE" else ""
            values = [f"{row}.{told.column}" for row in rows]
            found.append(_trigger(f"{table}_{event.lower()}", f"{event}{of} ON {table}", told.kind, values))
        # A damaged table is written anew without the rows that are set aside: no trigger hears of those.
        aside = f"json_extract(NEW.row, '$.{told.column}')"
        found.append(
            _trigger(
                f"{table}_aside",
                "INSERT ON row_set_aside",
                told.kind,
                [aside],
                when=f"NEW.from_table = '{table}' AND typeof({aside}) = 'integer'",
            )
        )
    return found


def _trigger(name: str, event: str, kind: str, values: list[str], when: str = "1") -> str:
    """Leaves a box that waits as it is; one that was sent is told anew.

    `INSERT OR IGNORE` would not do: inside a trigger the outer statement's way with conflicts holds. Readings
    that are moved lie before 1970 for a moment (time_correction): nobody is told of that.
    """
    steps = []
    for value in values:
        key = _KEYS.get(kind, str)(value)
        mine = f"kind = '{kind}' AND key = CAST({key} AS TEXT)"
        steps.append(f"DELETE FROM outbox WHERE {mine} AND sent AND {value} >= 0;")
        steps.append(
            f"INSERT INTO outbox (kind, key) SELECT '{kind}', CAST({key} AS TEXT) WHERE {value} >= 0 "
            f"AND NOT EXISTS (SELECT 1 FROM outbox WHERE {mine});"
        )
    return (
        f"CREATE TRIGGER outbox_{name} AFTER {event} "
        f"WHEN {when} AND NOT EXISTS (SELECT 1 FROM outbox_resting) BEGIN {' '.join(steps)} END"
    )


def _hour(moment: str) -> str:
    """Where the hour begins that a moment lies in; hours begin where those of UTC do."""
    return f"{moment} / {HOUR_S} * {HOUR_S}"


_KEYS: Mapping[str, Callable[[str], str]] = {HOUR: _hour}
