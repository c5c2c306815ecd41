"""Viability tests of tins that were kept. A test is never changed: it is withdrawn, and another kept."""

import sqlite3
from collections.abc import Iterator
from typing import TYPE_CHECKING

from daemon.errors import InputError

if TYPE_CHECKING:
    from daemon.planning.tin_test import KeptTest, TinTest


def any_kept(connection: sqlite3.Connection) -> bool:
    """Whether one ever was."""
    return connection.execute("SELECT 1 FROM tin_test LIMIT 1").fetchone() is not None


def add(connection: sqlite3.Connection, lot: str, test: "TinTest", at: int) -> int:
    """Keep a test that was counted at a moment (Unix s); its id."""
    cursor = connection.execute(
        "INSERT INTO tin_test (at, lot, put, hatched, hours, water_c) VALUES (?, ?, ?, ?, ?, ?)",
        (at, lot, test.put, test.hatched, test.hours, test.water_c),
    )
    test_id = int(cursor.lastrowid or 0)
    # Of a spoiled test that was set aside the stages may still be there, and its id is free again.
    connection.execute("DELETE FROM tin_test_stages WHERE test = ?", (test_id,))
    if test.umbrella is not None or test.full_left is not None:
        stages = (test_id, test.umbrella, test.full_left)
        connection.execute("INSERT INTO tin_test_stages (test, umbrella, full_left) VALUES (?, ?, ?)", stages)
    return test_id


def standing(connection: sqlite3.Connection, until: int) -> "list[KeptTest]":
    """Those that were kept up to a moment (Unix s) and stand, in the order of their counting."""
    return list(_tests(connection, "WHERE withdrawn_at IS NULL AND at <= ? ORDER BY at, id", until))


def tested_lots(connection: sqlite3.Connection, until: int) -> set[str]:
    """The tins of which one stands that was kept up to a moment (Unix s)."""
    rows = connection.execute(
        "SELECT DISTINCT lot FROM tin_test WHERE withdrawn_at IS NULL AND at <= ?", (until,)
    )
    return {lot for (lot,) in rows}


def withdraw(connection: sqlite3.Connection, test_id: int, at: int) -> "KeptTest":
    """Mark a test withdrawn and return it. Raises InputError where none stands under that id."""
    found = next(_tests(connection, "WHERE id = ? AND withdrawn_at IS NULL", test_id), None)
    if found is None:
        raise InputError(f"test {test_id}: found none that stands; allowed: an id of 'naupliad lot list'")
    connection.execute("UPDATE tin_test SET withdrawn_at = ? WHERE id = ?", (at, test_id))
    return found


def _tests(connection: sqlite3.Connection, where: str, *values: int) -> "Iterator[KeptTest]":
    from daemon.planning.tin_test import KeptTest, TinTest  # only where there are any

    rows = connection.execute(
        "SELECT id, at, lot, put, hatched, hours, water_c, umbrella, full_left "
        f"FROM tin_test LEFT JOIN tin_test_stages ON test = id {where}",
        values,
    )
    for test_id, at, lot, *test in rows:
        yield KeptTest(test_id, at, lot, TinTest(*test))
