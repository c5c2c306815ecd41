"""What the last letter of a kind explained, so that the next one does not explain it again."""

import sqlite3

from daemon.post.message import words_of
from daemon.seconds import WEEK_S
from daemon.store import letters as letter_store


def said_last(connection: sqlite3.Connection, kind: str, at: int) -> frozenset[str]:
    """The paragraphs of the last letter of a kind within a week before `at` (Unix s), each on one line."""
    written = letter_store.written_between(connection, at - WEEK_S, at)
    last = max((row for row in written if row.kind == kind), key=lambda row: row.number or 0, default=None)
    if last is None:
        return frozenset()
    message = letter_store.kept_message(connection, last.id)
    if message is None:  # class data was wiped since: it is explained once more
        return frozenset()
    text = words_of(message).text
    return frozenset(" ".join(part.split()) for part in text.split("\n\n"))
