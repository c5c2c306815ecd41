"""What of a store is class data: the one table of columns in which people's own words stand.

A table that comes to hold such words has a row here; nothing else needs to know of it.
"""

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

# What stands where a text that must be there was wiped.
MARK = "…"
# The account of the local page: who signed in there has a PIN and no name.
_PAGE_ACCOUNT = "naupliad-page"


@dataclass(frozen=True, slots=True)
class ClassText:
    """A column with people's own words; `what` they are, `left` what stands there afterwards (None: NULL).

    `key` is that of a JSON object in the column, where the words are only its value. `where` says of which
    rows (SQL), `kept` which values are no person's words.
    """

    what: str
    table: str
    column: str
    left: str | None
    key: str = ""
    where: str = "1"
    kept: tuple[str, ...] = ()

    @property
    def cell(self) -> str:
        """The words, in SQL."""
        return f"json_extract({self.column}, '$.{self.key}')" if self.key else self.column

    @property
    def blank(self) -> str:
        """What is put in their place, in SQL with one place for `left`."""
        return f"json_set({self.column}, '$.{self.key}', ?)" if self.key else "?"

    @property
    def rows(self) -> str:
        """The rows that hold any, in SQL."""
        untouched = (*self.kept, *([self.left] if self.left is not None else []))
        not_kept = "".join(f" AND {self.cell} <> '{value}'" for value in untouched)
        return f"({self.where}) AND {self.cell} IS NOT NULL{not_kept}"


# A letter that still waits for the post goes with its words: those are looked into afterwards.
_WENT = (
    "state IN ('sent', 'merged') AND NOT EXISTS "
    "(SELECT 1 FROM delivery WHERE letter = letter.id AND state IN ('queued', 'parked'))"
)
CLASS_TEXTS = (
    ClassText("notes", "deed", "detail", MARK, key="text"),
    ClassText("ideas", "experiment", "idea", ""),
    ClassText("silencers", "shelf", "by_whom", "", kept=(_PAGE_ACCOUNT,)),
    ClassText("spoiled rows", "row_set_aside", "row", "{}"),
)
# Quote the care log; what is to be found of it is found by the texts above.
QUOTING = (ClassText("letters", "letter", "message", None, where=_WENT),)


def texts_of(connection: sqlite3.Connection) -> set[str]:
    """All that people wrote, each once; of a store of an earlier version as far as it has the columns."""
    return {
        str(text)
        for one in _there(connection, CLASS_TEXTS)
        for (text,) in connection.execute(f"SELECT {one.cell} FROM {one.table} WHERE {one.rows}")
    }


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows would be blanked, by what they are; only of what there is."""
    found = {
        one.what: int(connection.execute(f"SELECT count(*) FROM {one.table} WHERE {one.rows}").fetchone()[0])
        for one in _there(connection, (*CLASS_TEXTS, *QUOTING))
    }
    return {what: count for what, count in found.items() if count}


def blank(connection: sqlite3.Connection) -> None:
    """Put something else where class data stands. The caller's transaction holds it; the rows stay."""
    for one in _there(connection, (*CLASS_TEXTS, *QUOTING)):
        connection.execute(f"UPDATE {one.table} SET {one.column} = {one.blank} WHERE {one.rows}", (one.left,))


def _there(connection: sqlite3.Connection, wanted: tuple[ClassText, ...]) -> Iterator[ClassText]:
    for one in wanted:
        columns = {row[1] for row in connection.execute(f"PRAGMA table_info({one.table})")}
        if one.column in columns and (one.table != "letter" or _has(connection, "delivery")):
            yield one


def _has(connection: sqlite3.Connection, table: str) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (table,)).fetchone() is not None
