"""Two ledgers: which jobs were done for which slot, and what was said once, so that neither comes twice."""

import sqlite3
from datetime import UTC, datetime


def begin_job(connection: sqlite3.Connection, job: str, slot: str, at: int) -> bool:
    """Claim a job's slot; False where it was done before."""
    cursor = connection.execute(
        "INSERT OR IGNORE INTO job_run (job, slot, at) VALUES (?, ?, ?)", (job, slot, at)
    )
    return cursor.rowcount == 1


def slot_of(due_at: int) -> str:
    """The name for the slot of a job that was due at a moment."""
    return datetime.fromtimestamp(due_at, UTC).isoformat()


def jobs_since(connection: sqlite3.Connection, at: int) -> list[tuple[str, str]]:
    """Jobs and slots that were claimed from a moment on."""
    return connection.execute("SELECT job, slot FROM job_run WHERE at >= ?", (at,)).fetchall()


def release_job(connection: sqlite3.Connection, job: str, slot: str) -> None:
    """Give a slot back: what was done for it was done for another moment."""
    connection.execute("DELETE FROM job_run WHERE job = ? AND slot = ?", (job, slot))


def say_once(connection: sqlite3.Connection, what: str, about: str, at: int) -> bool:
    """Note that something is said now; False where it was said of the same before."""
    cursor = connection.execute(
        "INSERT OR IGNORE INTO said_once (what, about, at) VALUES (?, ?, ?)", (what, about, at)
    )
    return cursor.rowcount == 1


def was_said(connection: sqlite3.Connection, what: str, about: str) -> bool:
    """Whether something was said of this before."""
    row = connection.execute("SELECT 1 FROM said_once WHERE what = ? AND about = ?", (what, about)).fetchone()
    return row is not None


def said_since(connection: sqlite3.Connection, at: int) -> list[tuple[str, str]]:
    """What was said from a moment on, and about what."""
    return connection.execute("SELECT what, about FROM said_once WHERE at >= ?", (at,)).fetchall()


def unsay(connection: sqlite3.Connection, what: str, about: str) -> None:
    """Have it be said again: it was said of another moment."""
    connection.execute("DELETE FROM said_once WHERE what = ? AND about = ?", (what, about))


def rename_said(connection: sqlite3.Connection, what: str, about: str, right: str) -> None:
    """Have what was said about one thing count for another; what counts for that already gives way."""
    if right != about:
        connection.execute(
            "UPDATE OR REPLACE said_once SET about = ? WHERE what = ? AND about = ?", (right, what, about)
        )
