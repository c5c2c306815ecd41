"""Estimates in the store."""

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from typing import Protocol


class Quantiles(Protocol):
    """What is believed of a quantity."""

    @property
    def p10(self) -> float: ...
    @property
    def p50(self) -> float: ...
    @property
    def p90(self) -> float: ...


def add(connection: sqlite3.Connection, at: int, vessel: str, estimates: Mapping[str, Quantiles]) -> None:
    """Keep what is believed at a moment; a later word on the same moment replaces the earlier."""
    connection.executemany(
        "INSERT OR REPLACE INTO estimate (at, vessel, quantity, p10, p50, p90) VALUES (?, ?, ?, ?, ?, ?)",
        ((at, vessel, quantity, q.p10, q.p50, q.p90) for quantity, q in estimates.items()),
    )


def series(
    connection: sqlite3.Connection, vessel: str, quantity: str, began: int, ended: int
) -> list[tuple[int, float, float, float]]:
    """(at, p10, p50, p90) with began <= at <= ended, in time order."""
    return connection.execute(
        "SELECT at, p10, p50, p90 FROM estimate "
        "WHERE vessel = ? AND quantity = ? AND at BETWEEN ? AND ? ORDER BY at",
        (vessel, quantity, began, ended),
    ).fetchall()


def last(
    connection: sqlite3.Connection, vessel: str, quantity: str, began: int, until: int
) -> tuple[float, float, float] | None:
    """The last (p10, p50, p90) of one quantity with began <= at <= until; None where there is none."""
    row: tuple[float, float, float] | None = connection.execute(
        "SELECT p10, p50, p90 FROM estimate WHERE vessel = ? AND quantity = ? AND at BETWEEN ? AND ? "
        "ORDER BY at DESC LIMIT 1",
        (vessel, quantity, began, until),
    ).fetchone()
    return row


def between(
    connection: sqlite3.Connection, began: int, ended: int
) -> Iterator[tuple[int, str, str, float, float, float]]:
    """(at, vessel, quantity, p10, p50, p90) with began <= at <= ended, by vessel and quantity, each in time
    order: as they are kept, so that none waits for the last.
    """
    return connection.execute(
        "SELECT at, vessel, quantity, p10, p50, p90 FROM estimate WHERE at BETWEEN ? AND ? "
        "ORDER BY vessel, quantity, at",
        (began, ended),
    )


def latest(
    connection: sqlite3.Connection, vessel: str, until: int
) -> dict[str, tuple[int, float, float, float]]:
    """The last (at, p10, p50, p90) of every quantity of a vessel, not after `until`."""
    rows: Iterable[tuple[str, int, float, float, float]] = connection.execute(
        "SELECT quantity, max(at), p10, p50, p90 FROM estimate "
        "WHERE vessel = ? AND at <= ? GROUP BY quantity",
        (vessel, until),
    )
    return {quantity: (at, p10, p50, p90) for quantity, at, p10, p50, p90 in rows}


def quantities(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    """All vessels and quantities there are estimates of, by leaps along the key: the table may be large."""
    found: list[tuple[str, str]] = []
    query = (
        "SELECT vessel, quantity FROM estimate WHERE (vessel, quantity) > (?, ?) "
        "ORDER BY vessel, quantity LIMIT 1"
    )
    while row := connection.execute(query, found[-1] if found else ("", "")).fetchone():
        found.append((str(row[0]), str(row[1])))
    return found


def at_moment(
    connection: sqlite3.Connection, of: Iterable[tuple[str, str]], at: int
) -> Iterator[tuple[str, str, float, float, float]]:
    """(vessel, quantity, p10, p50, p90) at one moment, of these vessels and quantities: see `quantities`."""
    for vessel, quantity in of:
        yield from connection.execute(
            "SELECT vessel, quantity, p10, p50, p90 FROM estimate "
            "WHERE vessel = ? AND quantity = ? AND at = ?",
            (vessel, quantity, at),
        )
