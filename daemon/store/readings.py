"""Readings in the store."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence

from sensors.reading import Quality, Reading


def add(connection: sqlite3.Connection, readings: Iterable[Reading]) -> None:
    """Keep readings. Where a probe has one of that second, from before a clock was put back, the new one is
    kept at the next second that is free: what was read is not lost, and what is stored stays as it is.
    """
    for reading in readings:
        at = reading.at
        while not _added(connection, at, reading):
            at += 1


def _added(connection: sqlite3.Connection, at: int, r: Reading) -> bool:
    cursor = connection.execute(
        "INSERT OR IGNORE INTO reading (at, probe, value, quality) VALUES (?, ?, ?, ?)",
        (at, r.probe, r.value, r.quality.value),
    )
    return cursor.rowcount == 1


def requalify(connection: sqlite3.Connection, probe: str, since: int, until: int, quality: Quality) -> None:
    """Give a probe's readings with since <= at <= until another quality; their values stay as they are.

    Only readings that were trusted, or distrusted for their behaviour: what a device got wrong stays so.
    """
    connection.execute(
        "UPDATE reading SET quality = ? WHERE at BETWEEN ? AND ? AND probe = ? "
        "AND quality IN ('good', 'jump', 'stuck', 'in-air')",
        (quality.value, since, until, probe),
    )


def between(connection: sqlite3.Connection, after: int, until: int) -> Iterator[Reading]:
    """Readings with after < at <= until, in time order."""
    rows = connection.execute(
        "SELECT at, probe, value, quality FROM reading WHERE at > ? AND at <= ? ORDER BY at, probe",
        (after, until),
    )
    return (Reading(at, probe, value, Quality(quality)) for at, probe, value, quality in rows)


def good_between(
    connection: sqlite3.Connection, probes: Sequence[str], after: int, until: int
) -> Iterator[tuple[int, str, float]]:
    """Good readings of some probes with after < at <= until, as (at, probe, value) in time order.

    Plain tuples: a start reads some hundred thousand.
    """
    marks = ", ".join("?" * len(probes))
    return connection.execute(
        "SELECT at, probe, value FROM reading WHERE at > ? AND at <= ? AND quality = 'good' "
        f"AND value IS NOT NULL AND probe IN ({marks}) ORDER BY at, probe",
        (after, until, *probes),
    )


def sums(
    connection: sqlite3.Connection, after: int, until: int
) -> dict[tuple[str, str], tuple[int, int, float]]:
    """Of readings with after < at <= until, by probe and quality: how many, and the sums of their times and
    values. What was changed among them shows in it.
    """
    rows = connection.execute(
        "SELECT probe, quality, count(*), sum(at), total(value) FROM reading WHERE at > ? AND at <= ? "
        "GROUP BY probe, quality",
        (after, until),
    )
    return {(probe, quality): (count, times, values) for probe, quality, count, times, values in rows}


def latest(connection: sqlite3.Connection, probe: str, *, good: bool = False) -> Reading | None:
    """The probe's newest reading, or its newest good one; None where there is none."""
    row = connection.execute(
        "SELECT at, probe, value, quality FROM reading WHERE probe = ?"
        + (" AND quality = 'good'" if good else "")
        + " ORDER BY at DESC LIMIT 1",
        (probe,),
    ).fetchone()
    return Reading(row[0], row[1], row[2], Quality(row[3])) if row else None


def extremes(connection: sqlite3.Connection, probe: str, since: int) -> tuple[float | None, float | None]:
    """The lowest and highest good value of a probe from `since` on."""
    row = connection.execute(
        "SELECT min(value), max(value) FROM reading WHERE at >= ? AND probe = ? AND quality = 'good'",
        (since, probe),
    ).fetchone()
    return row[0], row[1]


def good_values(
    connection: sqlite3.Connection, probe: str, since: int, until: int
) -> list[tuple[int, float]]:
    """A probe's good readings with since <= at <= until, as (at, value) in time order."""
    return list(each_good_value(connection, probe, since, until))


def each_good_value(
    connection: sqlite3.Connection, probe: str, since: int, until: int
) -> Iterator[tuple[int, float]]:
    """The same one by one, where there may be many."""
    return connection.execute(
        "SELECT at, value FROM reading "
        "WHERE at BETWEEN ? AND ? AND probe = ? AND quality = 'good' ORDER BY at",
        (since, until, probe),
    )


def times_in_air(connection: sqlite3.Connection, probe: str, since: int, until: int) -> list[int]:
    """When, with since <= at <= until, a probe was found to hang in the air, in time order."""
    rows = connection.execute(
        "SELECT at FROM reading WHERE at BETWEEN ? AND ? AND probe = ? AND quality = 'in-air' ORDER BY at",
        (since, until, probe),
    )
    return [int(row[0]) for row in rows]


def oldest_at(connection: sqlite3.Connection) -> int | None:
    """When the oldest reading was taken, or None in a store without readings."""
    row = connection.execute("SELECT min(at) FROM reading").fetchone()
    return int(row[0]) if row[0] is not None else None


def newest_at(connection: sqlite3.Connection) -> int | None:
    """When the newest reading was taken, or None in a store without readings."""
    row = connection.execute("SELECT max(at) FROM reading").fetchone()
    return int(row[0]) if row[0] is not None else None


def newest_before(connection: sqlite3.Connection, at: int) -> int | None:
    """When the newest reading before a moment was taken, or None."""
    row = connection.execute("SELECT max(at) FROM reading WHERE at < ?", (at,)).fetchone()
    return int(row[0]) if row[0] is not None else None


def oldest_since(connection: sqlite3.Connection, at: int) -> int | None:
    """When the first reading from a moment on was taken, or None."""
    row = connection.execute("SELECT min(at) FROM reading WHERE at >= ?", (at,)).fetchone()
    return int(row[0]) if row[0] is not None else None


def any_before(connection: sqlite3.Connection, at: int) -> bool:
    """Whether there is a reading before a moment."""
    return connection.execute("SELECT 1 FROM reading WHERE at < ? LIMIT 1", (at,)).fetchone() is not None


def count_came(connection: sqlite3.Connection, after: int, until: int) -> int:
    """How many readings with after < at <= until have a value, trusted or not."""
    row = connection.execute(
        "SELECT count(*) FROM reading WHERE at > ? AND at <= ? AND value IS NOT NULL AND quality != 'reset'",
        (after, until),
    ).fetchone()
    return int(row[0])


def count_good(connection: sqlite3.Connection, after: int, until: int) -> int:
    """How many readings with after < at <= until are good."""
    row = connection.execute(
        "SELECT count(*) FROM reading WHERE at > ? AND at <= ? AND quality = 'good'", (after, until)
    ).fetchone()
    return int(row[0])
