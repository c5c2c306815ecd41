"""What befell the station's own files, in the ledger of jobs, so that each is told of once."""

import json
import sqlite3
from dataclasses import dataclass

from daemon.store.runs import begin_job

_OVERLOOKED = "station file overlooked"
_CARD = "card failed"


@dataclass(frozen=True, slots=True)
class Overlooked:
    """A station file that is not taken: its path, and a line for each fault in it."""

    path: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardFailure:
    """A disk that took no writes from `began` on, Unix seconds: "full", "read-only" or "failing"."""

    found: str
    began: int


def keep_overlooked(connection: sqlite3.Connection, overlooked: Overlooked, at: int) -> bool:
    """Remember that a station file is not taken; whether these faults are news."""
    slot = json.dumps([overlooked.path, list(overlooked.faults)], ensure_ascii=False)
    connection.execute("DELETE FROM job_run WHERE job = ? AND slot <> ?", (_OVERLOOKED, slot))
    return begin_job(connection, _OVERLOOKED, slot, at)


def forget_overlooked(connection: sqlite3.Connection) -> None:
    """The station file is taken again."""
    connection.execute("DELETE FROM job_run WHERE job = ?", (_OVERLOOKED,))


def overlooked(connection: sqlite3.Connection) -> tuple[int, Overlooked] | None:
    """Since when the station file is not taken, and why; None where it is."""
    found = _last(connection, _OVERLOOKED)
    if found is None:
        return None
    path, faults = json.loads(found[1])
    return found[0], Overlooked(path, tuple(faults))


def keep_card_failure(connection: sqlite3.Connection, failure: CardFailure, at: int) -> bool:
    """Remember that the disk is well again at `at`; whether that is news."""
    return begin_job(connection, _CARD, json.dumps([failure.found, failure.began]), at)


def last_card_failure(connection: sqlite3.Connection) -> tuple[int, CardFailure] | None:
    """When the disk was last well again, and what had been; None where it never failed."""
    found = _last(connection, _CARD)
    return (found[0], CardFailure(*json.loads(found[1]))) if found else None


def _last(connection: sqlite3.Connection, job: str) -> tuple[int, str] | None:
    row = connection.execute(
        "SELECT at, slot FROM job_run WHERE job = ? ORDER BY at DESC LIMIT 1", (job,)
    ).fetchone()
    return (int(row[0]), str(row[1])) if row else None
