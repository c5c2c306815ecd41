"""Letters in the store: the outbox that survives a restart.

A letter is `held` until somebody can read it, `queued` until a carrier has taken it, then `sent`; `parked`
when the post refused it for good; `merged` when another letter says the same, or nothing was left to say.
How it fares with each carrier stands in `deliveries`.
"""

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LetterRow:
    """A letter. `due_at` is when it may next go; `about` are the vessels (or probes) it speaks of.

    `number` and `written_at` are given with its words; `merged_into` is the letter that speaks of it instead.
    """

    id: int
    at: int
    kind: str
    subject: str
    state: str
    attempts: int
    due_at: int
    sent_at: int | None
    number: int | None
    about: tuple[str, ...]
    written_at: int | None
    merged_into: int | None


# Of a kind, from a moment on, about a vessel: what speaks by itself or in another.
_ABOUT = (
    "kind = ? AND at >= ? AND (state <> 'merged' OR merged_into IS NOT NULL) "
    "AND EXISTS (SELECT 1 FROM json_each(about) WHERE value = ?)"
)
_COLUMNS = "id, at, kind, subject, state, attempts, due_at, sent_at, number, about, written_at, merged_into"


def hold(
    connection: sqlite3.Connection, at: int, kind: str, subject: str, due_at: int, about: Sequence[str]
) -> int:
    """Keep a letter whose words are written when it is due; returns its id."""
    cursor = connection.execute(
        "INSERT INTO letter (at, kind, subject, state, due_at, about) VALUES (?, ?, ?, 'held', ?, ?)",
        (at, kind, subject, due_at, json.dumps(list(about))),
    )
    return int(cursor.lastrowid or 0)


def next_number(connection: sqlite3.Connection) -> int:
    """The number of the letter that is written next: no number is given twice, none is left out."""
    return int(connection.execute("SELECT coalesce(max(number), 0) + 1 FROM letter").fetchone()[0])


def write(
    connection: sqlite3.Connection,
    letter_id: int,
    about: Sequence[str],
    subject: str,
    message: bytes,
    number: int,
    at: int,
) -> None:
    """Give a held letter its words and its number; `about` is all it speaks of, with what was merged in."""
    connection.execute(
        "UPDATE letter SET state = 'queued', about = ?, subject = ?, message = ?, number = ?, due_at = ?, "
        "written_at = ? WHERE id = ?",
        (json.dumps(list(about)), subject, message, number, at, at, letter_id),
    )


def merge(connection: sqlite3.Connection, letter_id: int) -> None:
    """Mark a held letter as one that another stands for, or that has nothing left to say."""
    connection.execute("UPDATE letter SET state = 'merged' WHERE id = ?", (letter_id,))


def merge_into(connection: sqlite3.Connection, letter_id: int, other_id: int) -> None:
    """Remember the other letter, a digest perhaps, that speaks of this one."""
    connection.execute("UPDATE letter SET merged_into = ? WHERE id = ?", (other_id, letter_id))


def merged_into(connection: sqlite3.Connection, letter_id: int) -> list[LetterRow]:
    """The letters that were merged into one, by number."""
    return _rows(connection, "WHERE merged_into = ? ORDER BY number", letter_id)


def one(connection: sqlite3.Connection, letter_id: int) -> LetterRow:
    """The letter of an id."""
    return _rows(connection, "WHERE id = ?", letter_id)[0]


def find(connection: sqlite3.Connection, letter_id: int) -> LetterRow | None:
    """The letter of an id; None where there is none."""
    return next(iter(_rows(connection, "WHERE id = ?", letter_id)), None)


def put_off(connection: sqlite3.Connection, letter_id: int, due_at: int) -> None:
    """Have a held letter go at another moment."""
    connection.execute("UPDATE letter SET due_at = ? WHERE id = ? AND state = 'held'", (due_at, letter_id))


def put_off_held(connection: sqlite3.Connection, until: int) -> None:
    """Held letters that would go before `until` go then."""
    connection.execute("UPDATE letter SET due_at = ? WHERE state = 'held' AND due_at < ?", (until, until))


def bring_forward(connection: sqlite3.Connection, due_at: int, at: int) -> None:
    """Held letters that wait for exactly `due_at` go at `at`."""
    connection.execute("UPDATE letter SET due_at = ? WHERE state = 'held' AND due_at = ?", (at, due_at))


def due(connection: sqlite3.Connection, state: str, at: int) -> list[LetterRow]:
    """Letters of a state whose time has come, the oldest first."""
    return _rows(connection, "WHERE state = ? AND due_at <= ? ORDER BY due_at, id", state, at)


def in_state(connection: sqlite3.Connection, *states: str) -> list[LetterRow]:
    """Letters in any of these states, the oldest first."""
    return _rows(connection, f"WHERE state IN ({', '.join('?' * len(states))}) ORDER BY id", *states)


def between(connection: sqlite3.Connection, after: int, until: int) -> list[LetterRow]:
    """Letters with after < at <= until, in the order they were begun."""
    return _rows(connection, "WHERE at > ? AND at <= ? ORDER BY id", after, until)


def written_between(connection: sqlite3.Connection, after: int, until: int) -> list[LetterRow]:
    """Letters that got their words with after < written_at <= until, by number."""
    return _rows(connection, "WHERE written_at > ? AND written_at <= ? ORDER BY number", after, until)


def sent_between(connection: sqlite3.Connection, after: int, until: int) -> list[LetterRow]:
    """Letters that went out with after < sent_at <= until, by number."""
    return _rows(connection, "WHERE sent_at > ? AND sent_at <= ? ORDER BY number", after, until)


def last_sent(connection: sqlite3.Connection, most: int) -> list[LetterRow]:
    """The letters that went out last, the newest first."""
    return _rows(connection, "WHERE sent_at IS NOT NULL ORDER BY sent_at DESC, id DESC LIMIT ?", most)


def latest_about(connection: sqlite3.Connection, kind: str, vessel: str, since: int) -> int | None:
    """When the last letter of a kind about a vessel was begun, from `since` on; None where none was."""
    return _extreme_about(connection, "max", kind, vessel, since)


def earliest_about(connection: sqlite3.Connection, kind: str, vessel: str, since: int) -> int | None:
    """When the first letter of a kind about a vessel was begun, from `since` on; None where none was."""
    return _extreme_about(connection, "min", kind, vessel, since)


def any_sent_about(connection: sqlite3.Connection, kind: str, vessel: str, since: int, until: int) -> bool:
    """Whether a letter of a kind about a vessel, begun from `since` on, or one for it was sent by `until`."""
    row = connection.execute(
        "SELECT 1 FROM letter LEFT JOIN letter AS teller ON teller.id = letter.merged_into "
        "WHERE letter.kind = ? AND letter.at >= ? AND coalesce(letter.sent_at, teller.sent_at) <= ? "
        "AND EXISTS (SELECT 1 FROM json_each(letter.about) WHERE value = ?) LIMIT 1",
        (kind, since, until, vessel),
    ).fetchone()
    return row is not None


def count_about(connection: sqlite3.Connection, kind: str, vessel: str, since: int) -> int:
    """How many letters of a kind about a vessel were begun from `since` on and speak, or are to."""
    row = connection.execute(f"SELECT count(*) FROM letter WHERE {_ABOUT}", (kind, since, vessel)).fetchone()
    return int(row[0])


def _extreme_about(
    connection: sqlite3.Connection, which: str, kind: str, vessel: str, since: int
) -> int | None:
    row = connection.execute(
        f"SELECT {which}(at) FROM letter WHERE {_ABOUT}", (kind, since, vessel)
    ).fetchone()
    return None if row[0] is None else int(row[0])


def message(connection: sqlite3.Connection, letter_id: int) -> bytes:
    """A letter as it stands in the outbox, RFC 5322; one that waits has its words."""
    kept = kept_message(connection, letter_id)
    if kept is None:
        raise LookupError(letter_id)
    return kept


def kept_message(connection: sqlite3.Connection, letter_id: int) -> bytes | None:
    """The same of any letter; None where its words are not kept: it is old, or class data was wiped."""
    row = connection.execute("SELECT message FROM letter WHERE id = ?", (letter_id,)).fetchone()
    return None if row[0] is None else bytes(row[0])


def _rows(connection: sqlite3.Connection, where: str, *values: int | str) -> list[LetterRow]:
    rows = connection.execute(f"SELECT {_COLUMNS} FROM letter {where}", values)
    return [_letter(*row) for row in rows]


def _letter(*cells: object) -> LetterRow:
    row = dict(zip(_COLUMNS.split(", "), cells, strict=True))
    return LetterRow(**{**row, "about": tuple(json.loads(str(row["about"])))})  # type: ignore[arg-type]  # SQLite's STRICT holds the types
