"""What was strange about a probe without being enough to distrust it: one row for every change."""

import sqlite3


def add(connection: sqlite3.Connection, at: int, probe: str, words: str) -> None:
    """Keep a doubt; empty `words` say that there is none any more."""
    connection.execute("INSERT INTO doubt (at, probe, words) VALUES (?, ?, ?)", (at, probe, words))


def standing(connection: sqlite3.Connection, until: int) -> dict[str, tuple[int, str]]:
    """Each probe in doubt at a moment: since when, and why."""
    rows = connection.execute(
        "SELECT probe, at, words FROM doubt WHERE rowid IN "
        "(SELECT max(rowid) FROM doubt WHERE at <= ? GROUP BY probe) ORDER BY probe",
        (until,),
    )
    return {probe: (at, words) for probe, at, words in rows if words}
