"""What somebody put aside, in the store: alarms on the shelf, alarms out of service, a quiet time."""

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Shelf:
    """Something put aside at a moment (Unix seconds) for a while.

    `vessel` and `condition` name an alarm; both empty stand for everything, a quiet time. `until` is when
    it ends; None: out of service, until somebody takes it back. `by` is the login name of who did it, empty
    where it is not known.
    """

    id: int
    at: int
    vessel: str
    condition: str
    until: int | None
    by: str


def add(
    connection: sqlite3.Connection, at: int, vessel: str, condition: str, until: int | None, by: str = ""
) -> int:
    """Put aside; what stood aside for the same before ends with it. Returns its id."""
    lift(connection, at, vessel, condition)
    cursor = connection.execute(
        "INSERT INTO shelf (at, vessel, condition, until, by_whom) VALUES (?, ?, ?, ?, ?)",
        (at, vessel, condition, until, by),
    )
    return int(cursor.lastrowid or 0)


def lift(connection: sqlite3.Connection, at: int, vessel: str, condition: str) -> int:
    """Take back what stands aside for these; how many did."""
    cursor = connection.execute(
        "UPDATE shelf SET lifted_at = ? WHERE vessel = ? AND condition = ? AND lifted_at IS NULL "
        "AND (until IS NULL OR until > ?)",
        (at, vessel, condition, at),
    )
    return cursor.rowcount


def standing(connection: sqlite3.Connection, at: int) -> list[Shelf]:
    """What stands aside at a moment, the oldest first."""
    rows = connection.execute(
        "SELECT id, at, vessel, condition, until, by_whom FROM shelf WHERE at <= ? "
        "AND (until IS NULL OR until > ?) AND (lifted_at IS NULL OR lifted_at > ?) ORDER BY id",
        (at, at, at),
    )
    return [Shelf(*row) for row in rows]


def quiet_until(connection: sqlite3.Connection, at: int) -> int | None:
    """When the quiet time that stands at a moment ends; None where there is none."""
    ends = [shelf.until for shelf in standing(connection, at) if not shelf.vessel and not shelf.condition]
    return max((end for end in ends if end is not None), default=None)
