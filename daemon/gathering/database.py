"""The line to PostgreSQL, and how its tables come to be there: migrations, each whole or not at all."""

from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import LiteralString, cast

import psycopg
from psycopg import Connection, errors
from psycopg.conninfo import conninfo_to_dict

from daemon.errors import InputError, NaupliadError
from daemon.gathering.plan import DATABASE_PASSWORD, GatherPlan
from daemon.post.secrets import read_secret
from daemon.record.box import as_json, unpacked

MONTHS_AHEAD = 3
READER, GATHERER = "naupliad_reader", "naupliad_gatherer"

_MIGRATIONS = Path(__file__).with_name("migrations")
# A line that is dead is known to be after a minute, a statement that hangs likewise.
_LINE = {
    "connect_timeout": "10",
    "keepalives_idle": "30",
    "keepalives_interval": "10",
    "keepalives_count": "3",
    "tcp_user_timeout": "60000",
    "client_encoding": "utf8",
}
_SESSION: LiteralString = (
    "SET search_path = naupliad, pg_temp; SET synchronous_commit = on; SET statement_timeout = '60s'"
)
_GRANTS: LiteralString = """
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA naupliad FROM PUBLIC;
"""
_ROLES: Mapping[str, LiteralString] = {
    READER: """
        GRANT USAGE ON SCHEMA naupliad TO naupliad_reader;
        GRANT SELECT ON migration, station, hour_box, hour, estimate, deed, alarm, state, letter,
            reading, belief, needs_help, silent, refusal TO naupliad_reader;
        GRANT EXECUTE ON FUNCTION quality_words, urgency TO naupliad_reader;
    """,
    GATHERER: """
        GRANT USAGE ON SCHEMA naupliad TO naupliad_gatherer;
        GRANT SELECT ON migration, station, needs_help, refusal TO naupliad_gatherer;
        GRANT EXECUTE ON FUNCTION urgency TO naupliad_gatherer;
        GRANT EXECUTE ON FUNCTION take, refuse, make_months TO naupliad_gatherer;
    """,
}


def connect(plan: GatherPlan, environ: Mapping[str, str]) -> "Connection[tuple[object, ...]]":
    """A line to the database, each statement a transaction unless one is begun. Raises psycopg.Error."""
    words = {**_LINE, "application_name": f"naupliad-gather-{plan.id}", **conninfo_to_dict(plan.dsn)}
    password = read_secret(DATABASE_PASSWORD, environ)
    if password is not None:
        words["password"] = password
    # A pooler between would hand a prepared statement to another session.
    connection = psycopg.connect(**words, autocommit=True, prepare_threshold=None)  # type: ignore[arg-type]
    connection.execute(_SESSION)
    return connection


@contextmanager
def reached(plan: GatherPlan, environ: Mapping[str, str]) -> "Iterator[Connection[tuple[object, ...]]]":
    """The same for a command: it ends with the block. Raises NaupliadError where there is none."""
    try:
        connection = connect(plan, environ)
    except psycopg.Error as error:
        raise NaupliadError(f"the database: cannot be reached: {in_a_line(error)}") from error
    with closing(connection):
        yield connection


def in_a_line(error: psycopg.Error) -> str:
    """What went wrong with the database, in one line and in its own words."""
    said = error.diag.message_primary or str(error) or type(error).__name__
    return " ".join(said.split())[:300]


def prepare(connection: "Connection[tuple[object, ...]]") -> list[str]:
    """Bring the database up to this program; returns what was done, and what somebody else has to do.

    The role that calls it will own all. Raises NaupliadError where it may not.
    """
    try:
        connection.execute("SET statement_timeout = 0")
        done = [f"applied {name}" for name in _migrations() if _applied_now(connection, name)]
        row = connection.execute("SELECT make_months(%s)", (MONTHS_AHEAD,)).fetchone()
        if row and row[0]:
            done.append(f"made {row[0]} partitions")
        return done + _granted(connection) + _tried_again(connection)
    except psycopg.Error as error:
        raise NaupliadError(f"the database: cannot be prepared: {in_a_line(error)}") from error


def check_prepared(connection: "Connection[tuple[object, ...]]") -> None:
    """Raise InputError unless the database has just the migrations that this program knows."""
    found = _applied(connection)
    missing = [name for name in _migrations() if name not in found]
    if missing:
        raise InputError(
            f"the database: found it without {missing[0]}; allowed: prepared by its owner "
            "(naupliad gather --prepare)"
        )
    newer = sorted(found - set(_migrations()))
    if newer:
        raise InputError(f"the database: found {newer[-1]}; allowed: a program as new as the database")


def _migrations() -> list[str]:
    return sorted(path.stem for path in _MIGRATIONS.glob("*.sql"))


def _applied(connection: "Connection[tuple[object, ...]]") -> set[str]:
    try:
        return {str(name) for (name,) in connection.execute("SELECT name FROM naupliad.migration")}
    except (errors.UndefinedTable, errors.InvalidSchemaName):
        return set()
    except errors.InsufficientPrivilege:
        raise InputError(
            f"the database: found it closed to this user; allowed: a member of {GATHERER} or {READER}"
        ) from None


def _applied_now(connection: "Connection[tuple[object, ...]]", name: str) -> bool:
    """Apply a migration, whole or not at all, unless it is there."""
    with connection.transaction():
        connection.execute("SELECT pg_advisory_xact_lock(7239)")
        connection.execute("CREATE SCHEMA IF NOT EXISTS naupliad")
        connection.execute(
            "CREATE TABLE IF NOT EXISTS migration "
            "(name text PRIMARY KEY, at timestamptz NOT NULL DEFAULT now())"
        )
        if connection.execute("SELECT 1 FROM migration WHERE name = %s", (name,)).fetchone():
            return False
        script = (_MIGRATIONS / f"{name}.sql").read_text("utf-8")
        connection.execute(script)  # our own words
        connection.execute("INSERT INTO migration (name) VALUES (%s)", (name,))
        return True


def _granted(connection: "Connection[tuple[object, ...]]") -> list[str]:
    """Let the two roles in; a line for each that is not there and may not be made by this one."""
    connection.execute(_GRANTS)
    missing = []
    for role, grants in _ROLES.items():
        if _is_there(connection, role):
            connection.execute(grants)
        else:
            missing.append(
                f"{role} is not there, and this role may not make it: let a superuser say "
                f"CREATE ROLE {role} NOLOGIN, and prepare again"
            )
    return missing


def _tried_again(connection: "Connection[tuple[object, ...]]") -> list[str]:
    """Try what was refused once more: what is known now may not have been then."""
    with connection.transaction():
        rows = connection.execute("SELECT id FROM refused WHERE payload IS NOT NULL").fetchall()
        for (number,) in rows:
            _read_again(connection, number)
        before = _count(connection, "SELECT count(*) FROM refused WHERE box IS NOT NULL")
        kept = before - _count(connection, "SELECT take_again()") if before else 0
    return [f"kept {kept} boxes that had been refused"] if kept else []


def _read_again(connection: "Connection[tuple[object, ...]]", number: object) -> None:
    row = connection.execute("SELECT payload FROM refused WHERE id = %s", (number,)).fetchone()
    try:
        box = unpacked(cast("bytes", row[0])) if row else None
    except InputError:
        return
    if box is not None:
        said = (as_json(box), number)
        connection.execute("UPDATE refused SET box = %s::jsonb, payload = NULL WHERE id = %s", said)


def _count(connection: "Connection[tuple[object, ...]]", words: LiteralString) -> int:
    row = connection.execute(words).fetchone()
    return int(str(row[0])) if row else 0


def _is_there(connection: "Connection[tuple[object, ...]]", role: str) -> bool:
    if connection.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (role,)).fetchone():
        return True
    try:
        with connection.transaction():
            connection.execute(f"CREATE ROLE {role} NOLOGIN")
    except errors.InsufficientPrivilege:
        return False
    except (errors.DuplicateObject, errors.UniqueViolation):  # somebody made it meanwhile
        return True
    return True
