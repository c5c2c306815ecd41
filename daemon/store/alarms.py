"""The alarm log in the store: one row for every change of state."""

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """A change of state; `state` is a state name of IEC 62682, `probe` is set where a probe is the matter.

    `since` is when the excursion began that an alarm is about; None where there is none.
    """

    at: int
    vessel: str
    condition: str
    state: str
    value: float | None
    probe: str = ""
    since: int | None = None


def add(connection: sqlite3.Connection, row: AlarmRow) -> None:
    """Keep a change of state."""
    connection.execute(
        "INSERT INTO alarm (at, vessel, condition, state, value, probe, since) VALUES (?, ?, ?, ?, ?, ?, ?)",
        (row.at, row.vessel, row.condition, row.state, row.value, row.probe, row.since),
    )


def between(connection: sqlite3.Connection, after: int, until: int) -> list[AlarmRow]:
    """Changes with after < at <= until, in the order they came."""
    rows = connection.execute(
        "SELECT at, vessel, condition, state, value, probe, since FROM alarm "
        "WHERE at > ? AND at <= ? ORDER BY at, id",
        (after, until),
    )
    return [AlarmRow(*row) for row in rows]


def standing(connection: sqlite3.Connection, until: int) -> list[AlarmRow]:
    """The last change of every alarm, not after `until`."""
    rows = connection.execute(
        "SELECT at, vessel, condition, state, value, probe, since FROM alarm WHERE id IN "
        "(SELECT max(id) FROM alarm WHERE at <= ? GROUP BY vessel, condition, probe) ORDER BY id",
        (until,),
    )
    return [AlarmRow(*row) for row in rows]
