"""Rows that cannot be true are set aside into a table of their own, and the rest goes on.

A card that fails slowly spoils a few bytes here and there; one of them in the wrong place would keep a
station from starting for ever, and a store is far too much to give up for it.
"""

import json
import math
import re
import sqlite3
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping

from daemon.store.file_check import look_through
from daemon.store.row_rules import LOOKED_AT, RULES, moments, names

_ASIDE = "row_set_aside"
_SQL_NAME = re.compile(r"CREATE TABLE (?:\"\w+\"|\w+)")
_ON_A_TABLE = re.compile(r" ON (?:\"\w+\"|\w+) \(")
# Tables in which a text may be any text, so that each has to be looked at; others hold names alone.
_NAMES_ALONE = frozenset({"reading", "estimate"})

_LATE_READINGS = 1000
# Columns that hold a word of the program, and the words there are: by table and column.
Vocabulary = Mapping[tuple[str, str], Collection[str]]

# The number that a letter bears in its own words; None where it bears none.
NumberOf = Callable[[bytes], int | None]
# By table: of rows that cannot both be true, those for which this is more are kept.
_TRUER = {"letter": "bears(message, number) DESC, in_line(id) DESC"}


def set_aside_spoiled(
    connection: sqlite3.Connection, damaged: Collection[str], words: Vocabulary, number_of: NumberOf
) -> None:
    """Set aside what cannot be true, in all tables; `damaged` ones (see `look_through`) are written anew.

    Of two letters of one number the one stays that bears it, and where none does the one whose number is in
    line with the others'. Within the caller's transaction, with foreign keys off. Raises
    sqlite3.DatabaseError where the file is not whole afterwards: then all of it is broken.
    """
    in_line = _in_line(connection) if "letter" in damaged else {}

    def bears(message: object, number: object) -> int:
        borne = number_of(message) if isinstance(message, bytes) else None
        return 1 if borne is None else 2 if borne == number else 0

    connection.create_function("is_text", 1, _is_text, deterministic=True)
    connection.create_function("bears", 2, bears, deterministic=True)
    connection.create_function("in_line", 1, lambda letter: in_line.get(letter, 0))
    for table in ruled_tables(connection):
        if table in damaged:
            false = _false_in(connection, table, words, of_any_type=True)
            _write_anew(connection, table, _sql_of(connection, table), false)
        else:
            _take_out(connection, table, _plain(connection, table) + _false_in(connection, table, words))
    _take_out(connection, "delivery", "letter NOT IN (SELECT id FROM letter)")
    found = look_through(connection) if damaged else None
    if found is not None and (found.broken or found.tables):
        raise sqlite3.DatabaseError(found.broken or f"{', '.join(found.tables)}: not to be written anew")


def _in_line(connection: sqlite3.Connection) -> dict[int, int]:
    """By letter: of how many the number is as far from their place in the order in which they were written.

    Numbers are given in that order and none is left out, so a spoiled one is alone with its distance.
    """
    rows = connection.execute(
        "SELECT id, number FROM letter NOT INDEXED "
        "WHERE typeof(number) = 'integer' AND typeof(written_at) = 'integer' ORDER BY written_at, id"
    )
    apart = {letter: number - place for place, (letter, number) in enumerate(rows)}
    alike = Counter(apart.values())
    return {letter: alike[distance] for letter, distance in apart.items()}


def with_checks(connection: sqlite3.Connection, tables: Iterable[str]) -> None:
    """Give tables their rules as CHECKs, within the caller's transaction; rows that break them are set aside.

    Only the schema's words change, as SQLite allows for a constraint (https://sqlite.org/lang_altertable.html,
    section 7): to write millions of rows anew would take minutes on a small card, and twice the room.
    """
    connection.create_function("is_text", 1, _is_text, deterministic=True)
    (version,) = connection.execute("PRAGMA schema_version").fetchone()
    words = {table: _sql_of(connection, table) for table in tables}
    for table in words:
        _take_out(connection, table, _false_in(connection, table, {}, of_any_type=True))
    connection.execute("PRAGMA writable_schema = ON")
    for table, sql in words.items():
        checks = "".join(f",\n    CHECK ({rule})" for rule in RULES[table])
        body, end, kind = sql.rpartition(")")
        connection.execute(
            "UPDATE sqlite_master SET sql = ? WHERE type = 'table' AND name = ?",
            (f"{body.rstrip()}{checks}\n{end}{kind}", table),
        )
    connection.execute(f"PRAGMA schema_version = {version + 1}")
    connection.execute("PRAGMA writable_schema = OFF")


def ruled_tables(connection: sqlite3.Connection) -> list[str]:
    """The tables of this store that there are rules for."""
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return [table for table in RULES if table in there]


def _false_in(
    connection: sqlite3.Connection, table: str, words: Vocabulary, *, of_any_type: bool = False
) -> str:
    """A condition for rows that cannot be true: against a rule, no text, an unknown word.

    `of_any_type`: or of another type than its column, which SQLite has not looked for.
    """
    known = connection.execute(f"PRAGMA table_info({table})").fetchall()
    columns = [(str(row[1]), str(row[2]), bool(row[3] or row[5])) for row in known]
    false = [f"NOT ({rule})" for rule in (*RULES[table], *LOOKED_AT.get(table, ()))]
    for name, kind, filled in columns:
        if of_any_type:
            held = [kind.lower(), *(() if filled else ("null",))]
            false.append(f"typeof({name}) NOT IN ({_listed(held)})")
        if kind == "TEXT" and table not in _NAMES_ALONE:
            false.append(f"NOT is_text(CAST({name} AS BLOB))")
        if (table, name) in words:
            false.append(f"{name} NOT IN ({_listed(words[table, name])})")
    return f"coalesce({' OR '.join(f'({one})' for one in false)}, 0)"


def _plain(connection: sqlite3.Connection, table: str) -> str:
    """The beginning of a condition that leaves out at once what most of millions of readings are.

    It takes a third of the time that the rules take: a good value, of a probe that is read of late.
    """
    if table != "reading":
        return ""
    (moment,), (name,) = moments("at"), names("probe")
    late = f"SELECT probe FROM reading ORDER BY at DESC LIMIT {_LATE_READINGS}"
    known = connection.execute(f"SELECT DISTINCT probe FROM ({late}) WHERE {name}").fetchall()
    return (
        f"NOT coalesce(quality = 'good' AND value BETWEEN -1e9 AND 1e9 AND {moment} "
        f"AND probe IN ({_listed(row[0] for row in known)}), 0) AND "
    )


def _listed(words: Iterable[str]) -> str:
    return ", ".join("'" + word.replace("'", "''") + "'" for word in words)


def _take_out(connection: sqlite3.Connection, table: str, false: str) -> None:
    if _set_aside(connection, table, f"FROM {table} NOT INDEXED WHERE {false}"):
        connection.execute(f"DELETE FROM {table} WHERE {false}")


def _write_anew(connection: sqlite3.Connection, table: str, sql: str, false: str) -> None:
    """Copy a table, as it is read from one end to the other, into a new one that takes its place."""
    new = f"{table}_anew"
    indexes, triggers = _words_about(connection, table, "index"), _words_about(connection, table, "trigger")
    _set_aside(connection, table, f"FROM {table} NOT INDEXED WHERE {false}")
    connection.execute(_SQL_NAME.sub(f"CREATE TABLE {new}", sql, count=1))
    unique = [index for index in indexes if " UNIQUE " in index]
    for index in unique:  # before the rows come: of two that cannot both be true the first to come stays
        name = index.split()[3]
        connection.execute(f"DROP INDEX {name}")
        connection.execute(_ON_A_TABLE.sub(f" ON {new} (", index, count=1))
    left = f"FROM {table} NOT INDEXED WHERE NOT ({false})"
    (meant,) = connection.execute(f"SELECT count(*) {left}").fetchone()
    order = f" ORDER BY {_TRUER[table]}" if table in _TRUER else ""
    came = connection.execute(f"INSERT OR IGNORE INTO {new} SELECT * {left}{order}").rowcount
    if came != meant:
        _set_aside(connection, table, f"FROM (SELECT * {left} EXCEPT SELECT * FROM {new})")
    connection.execute(f"DROP TABLE {table}")
    # Else SQLite minds that triggers of other tables write into one that is not there for this moment.
    connection.execute("PRAGMA legacy_alter_table = ON")
    connection.execute(f"ALTER TABLE {new} RENAME TO {table}")
    connection.execute("PRAGMA legacy_alter_table = OFF")
    for index in indexes:
        if index not in unique:
            connection.execute(index)
    for trigger in triggers:  # went with the table
        connection.execute(trigger)


def _set_aside(connection: sqlite3.Connection, table: str, which: str) -> int:
    cursor = connection.cursor()
    before, connection.text_factory = connection.text_factory, bytes
    try:
        rows = cursor.execute(f"SELECT * {which}")
        names = [str(column[0]) for column in rows.description]
        kept = [(table, _as_json(dict(zip(names, row, strict=True)))) for row in rows]
    finally:
        connection.text_factory = before
    connection.executemany(f"INSERT INTO {_ASIDE} (from_table, row) VALUES (?, ?)", kept)
    return len(kept)


def _as_json(row: Mapping[str, object]) -> str:
    return json.dumps({name: _shown(value) for name, value in row.items()}, ensure_ascii=False)


def _shown(value: object) -> object:
    if isinstance(value, bytes):
        try:
            return value.decode("utf-8")
        except UnicodeDecodeError:
            return {"hex": value.hex()}
    return repr(value) if isinstance(value, float) and not math.isfinite(value) else value


def _is_text(value: bytes | None) -> bool:
    try:
        return "\0" not in (value or b"").decode("utf-8")
    except UnicodeDecodeError:
        return False


def _words_about(connection: sqlite3.Connection, table: str, kind: str) -> list[str]:
    rows = connection.execute(
        "SELECT sql FROM sqlite_master WHERE type = ? AND tbl_name = ? AND sql IS NOT NULL", (kind, table)
    )
    return [str(sql) for (sql,) in rows]


def _sql_of(connection: sqlite3.Connection, table: str) -> str:
    (sql,) = connection.execute(
        "SELECT sql FROM sqlite_master WHERE type = 'table' AND name = ?", (table,)
    ).fetchone()
    return str(sql)
