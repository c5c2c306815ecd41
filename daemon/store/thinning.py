"""What a long-lived store may let go: old readings and estimates are thinned, old letters lose their words.

Of readings one good one a probe and hour is left, of estimates one a quantity and six hours. Deeds, alarms,
outages and the rows of letters stay for good; the ledgers lose their old rows. The pages that become free are
used for what is written next: a file that has reached its size keeps it, so nothing is given back to the disk
and no VACUUM ever holds up a beat. All is done in stretches, each short enough for one transaction between
two beats.
"""

import sqlite3
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass

from daemon.seconds import HOUR_S
from daemon.store.estimates import quantities

_CELL_S = 6 * HOUR_S
# Cells of an hour reach from half an hour before it to half an hour after; cells of six hours begin where
# one of an hour does, so that a stretch of whole cells splits neither.
_HALF_HOUR_S = HOUR_S // 2
_CELL_BEGINS_S = _CELL_S - 5 * _HALF_HOUR_S
_DAY_CELLS = 4
# A day of six probes at 60 s is 8640 readings; a station that reads oftener is thinned in shorter stretches.
_READINGS_AT_ONCE = 10_000
_LETTERS_AT_ONCE = 20
_ROWS_AT_ONCE = 500
# Tables that lose their old rows: the columns that name a row, and the one that says how old it is.
_FORGETFUL = {
    "job_run": ("job, slot", "at"),
    "said_once": ("what, about", "at"),
    "card_failure": ("rowid", "ended"),
}


@dataclass(frozen=True, slots=True)
class Thinned:
    """What one stretch gave up: how many readings and estimates, and up to when all is thinned now."""

    readings: int
    estimates: int
    until: int


def thin_stretch(connection: sqlite3.Connection, before: int) -> Thinned | None:
    """Thin the oldest stretch, at most a day, that was not thinned yet and ends before `before`.

    None where there is none. The caller's transaction holds it; thinning what is thin changes nothing. A
    centre that is told of this store gets all of it first, and hears nothing of its thinning.
    """
    since = thinned_until(connection)
    owed_from, untold = _owed(connection)
    until = _stretch_ends(connection, since, before if owed_from is None else min(before, owed_from))
    if until is None:
        return None
    with untold:
        readings = _thin_readings(connection, since, until)
        estimates = _thin_estimates(connection, since, until)
    connection.execute("INSERT OR REPLACE INTO thinned (what, until) VALUES ('reading', ?)", (until,))
    return Thinned(readings, estimates, until)


def empty_letters(connection: sqlite3.Connection, before: int) -> int:
    """Let go the words of some letters written before `before`; how many those were, 0 when all is done.

    Only of letters that no carrier waits with: one that is parked may still be tried again.
    """
    cursor = connection.execute(
        "UPDATE letter SET message = NULL WHERE id IN ("
        "SELECT id FROM letter WHERE message IS NOT NULL AND written_at < ? AND state IN ('sent', 'merged') "
        "AND NOT EXISTS (SELECT 1 FROM delivery WHERE letter = letter.id AND state IN ('queued', 'parked')) "
        "ORDER BY id LIMIT ?)",
        (before, _LETTERS_AT_ONCE),
    )
    return cursor.rowcount


def forget_old(connection: sqlite3.Connection, before: int) -> int:
    """Let go some rows from before a moment of jobs done, of what was said once, of failures of the disk.

    How many, 0 when all is done.
    """
    return sum(
        connection.execute(
            f"DELETE FROM {table} WHERE ({key}) IN (SELECT {key} FROM {table} WHERE {aged} < ? LIMIT ?)",
            (before, _ROWS_AT_ONCE),
        ).rowcount
        for table, (key, aged) in _FORGETFUL.items()
    )


def thinned_until(connection: sqlite3.Connection) -> int:
    """Up to when of readings one an hour is left, Unix seconds; 0 where all are there."""
    row = connection.execute("SELECT until FROM thinned WHERE what = 'reading'").fetchone()
    return int(row[0]) if row else 0


def _owed(connection: sqlite3.Connection) -> tuple[int | None, AbstractContextManager[None]]:
    """From when on a centre is owed what is here, and within what it is told of nothing."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE type = 'trigger'").fetchone():
        return None, nullcontext()
    from daemon.store import outbox  # a station carries in memory only the ways out it has

    return outbox.oldest(connection), outbox.resting(connection)


def _stretch_ends(connection: sqlite3.Connection, since: int, before: int) -> int | None:
    first = connection.execute("SELECT min(at) FROM reading WHERE at >= ?", (since,)).fetchone()[0]
    if first is None:
        return None
    begins = _cell_of(first)
    ends = min(begins + _DAY_CELLS * _CELL_S, _cell_of(before))
    row = connection.execute(
        "SELECT at FROM reading WHERE at >= ? AND at < ? ORDER BY at LIMIT 1 OFFSET ?",
        (begins, ends, _READINGS_AT_ONCE),
    ).fetchone()
    if row is not None:
        ends = max(begins + _CELL_S, _cell_of(row[0]))
    return ends if ends > begins else None


def _cell_of(at: int) -> int:
    """Where the cell of six hours begins in which a moment lies."""
    return (at - _CELL_BEGINS_S) // _CELL_S * _CELL_S + _CELL_BEGINS_S


def _thin_readings(connection: sqlite3.Connection, since: int, until: int) -> int:
    kept = (
        "SELECT at, probe FROM (SELECT at, probe, row_number() OVER "
        "(PARTITION BY probe, (at + :half) / :hour "
        "ORDER BY abs(at - (at + :half) / :hour * :hour), at) AS place "
        "FROM reading WHERE at >= :since AND at < :until AND quality = 'good') WHERE place = 1"
    )
    cursor = connection.execute(
        f"DELETE FROM reading WHERE at >= :since AND at < :until AND (at, probe) NOT IN ({kept})",
        {"half": _HALF_HOUR_S, "hour": HOUR_S, "since": since, "until": until},
    )
    return cursor.rowcount


def _thin_estimates(connection: sqlite3.Connection, since: int, until: int) -> int:
    kept = (
        "SELECT at FROM (SELECT at, row_number() OVER "
        "(PARTITION BY (at + :ahead) / :cell ORDER BY abs(at - (at + :ahead) / :cell * :cell), at) AS place "
        "FROM estimate WHERE vessel = :vessel AND quantity = :quantity AND at >= :since AND at < :until) "
        "WHERE place = 1"
    )
    stretch = {"ahead": _CELL_S - _CELL_BEGINS_S, "cell": _CELL_S, "since": since, "until": until}
    return sum(
        connection.execute(
            "DELETE FROM estimate WHERE vessel = :vessel AND quantity = :quantity "
            f"AND at >= :since AND at < :until AND at NOT IN ({kept})",
            {**stretch, "vessel": vessel, "quantity": quantity},
        ).rowcount
        for vessel, quantity in quantities(connection)
    )
