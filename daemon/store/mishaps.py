"""What befell the station's own files: a station file not taken, a failing disk, a store or rows lost."""

import sqlite3
from dataclasses import dataclass

# What the ledger of what was said once (done_and_said) has it under.
_RECORD_FULL = "record full"


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


@dataclass(frozen=True, slots=True)
class SetAside:
    """A broken store: the name it is kept under, what SQLite found, and the backup that took its place."""

    kept_as: str
    found: str
    backup: str | None


@dataclass(frozen=True, slots=True)
class StoreGone:
    """A store's file that was deleted or replaced, `found`, by somebody else than the daemon.

    `kept_as` is the name under which a file is kept that stood in its place. `saved`: the daemon had it open
    and put it back as it was; else `backup` took its place, or where that is None an empty one.
    """

    found: str
    kept_as: str | None
    backup: str | None
    saved: bool


@dataclass(frozen=True, slots=True)
class RowsAside:
    """Rows that were set aside together, `at` Unix seconds: how many of each table, and the last one's id."""

    at: int
    last_id: int
    counts: tuple[tuple[str, int], ...]


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


def date_rows_aside(connection: sqlite3.Connection, at: int) -> RowsAside | None:
    """Note that what was set aside since the last time was set aside at `at`; None where nothing was."""
    cursor = connection.execute("UPDATE row_set_aside SET at = ? WHERE at IS NULL", (at,))
    return last_rows_aside(connection) if cursor.rowcount else None


def last_rows_aside(connection: sqlite3.Connection) -> RowsAside | None:
    """What was set aside last; None where nothing ever was."""
    rows = connection.execute(
        "SELECT from_table, count(*), at, max(id) FROM row_set_aside WHERE at = "
        "(SELECT at FROM row_set_aside ORDER BY id DESC LIMIT 1) GROUP BY from_table ORDER BY from_table"
    ).fetchall()
    if not rows:
        return None
    counts = tuple((str(table), int(count)) for table, count, *_ in rows)
    return RowsAside(int(rows[0][2]), max(row[3] for row in rows), counts)


def keep_store_gone(connection: sqlite3.Connection, gone: StoreGone, at: int) -> None:
    """Remember that the store's file was not where it belongs."""
    connection.execute(
        "INSERT INTO store_gone (at, found, kept_as, backup, saved) VALUES (?, ?, ?, ?, ?)",
        (at, gone.found, gone.kept_as, gone.backup, int(gone.saved)),
    )


def last_store_gone(connection: sqlite3.Connection) -> tuple[int, int, StoreGone] | None:
    """Which time the store's file was last not where it belongs, when, and how; None where it never was."""
    row = connection.execute(
        "SELECT id, at, found, kept_as, backup, saved FROM store_gone ORDER BY id DESC LIMIT 1"
    ).fetchone()
    return (int(row[0]), int(row[1]), StoreGone(row[2], row[3], row[4], bool(row[5]))) if row else None


def keep_record_full(connection: sqlite3.Connection, at: int) -> bool:
    """Remember that boxes for a centre had to be given up; whether that is news."""
    cursor = connection.execute(
        "INSERT OR IGNORE INTO said_once (what, about, at) VALUES (?, '', ?)", (_RECORD_FULL, at)
    )
    return cursor.rowcount == 1


def forget_record_full(connection: sqlite3.Connection) -> None:
    """There is room for boxes again."""
    connection.execute("DELETE FROM said_once WHERE what = ?", (_RECORD_FULL,))


def record_full_since(connection: sqlite3.Connection) -> int | None:
    """Since when boxes for a centre have to be given up, Unix seconds; None where none has."""
    row = connection.execute("SELECT at FROM said_once WHERE what = ?", (_RECORD_FULL,)).fetchone()
    return None if row is None else int(row[0])
