"""How the station ran: its outages, the steps of its clock, the station files it ran by."""

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outage:
    """A stretch without readings because the station was off."""

    began: int
    ended: int
    clock_trusted: bool


def add_outage(connection: sqlite3.Connection, outage: Outage) -> None:
    """Keep an outage."""
    connection.execute(
        "INSERT OR IGNORE INTO outage (began, ended, clock_trusted) VALUES (?, ?, ?)",
        (outage.began, outage.ended, int(outage.clock_trusted)),
    )


def outages(connection: sqlite3.Connection, after: int, until: int) -> list[Outage]:
    """Outages that touch the stretch, in time order."""
    rows = connection.execute(
        "SELECT began, ended, clock_trusted FROM outage WHERE ended > ? AND began <= ? ORDER BY began",
        (after, until),
    )
    return [Outage(began, ended, bool(trusted)) for began, ended, trusted in rows]


def add_clock_step(connection: sqlite3.Connection, at: int, step_s: int) -> None:
    """Keep that the wall clock was moved by `step_s`."""
    connection.execute("INSERT INTO clock_step (at, step_s) VALUES (?, ?)", (at, step_s))


def keep_station_file(connection: sqlite3.Connection, at: int, text: str) -> None:
    """Keep the station file when it is not the one kept last."""
    if station_file(connection) != text:
        connection.execute("INSERT OR REPLACE INTO station_file (at, text) VALUES (?, ?)", (at, text))


def station_file(connection: sqlite3.Connection) -> str | None:
    """The station file kept last."""
    row = connection.execute("SELECT text FROM station_file ORDER BY at DESC LIMIT 1").fetchone()
    return str(row[0]) if row else None


def station_file_at(connection: sqlite3.Connection) -> int | None:
    """Since when the station file kept last is kept, Unix seconds."""
    row = connection.execute("SELECT max(at) FROM station_file").fetchone()
    return None if row[0] is None else int(row[0])
