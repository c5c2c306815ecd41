"""What a centre is still owed of this store: numbered boxes, each a pointer to the rows that it tells of.

A box is written by triggers, in the transaction that writes what it tells, whatever part of the program or
whichever command that is. Its words are read when it is sent, so that a box waits in some 50 bytes. Numbers
rise and are never used again: what changes after it was sent is told anew under a higher one.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from daemon.seconds import HOUR_S

HOUR, ALARM, DEED, ESTIMATE, LETTER = "hour", "alarm", "deed", "estimate", "letter"


@dataclass(frozen=True, slots=True)
class _Told:
    """Which box a table's rows belong to: its kind, its key as SQL of a row, and what a change must touch."""

    kind: str
    key: str
    columns: str
    guard: str = "1"


# Hours begin where those of UTC do. Readings that are moved lie before 1970 for a moment (time_correction):
# nobody is told of that.
_TOLD = {
    "reading": _Told(HOUR, f"{{row}}.at / {HOUR_S} * {HOUR_S}", "at, probe, value, quality", "{row}.at >= 0"),
    "alarm": _Told(ALARM, "{row}.id", "at, vessel, condition, state, value, probe, since"),
    "deed": _Told(
        DEED, "{row}.id", "at, vessel, deed, amount, unit, detail, withdrawn_at, recorded_at, replaces"
    ),
    "estimate": _Told(ESTIMATE, "{row}.at", "at, vessel, quantity, p10, p50, p90"),
    "letter": _Told(LETTER, "{row}.id", "at, kind, state, sent_at, number"),
    "delivery": _Told(LETTER, "{row}.letter", "letter, carrier, state, attempts, sent_at"),
}
_EVENTS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}
# A store put back from a backup knows lower numbers than were given since: a start lifts them above all that
# can have been given, with a thousand boxes a second.
_NUMBERS_A_SECOND = 1000


@dataclass(frozen=True, slots=True)
class Owed:
    """A box that is owed: its number, its kind, and the key of what it tells within its kind."""

    n: int
    kind: str
    key: str


def is_recording(connection: sqlite3.Connection) -> bool:
    """Whether what is written is put into boxes."""
    return bool(_triggers(connection))


def begin(connection: sqlite3.Connection, at: int) -> None:
    """From now on put what is written into boxes; what is owed from before waits on, and goes again.

    `at` is now, Unix seconds: numbers begin above all that a station can have used until then. The caller's
    transaction holds it.
    """
    _drop_triggers(connection)
    for table, told in _TOLD.items():
        for event, rows in _EVENTS.items():
            connection.execute(_trigger(table, told, event, rows))
    connection.execute("DELETE FROM outbox_resting")
    connection.execute("UPDATE outbox SET sent = 0")
    _lift(connection, at * _NUMBERS_A_SECOND)


def end(connection: sqlite3.Connection) -> None:
    """Put nothing into boxes any more, and forget what is owed. The caller's transaction holds it."""
    _drop_triggers(connection)
    connection.execute("DELETE FROM outbox")


@contextmanager
def resting(connection: sqlite3.Connection) -> Iterator[None]:
    """What is written inside is not told: a thinned store knows less, and the centre as much as before.

    The caller's transaction holds it.
    """
    connection.execute("INSERT INTO outbox_resting (since) VALUES (1)")
    yield
    connection.execute("DELETE FROM outbox_resting")


def owe_hours(connection: sqlite3.Connection, since: int, until: int) -> None:
    """Owe the hours with readings from `since` to `until`, Unix seconds, that are not owed yet."""
    rows = connection.execute(
        f"SELECT DISTINCT at / {HOUR_S} * {HOUR_S} AS hour FROM reading "
        "WHERE at >= ? AND at < ? ORDER BY hour",
        (since, until),
    )
    owe(connection, HOUR, [int(hour) for (hour,) in rows])


def owe(connection: sqlite3.Connection, kind: str, keys: Iterable[int]) -> None:
    """Owe boxes of a kind that are not owed yet, in this order."""
    connection.executemany(
        "INSERT INTO outbox (kind, key) SELECT :kind, :key "
        "WHERE NOT EXISTS (SELECT 1 FROM outbox WHERE kind = :kind AND key = :key)",
        ({"kind": kind, "key": str(key)} for key in keys),
    )


def due(connection: sqlite3.Connection, hours_until: int | None, most: int) -> list[Owed]:
    """At most so many boxes to be sent next: how things stand before hours, the older first.

    Hours only where they ended by `hours_until`, Unix seconds; none where that is None.
    """
    rows = connection.execute(
        f"SELECT n, kind, key FROM outbox WHERE NOT sent AND (kind != '{HOUR}' OR CAST(key AS INTEGER) <= ?) "
        f"ORDER BY kind = '{HOUR}', n LIMIT ?",
        (-1 if hours_until is None else hours_until - HOUR_S, most),
    )
    return [Owed(*row) for row in rows]


def mark_sent(connection: sqlite3.Connection, numbers: Iterable[int]) -> None:
    """These are under way: what changes of them from now on is told anew, under a higher number."""
    connection.executemany("UPDATE outbox SET sent = 1 WHERE n = ?", ((n,) for n in numbers))


def forget(connection: sqlite3.Connection, numbers: Iterable[int]) -> None:
    """The centre keeps these: nothing more is owed of them."""
    connection.executemany("DELETE FROM outbox WHERE n = ?", ((n,) for n in numbers))


def count(connection: sqlite3.Connection) -> int:
    """How many boxes are owed."""
    return int(connection.execute("SELECT count(*) FROM outbox").fetchone()[0])


def oldest_hour(connection: sqlite3.Connection) -> int | None:
    """When the oldest hour began that is owed, Unix seconds; None where none is."""
    row = connection.execute(f"SELECT min(CAST(key AS INTEGER)) FROM outbox WHERE kind = '{HOUR}'").fetchone()
    return None if row[0] is None else int(row[0])


def give_up_oldest(connection: sqlite3.Connection, most: int) -> int:
    """Forget the oldest hours and estimates until at most `most` boxes are owed; how many were given up.

    Deeds, alarms and letters are few, and never given up.
    """
    over = count(connection) - most
    if over <= 0:
        return 0
    return connection.execute(
        "DELETE FROM outbox WHERE n IN (SELECT n FROM outbox WHERE kind IN (?, ?) "
        "ORDER BY CAST(key AS INTEGER) LIMIT ?)",
        (HOUR, ESTIMATE, over),
    ).rowcount


def _trigger(table: str, told: _Told, event: str, rows: Iterable[str]) -> str:
    """Leaves a box that waits as it is; one under way is told anew.

    `INSERT OR IGNORE` would not do: inside a trigger the outer statement's way with conflicts holds.
    """
    of = f" OF {told.columns}" if event == "UPDATE" else ""
    steps = []
    for row in rows:
        key = f"CAST({told.key.format(row=row)} AS TEXT)"
        guard = told.guard.format(row=row)
        steps.append(f"DELETE FROM outbox WHERE kind = '{told.kind}' AND key = {key} AND sent AND {guard};")
        steps.append(
            f"INSERT INTO outbox (kind, key) SELECT '{told.kind}', {key} WHERE {guard} "
            f"AND NOT EXISTS (SELECT 1 FROM outbox WHERE kind = '{told.kind}' AND key = {key});"
        )
    return (
        f"CREATE TRIGGER outbox_{table}_{event.lower()} AFTER {event}{of} ON {table} "
        f"WHEN NOT EXISTS (SELECT 1 FROM outbox_resting) BEGIN {' '.join(steps)} END"
    )


def _triggers(connection: sqlite3.Connection) -> list[str]:
    rows = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'outbox\\_%' ESCAPE '\\'"
    )
    return [str(name) for (name,) in rows]


def _drop_triggers(connection: sqlite3.Connection) -> None:
    for name in _triggers(connection):
        connection.execute(f"DROP TRIGGER {name}")


def _lift(connection: sqlite3.Connection, least: int) -> None:
    """Have the next number lie above `least`."""
    if connection.execute("SELECT 1 FROM sqlite_sequence WHERE name = 'outbox'").fetchone() is None:
        connection.execute("INSERT INTO sqlite_sequence (name, seq) VALUES ('outbox', 0)")
    connection.execute("UPDATE sqlite_sequence SET seq = max(seq, ?) WHERE name = 'outbox'", (least,))
