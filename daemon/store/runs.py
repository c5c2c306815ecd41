"""What the station remembers of itself: outages, clock steps, jobs done, its own file."""

import json
import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime

from daemon.store.broken_file import SetAside

_SET_ASIDE = "store set aside"
_JOBS_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Outage:
    """A stretch without readings because the station was off."""

    began: int
    ended: int
    clock_trusted: bool


def add_outage(connection: sqlite3.Connection, outage: Outage) -> None:
    """Keep an outage."""
    connection.execute(
        "INSERT OR IGNORE INTO outage (began, ended, clock_trusted) VALUES (?, ?, ?)",
        (outage.began, outage.ended, int(outage.clock_trusted)),
    )


def outages(connection: sqlite3.Connection, after: int, until: int) -> list[Outage]:
    """Outages that touch the stretch, in time order."""
    rows = connection.execute(
        "SELECT began, ended, clock_trusted FROM outage WHERE ended > ? AND began <= ? ORDER BY began",
        (after, until),
    )
    return [Outage(began, ended, bool(trusted)) for began, ended, trusted in rows]


def add_clock_step(connection: sqlite3.Connection, at: int, step_s: int) -> None:
    """Keep that the wall clock was moved by `step_s`."""
    connection.execute("INSERT INTO clock_step (at, step_s) VALUES (?, ?)", (at, step_s))


def begin_job(connection: sqlite3.Connection, job: str, slot: str, at: int) -> bool:
    """Claim a job's slot in the ledger; False where it was done before."""
    cursor = connection.execute(
        "INSERT OR IGNORE INTO job_run (job, slot, at) VALUES (?, ?, ?)", (job, slot, at)
    )
    return cursor.rowcount == 1


def slot_of(due_at: int) -> str:
    """The ledger's name for the slot of a job that was due at a moment."""
    return datetime.fromtimestamp(due_at, UTC).isoformat()


def jobs_since(connection: sqlite3.Connection, at: int) -> list[tuple[str, str]]:
    """Jobs and slots that were claimed from a moment on."""
    return connection.execute("SELECT job, slot FROM job_run WHERE at >= ?", (at,)).fetchall()


def release_job(connection: sqlite3.Connection, job: str, slot: str) -> None:
    """Give a slot back: what was done for it was done for another moment."""
    connection.execute("DELETE FROM job_run WHERE job = ? AND slot = ?", (job, slot))


def rename_job(connection: sqlite3.Connection, job: str, slot: str, right: str) -> None:
    """Have what was done for one slot count for another; one that counts already stays."""
    if right != slot:
        connection.execute(
            "UPDATE OR REPLACE job_run SET slot = ? WHERE job = ? AND slot = ?", (right, job, slot)
        )


def forget_jobs(connection: sqlite3.Connection, before: int) -> int:
    """Let go some rows of the ledger from before a moment; how many, 0 when all is done.

    That a store was set aside stays known.
    """
    cursor = connection.execute(
        "DELETE FROM job_run WHERE (job, slot) IN "
        "(SELECT job, slot FROM job_run WHERE at < ? AND job <> ? LIMIT ?)",
        (before, _SET_ASIDE, _JOBS_AT_ONCE),
    )
    return cursor.rowcount


def keep_station_file(connection: sqlite3.Connection, at: int, text: str) -> None:
    """Keep the station file when it is not the one kept last."""
    if station_file(connection) != text:
        connection.execute("INSERT OR REPLACE INTO station_file (at, text) VALUES (?, ?)", (at, text))


def station_file(connection: sqlite3.Connection) -> str | None:
    """The station file kept last."""
    row = connection.execute("SELECT text FROM station_file ORDER BY at DESC LIMIT 1").fetchone()
    return str(row[0]) if row else None


def station_file_at(connection: sqlite3.Connection) -> int | None:
    """Since when the station file kept last is kept, Unix seconds."""
    row = connection.execute("SELECT max(at) FROM station_file").fetchone()
    return None if row[0] is None else int(row[0])


def keep_set_aside(connection: sqlite3.Connection, aside: SetAside, at: int) -> None:
    """Remember that this store is not the one that was there before."""
    begin_job(connection, _SET_ASIDE, json.dumps([aside.kept_as, aside.found, aside.backup]), at)


def last_set_aside(connection: sqlite3.Connection) -> tuple[int, SetAside] | None:
    """When a store was last set aside for this one, and how; None where none was."""
    row = connection.execute(
        "SELECT at, slot FROM job_run WHERE job = ? ORDER BY at DESC LIMIT 1", (_SET_ASIDE,)
    ).fetchone()
    return (int(row[0]), SetAside(*json.loads(row[1]))) if row else None


def set_aside_names(connection: sqlite3.Connection) -> set[str]:
    """The names under which broken stores are kept, as far as this store knows."""
    rows = connection.execute("SELECT slot FROM job_run WHERE job = ?", (_SET_ASIDE,))
    return {str(json.loads(slot)[0]) for (slot,) in rows}
