"""How each letter fares with each carrier: mail, webhook or files.

A delivery is `queued` until its carrier has taken the letter, then `sent`; `parked` when that carrier
refused it for good; `merged` when a digest speaks of it there instead. Carriers know nothing of each other.
"""

import sqlite3
from collections.abc import Collection, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Delivery:
    """A letter with one carrier. `trouble` is why it did not go last, `note` what is set above its words."""

    letter: int
    carrier: str
    state: str
    attempts: int
    due_at: int
    sent_at: int | None
    trouble: str
    note: str


_COLUMNS = (
    "letter, carrier, delivery.state, delivery.attempts, delivery.due_at, delivery.sent_at, trouble, note"
)
_QUEUED = "delivery.state = 'queued'"


def queue(connection: sqlite3.Connection, letter_id: int, carriers: Iterable[str], at: int) -> None:
    """Put a written letter in line with every carrier.

    What waits there already is tried with it, before it: letters keep their order.
    """
    for carrier in carriers:
        connection.execute(
            "INSERT INTO delivery (letter, carrier, state, due_at) VALUES (?, ?, 'queued', ?)",
            (letter_id, carrier, at),
        )
        _move(connection, carrier, at)


def next_due(connection: sqlite3.Connection, carrier: str, at: int, longest_s: int) -> Delivery | None:
    """The first letter in line whose time has come.

    Nothing is put off for longer than `longest_s`: a later time is from before the clock was put back.
    """
    rows = _rows(
        connection,
        f"WHERE carrier = ? AND {_QUEUED} AND delivery.due_at NOT BETWEEN ? AND ? ORDER BY number LIMIT 1",
        (carrier, at + 1, at + longest_s),
    )
    return next(iter(rows), None)


def queued(connection: sqlite3.Connection, carrier: str) -> list[Delivery]:
    """All that waits for a carrier, by number."""
    return _rows(connection, f"WHERE carrier = ? AND {_QUEUED} ORDER BY number", (carrier,))


def unfinished(connection: sqlite3.Connection) -> list[Delivery]:
    """All that waits for a carrier, or was refused by one, by number."""
    return _rows(connection, "WHERE delivery.state IN ('queued', 'parked') ORDER BY number, carrier", ())


def of(connection: sqlite3.Connection, letter_id: int) -> list[Delivery]:
    """How a letter fares with each carrier it was given to."""
    return _rows(connection, "WHERE letter = ? ORDER BY carrier", (letter_id,))


def sent(connection: sqlite3.Connection, delivery: Delivery, at: int) -> None:
    """The carrier took it."""
    _set(connection, delivery, "state = 'sent', attempts = attempts + 1, sent_at = ?, trouble = ''", at)


def park(connection: sqlite3.Connection, delivery: Delivery, trouble: str) -> None:
    """The carrier refused it for good."""
    _set(connection, delivery, "state = 'parked', attempts = attempts + 1, trouble = ?", trouble)


def put_off(connection: sqlite3.Connection, delivery: Delivery, due_at: int, trouble: str) -> None:
    """The carrier could not take this letter now: try again at `due_at`; others may go meanwhile."""
    _set(connection, delivery, "attempts = attempts + 1, due_at = ?, trouble = ?", due_at, trouble)


def put_off_all(connection: sqlite3.Connection, tried: Delivery, due_at: int, trouble: str) -> None:
    """The carrier can take no letter now: all wait until `due_at`, and keep their order."""
    put_off(connection, tried, due_at, trouble)
    _move(connection, tried.carrier, due_at)


def merge(connection: sqlite3.Connection, delivery: Delivery) -> None:
    """A digest speaks of it with this carrier."""
    _set(connection, delivery, "state = 'merged'")


def set_note(connection: sqlite3.Connection, delivery: Delivery, note: str) -> None:
    """Have it go with a note above its words."""
    _set(connection, delivery, "note = ?", note)


def try_now(connection: sqlite3.Connection, at: int, letter_ids: Collection[int]) -> int:
    """Put every letter that waits, or was parked, back in line for now; how many. None named: all."""
    wanted = [row for row in unfinished(connection) if not letter_ids or row.letter in letter_ids]
    for row in wanted:
        _set(connection, row, "state = 'queued', due_at = ?", at)
    return len({row.letter for row in wanted})


def take_up(connection: sqlite3.Connection, carriers: Collection[str], at: int) -> None:
    """Have every letter that waits wait for a carrier the station still has, and for now.

    A carrier that is gone from the station file takes nothing with it: unless another took the letter, it
    goes by those there are.
    """
    for gone in {row.carrier for row in _rows(connection, f"WHERE {_QUEUED}", ())} - set(carriers):
        connection.execute(f"DELETE FROM delivery WHERE carrier = ? AND {_QUEUED}", (gone,))
    waiting = connection.execute(
        "SELECT id FROM letter WHERE state = 'queued' AND NOT EXISTS "
        "(SELECT 1 FROM delivery WHERE letter = id AND state IN ('queued', 'sent')) ORDER BY number"
    ).fetchall()
    for (letter_id,) in waiting:
        known = {row.carrier for row in of(connection, letter_id)}
        queue(connection, letter_id, [name for name in carriers if name not in known], at)
        _settle(connection, letter_id)
    for carrier in carriers:
        _move(connection, carrier, at)


def _move(connection: sqlite3.Connection, carrier: str, due_at: int) -> None:
    for row in queued(connection, carrier):
        if row.due_at != due_at:
            _set(connection, row, "due_at = ?", due_at)


def _set(connection: sqlite3.Connection, delivery: Delivery, what: str, *values: int | str) -> None:
    connection.execute(
        f"UPDATE delivery SET {what} WHERE letter = ? AND carrier = ?",
        (*values, delivery.letter, delivery.carrier),
    )
    _settle(connection, delivery.letter)


def _settle(connection: sqlite3.Connection, letter_id: int) -> None:
    """What the letter's own row says follows from its deliveries: it is out once one carrier took it."""
    rows = of(connection, letter_id)
    states = {row.state for row in rows}
    state = next((state for state in ("sent", "queued", "parked", "merged") if state in states), "parked")
    due_at = min((row.due_at for row in rows if row.state == "queued"), default=None)
    sent_at = min((row.sent_at for row in rows if row.sent_at is not None), default=None)
    connection.execute(
        "UPDATE letter SET state = ?, attempts = ?, due_at = coalesce(?, due_at), sent_at = ? WHERE id = ?",
        (state, sum(row.attempts for row in rows), due_at, sent_at, letter_id),
    )


def _rows(connection: sqlite3.Connection, where: str, values: tuple[int | str, ...]) -> list[Delivery]:
    query = f"SELECT {_COLUMNS} FROM delivery JOIN letter ON letter.id = delivery.letter {where}"
    return [Delivery(*row) for row in connection.execute(query, values)]
