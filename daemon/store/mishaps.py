"""What befell the station's own files: a station file not taken, a disk that failed, a store set aside."""

import sqlite3
from dataclasses import dataclass

from daemon.store.broken_file import SetAside


@dataclass(frozen=True, slots=True)
class Overlooked:
    """A station file that is not taken: its path, and a line for each fault in it."""

    path: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardFailure:
    """A disk that took no writes from `began` on, Unix seconds: "full", "read-only" or "failing"."""

    found: str
    began: int


def keep_overlooked(connection: sqlite3.Connection, found: Overlooked, at: int) -> bool:
    """Remember that a station file is not taken; whether these faults are news."""
    known = overlooked(connection)
    if known is not None and known[1] == found:
        return False
    forget_overlooked(connection)
    connection.executemany(
        "INSERT INTO station_file_fault (place, path, fault, at) VALUES (?, ?, ?, ?)",
        ((place, found.path, fault, at) for place, fault in enumerate(found.faults)),
    )
    return True


def forget_overlooked(connection: sqlite3.Connection) -> None:
    """The station file is taken again."""
    connection.execute("DELETE FROM station_file_fault")


def overlooked(connection: sqlite3.Connection) -> tuple[int, Overlooked] | None:
    """Since when the station file is not taken, and why; None where it is."""
    rows = connection.execute("SELECT at, path, fault FROM station_file_fault ORDER BY place").fetchall()
    if not rows:
        return None
    return int(rows[0][0]), Overlooked(str(rows[0][1]), tuple(str(fault) for _, _, fault in rows))


def keep_card_failure(connection: sqlite3.Connection, failure: CardFailure, at: int) -> bool:
    """Remember that the disk is well again at `at`; whether that is news."""
    cursor = connection.execute(
        "INSERT INTO card_failure (began, ended, found) SELECT :began, :ended, :found "
        "WHERE NOT EXISTS (SELECT 1 FROM card_failure WHERE began = :began AND found = :found)",
        {"began": failure.began, "ended": at, "found": failure.found},
    )
    return cursor.rowcount == 1


def last_card_failure(connection: sqlite3.Connection) -> tuple[int, CardFailure] | None:
    """When the disk was last well again, and what had been; None where it never failed."""
    row = connection.execute(
        "SELECT ended, found, began FROM card_failure ORDER BY ended DESC LIMIT 1"
    ).fetchone()
    return (int(row[0]), CardFailure(str(row[1]), int(row[2]))) if row else None


def keep_set_aside(connection: sqlite3.Connection, aside: SetAside, at: int) -> None:
    """Remember that this store is not the one that was there before."""
    connection.execute(
        "INSERT OR REPLACE INTO store_set_aside (kept_as, at, found, backup) VALUES (?, ?, ?, ?)",
        (aside.kept_as, at, aside.found, aside.backup),
    )


def last_set_aside(connection: sqlite3.Connection) -> tuple[int, SetAside] | None:
    """When a store was last set aside for this one, and how; None where none was."""
    row = connection.execute(
        "SELECT at, kept_as, found, backup FROM store_set_aside ORDER BY at DESC, kept_as LIMIT 1"
    ).fetchone()
    return (int(row[0]), SetAside(*row[1:])) if row else None


def set_aside_names(connection: sqlite3.Connection) -> set[str]:
    """The names under which broken stores are kept, as far as this store knows."""
    return {str(name) for (name,) in connection.execute("SELECT kept_as FROM store_set_aside")}
