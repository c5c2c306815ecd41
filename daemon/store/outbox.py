"""What a centre is still owed of this store: numbered boxes, each a pointer to the rows that it tells of.

A box is put in by triggers (outbox_triggers), in the transaction that writes what it tells, whatever part of
the program or whichever command that is. Its words are read when it is sent, so that a box waits in some 50
bytes. Numbers rise and are never used again: what changes after it was sent is told anew under a higher one.
"""

import sqlite3
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from daemon.seconds import DAY_S, HOUR_S
from daemon.store import outbox_triggers
from daemon.store.outbox_triggers import ALARM, DEED, ESTIMATE, HOUR, LETTER
from daemon.store.thinning import thinned_until

# Numbers begin anew above the clock's seconds times this at each start: a store put back from a backup knows
# lower numbers than were given since, and no station sends a thousand boxes a second for long.
_NUMBERS_A_SECOND = 1000
_OF_TIME = f"('{HOUR}', '{ESTIMATE}')"  # the many; and what is told of a moment long ago may wait
_STANDING = "SELECT max(id) FROM alarm GROUP BY vessel, condition, probe ORDER BY max(id)"


@dataclass(frozen=True, slots=True)
class Owed:
    """A box that is owed: its number, its kind, and the key of what it tells within its kind."""

    n: int
    kind: str
    key: int


@dataclass(frozen=True, slots=True)
class Uncollected:
    """How many boxes are owed to a centre, and when it last answered, or was first to be told; Unix s."""

    boxes: int
    answered_at: int


def begin(connection: sqlite3.Connection, key: str, at: int) -> None:
    """From now on put what is written into boxes for the centre that knows this store as `key`.

    What is owed from before waits on, under new numbers: it may have been sent under the old ones by a life
    of this store that it knows nothing of, since it was put back from a backup. `at` is now, Unix seconds. A
    centre that hears of this store for the first time is owed how things stand, and a day: more would be a
    backlog that nobody asked for, and is to be had from an export. Where owed boxes were spoiled, all that
    the store holds in full is told again. The caller's transaction holds it.
    """
    anew = not outbox_triggers.there(connection) or _key(connection) != key
    outbox_triggers.put(connection)
    connection.execute("DELETE FROM outbox_resting")
    spoiled = connection.execute("SELECT 1 FROM row_set_aside WHERE at IS NULL AND from_table = 'outbox'")
    if anew:
        _told_as(connection, key, at)
        _owe_since(connection, max(at - DAY_S, thinned_until(connection)), _STANDING)
    elif spoiled.fetchone():
        _owe_since(connection, thinned_until(connection), "SELECT id FROM alarm ORDER BY id")
        owe(connection, LETTER, _numbers(connection, "SELECT id FROM letter ORDER BY id"))
    number_anew(connection, at)


def end(connection: sqlite3.Connection) -> None:
    """Put nothing into boxes any more, and forget what is owed. The caller's transaction holds it."""
    outbox_triggers.drop(connection)
    connection.execute("DELETE FROM outbox")


def number_anew(connection: sqlite3.Connection, at: int) -> None:
    """Give all that is owed new numbers, in the order of the old ones, above all that were ever given.

    `at` is now, Unix seconds.
    """
    row = connection.execute("SELECT seq FROM sqlite_sequence WHERE name = 'outbox'").fetchone()
    highest = connection.execute("SELECT coalesce(max(n), 0) FROM outbox").fetchone()[0]
    least = max(at * _NUMBERS_A_SECOND, highest, int(row[0]) if row else 0)
    boxes = connection.execute(
        "UPDATE outbox SET n = ? + place, sent = 0 FROM "
        "(SELECT n AS old, row_number() OVER (ORDER BY n) AS place FROM outbox) WHERE n = old",
        (least,),
    ).rowcount
    connection.execute("DELETE FROM sqlite_sequence WHERE name = 'outbox'")
    connection.execute("INSERT INTO sqlite_sequence (name, seq) VALUES ('outbox', ?)", (least + boxes,))


def store_number(connection: sqlite3.Connection) -> int | None:
    """What tells this store from one that the station had before; None where it has none yet."""
    row = connection.execute("SELECT store FROM outbox_to").fetchone()
    return None if row is None or row[0] is None else int(row[0])


def give_store_number(connection: sqlite3.Connection, at: int) -> None:
    """Number this store by `at`, Unix seconds: the later one is the newer, so the clock has to be right."""
    connection.execute("UPDATE outbox_to SET store = ? WHERE store IS NULL", (max(at, 1),))


@contextmanager
def resting(connection: sqlite3.Connection) -> Iterator[None]:
    """What is written inside is not told: a thinned store knows less, and the centre as much as before.

    The caller's transaction holds it.
    """
    connection.execute("INSERT INTO outbox_resting (one) VALUES (1)")
    yield
    connection.execute("DELETE FROM outbox_resting")


def owe(connection: sqlite3.Connection, kind: str, keys: Iterable[int]) -> None:
    """Owe boxes of a kind that are not owed yet, in this order."""
    connection.executemany(
        "INSERT INTO outbox (kind, key) SELECT :kind, :key "
        "WHERE NOT EXISTS (SELECT 1 FROM outbox WHERE kind = :kind AND key = :key)",
        ({"kind": kind, "key": str(key)} for key in keys),
    )


def due(
    connection: sqlite3.Connection, hours_until: int | None, under_way: Collection[int], most: int
) -> list[Owed]:
    """At most so many boxes to be sent next, without those `under_way`: how things stand, then the older.

    Hours only where they ended by `hours_until`, Unix seconds; none where that is None.
    """
    until, fetched = -1 if hours_until is None else hours_until - HOUR_S, most + len(under_way)
    # Of the few by their index, of the many in the order of their numbers, so that no look reads a year's.
    rows = connection.execute(
        f"SELECT n, kind, key FROM outbox WHERE kind IN ('{ALARM}', '{DEED}', '{LETTER}') "
        "ORDER BY +n LIMIT ?",
        (fetched,),
    ).fetchall()
    rows += connection.execute(
        f"SELECT n, kind, key FROM outbox NOT INDEXED WHERE kind = '{ESTIMATE}' "
        f"OR (kind = '{HOUR}' AND CAST(key AS INTEGER) <= ?) ORDER BY n LIMIT ?",
        (until, fetched),
    ).fetchall()
    return [Owed(n, kind, int(key)) for n, kind, key in rows if n not in under_way][:most]


def mark_sent(connection: sqlite3.Connection, numbers: Iterable[int]) -> None:
    """These are shown to the world: what changes of them from now on is told anew, under a higher number."""
    connection.executemany("UPDATE outbox SET sent = 1 WHERE n = ?", ((n,) for n in numbers))


def standing(connection: sqlite3.Connection, numbers: Iterable[int]) -> set[int]:
    """Which of these are still owed: what changed since has another number."""
    found = (connection.execute("SELECT n FROM outbox WHERE n = ?", (n,)).fetchone() for n in numbers)
    return {int(row[0]) for row in found if row is not None}


def forget(connection: sqlite3.Connection, numbers: Iterable[int], at: int) -> None:
    """The centre keeps these, and said so at `at`, Unix seconds: nothing more is owed of them."""
    connection.executemany("DELETE FROM outbox WHERE n = ?", ((n,) for n in numbers))
    connection.execute("UPDATE outbox_to SET answered_at = ?", (at,))


def waiting(connection: sqlite3.Connection) -> Uncollected | None:
    """What the centre is owed; None where nothing is put into boxes."""
    row = connection.execute("SELECT answered_at FROM outbox_to").fetchone()
    if row is None or not outbox_triggers.there(connection):
        return None
    return Uncollected(_count(connection), int(row[0]))


def oldest(connection: sqlite3.Connection) -> int | None:
    """The moment of the oldest hour or estimate that is owed, Unix seconds; None where none is."""
    row = connection.execute(
        f"SELECT min(CAST(key AS INTEGER)) FROM outbox WHERE kind IN {_OF_TIME}"
    ).fetchone()
    return None if row[0] is None else int(row[0])


def give_up_oldest(connection: sqlite3.Connection, most: int) -> int:
    """Forget the oldest hours and estimates until at most `most` boxes are owed; how many were given up.

    Deeds, alarms and letters are few, and never given up.
    """
    over = _count(connection) - most
    if over <= 0:
        return 0
    return connection.execute(
        f"DELETE FROM outbox WHERE n IN (SELECT n FROM outbox WHERE kind IN {_OF_TIME} "
        "ORDER BY CAST(key AS INTEGER) LIMIT ?)",
        (over,),
    ).rowcount


def _owe_since(connection: sqlite3.Connection, since: int, alarms: str) -> None:
    """Owe all deeds, some alarms, and what was read and believed from `since` on, Unix seconds."""
    owe(connection, DEED, _numbers(connection, "SELECT id FROM deed ORDER BY id"))
    owe(connection, ALARM, _numbers(connection, alarms))
    moments = "SELECT DISTINCT at FROM estimate WHERE at >= ? ORDER BY at"
    owe(connection, ESTIMATE, _numbers(connection, moments, since))
    hours = f"SELECT DISTINCT at / {HOUR_S} * {HOUR_S} AS hour FROM reading WHERE at >= ? ORDER BY hour"
    owe(connection, HOUR, _numbers(connection, hours, -(-since // HOUR_S) * HOUR_S))


def _numbers(connection: sqlite3.Connection, query: str, *values: int) -> list[int]:
    return [int(number) for (number,) in connection.execute(query, values)]


def _key(connection: sqlite3.Connection) -> str | None:
    row = connection.execute("SELECT key FROM outbox_to").fetchone()
    return None if row is None else str(row[0])


def _told_as(connection: sqlite3.Connection, key: str, at: int) -> None:
    """A store keeps its number, whoever is told of it: its rows keep theirs."""
    number = store_number(connection)
    connection.execute("DELETE FROM outbox_to")
    connection.execute("INSERT INTO outbox_to (key, store, answered_at) VALUES (?, ?, ?)", (key, number, at))


def _count(connection: sqlite3.Connection) -> int:
    return int(connection.execute("SELECT count(*) FROM outbox").fetchone()[0])
