"""The alarm log in the store: one row for every change of state."""

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """A change of state; `state` is a state name of IEC 62682, `probe` is set where a probe is the matter."""

    at: int
    vessel: str
    condition: str
    state: str
    value: float | None
    probe: str = ""


def add(connection: sqlite3.Connection, row: AlarmRow) -> None:
    """Keep a change of state."""
    connection.execute(
        "INSERT INTO alarm (at, vessel, condition, state, value, probe) VALUES (?, ?, ?, ?, ?, ?)",
        (row.at, row.vessel, row.condition, row.state, row.value, row.probe),
    )


def between(connection: sqlite3.Connection, after: int, until: int) -> list[AlarmRow]:
    """Changes with after < at <= until, in the order they came."""
    rows = connection.execute(
        "SELECT at, vessel, condition, state, value, probe FROM alarm "
        "WHERE at > ? AND at <= ? ORDER BY at, id",
        (after, until),
    )
    return [AlarmRow(*row) for row in rows]


def raised_at(connection: sqlite3.Connection, row: AlarmRow) -> int:
    """When the alarm that a change belongs to was raised; the change's own time where it never was."""
    found = connection.execute(
        "SELECT max(at) FROM alarm WHERE at <= ? AND vessel = ? AND condition = ? AND probe = ? "
        "AND state = 'unacknowledged'",
        (row.at, row.vessel, row.condition, row.probe),
    ).fetchone()
    return row.at if found[0] is None else int(found[0])


def standing(connection: sqlite3.Connection, until: int) -> list[AlarmRow]:
    """The last change of every alarm, not after `until`."""
    rows = connection.execute(
        "SELECT at, vessel, condition, state, value, probe FROM alarm WHERE id IN "
        "(SELECT max(id) FROM alarm WHERE at <= ? GROUP BY vessel, condition, probe) ORDER BY id",
        (until,),
    )
    return [AlarmRow(*row) for row in rows]
