"""The care log in the store. An entry is never changed: it is withdrawn, and perhaps replaced by another."""

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from daemon.care.deed import KINDS, Deed
from daemon.errors import InputError


@dataclass(frozen=True, slots=True)
class Entry:
    """A deed as it stands in the store."""

    id: int
    deed: Deed
    recorded_at: int
    withdrawn_at: int | None
    replaces: int | None


def add(connection: sqlite3.Connection, deed: Deed, recorded_at: int, replaces: int | None = None) -> int:
    """Keep a deed and return its id."""
    cursor = connection.execute(
        "INSERT INTO deed (at, vessel, deed, amount, unit, detail, recorded_at, replaces) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            deed.at,
            deed.vessel,
            deed.deed,
            deed.amount,
            deed.unit,
            json.dumps(dict(deed.detail), sort_keys=True, ensure_ascii=False),
            recorded_at,
            replaces,
        ),
    )
    return int(cursor.lastrowid or 0)


def withdraw(connection: sqlite3.Connection, deed_id: int, at: int) -> Entry:
    """Mark an entry withdrawn and return it as it was. Raises InputError where none stands under that id."""
    entry = find(connection, deed_id)
    if entry is None or entry.withdrawn_at is not None:
        found = "no such deed" if entry is None else "one that was withdrawn before"
        raise InputError(f"deed {deed_id}: found {found}; allowed: an id that 'naupliad care list' shows")
    connection.execute("UPDATE deed SET withdrawn_at = ? WHERE id = ?", (at, deed_id))
    return entry


def find(connection: sqlite3.Connection, deed_id: int) -> Entry | None:
    """The entry of that id, or None."""
    return next(_entries(connection, "WHERE id = ?", deed_id), None)


def every(connection: sqlite3.Connection) -> list[Entry]:
    """All entries, the withdrawn ones too, in the order of the deeds' own times."""
    return list(_entries(connection, "ORDER BY at, id"))


def between(connection: sqlite3.Connection, after: int, until: int) -> list[Deed]:
    """Deeds that stand, with after < at <= until, in time order."""
    where = "WHERE at > ? AND at <= ? AND withdrawn_at IS NULL ORDER BY at, id"
    return [entry.deed for entry in _entries(connection, where, after, until)]


def _entries(connection: sqlite3.Connection, where: str, *values: int) -> Iterator[Entry]:
    rows = connection.execute(
        "SELECT id, at, vessel, deed, amount, unit, detail, recorded_at, withdrawn_at, replaces FROM deed "
        + where,
        values,
    )
    for row in rows:
        other_unit = row[5] if row[5] in KINDS[row[3]].other_units else None
        deed = Deed(row[1], row[2], row[3], row[4], json.loads(row[6]), other_unit)
        yield Entry(row[0], deed, row[7], row[8], row[9])
