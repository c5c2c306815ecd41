"""Giving all that was written in a stretch other times: what a wrong clock had stamped, once it is right."""

import sqlite3

# A deed whose time lies within this of when it was recorded was recorded as done "now".
_NOW_S = 60
# Columns that hold when something was written or happened, by the station's clock.
MOMENTS = (
    ("alarm", "at"),
    ("alarm", "since"),
    ("letter", "at"),
    ("letter", "sent_at"),
    ("letter", "written_at"),
    ("delivery", "sent_at"),
    ("clock_step", "at"),
    ("doubt", "at"),
    ("job_run", "at"),
    ("said_once", "at"),
    ("store_set_aside", "at"),
    ("store_gone", "at"),
    ("row_set_aside", "at"),
    ("station_file_fault", "at"),
    ("card_failure", "began"),
    ("card_failure", "ended"),
    ("shelf", "at"),
    ("shelf", "lifted_at"),
    ("deed", "withdrawn_at"),
    ("station_file", "at"),
    ("planned_start", "at"),
    ("planned_start", "withdrawn_at"),
    ("tin_test", "at"),
    ("tin_test", "withdrawn_at"),
    ("experiment", "at"),
    ("experiment_count", "at"),
    ("experiment_count", "withdrawn_at"),
    ("experiment_lost", "at"),
    ("experiment_lost", "withdrawn_at"),
    ("outbox_to", "answered_at"),
)


def is_done_now(at: int, recorded_at: int, began: int) -> bool:
    """Whether a deed of a stretch that began at `began` was recorded as done at that very moment."""
    return at >= began and recorded_at - at <= _NOW_S


def correct_times(connection: sqlite3.Connection, began: int, ended: int, step_s: int) -> int:
    """Move all moments with began <= moment < ended by `step_s`; how many readings that were.

    Estimates of the stretch are forgotten: they say what was believed of wrong moments. A deed moves where
    it was recorded as done now; a time that a person gave stays as it was given.
    """
    span = (began, ended)
    connection.execute("DELETE FROM estimate WHERE at >= ? AND at < ?", span)
    connection.execute(
        "UPDATE deed SET at = at + ? WHERE recorded_at >= ? AND recorded_at < ? AND at >= ? "
        "AND recorded_at - at <= ?",
        (step_s, *span, began, _NOW_S),
    )
    connection.execute(
        "UPDATE deed SET recorded_at = recorded_at + ? WHERE recorded_at >= ? AND recorded_at < ?",
        (step_s, *span),
    )
    connection.execute(
        "UPDATE letter SET due_at = due_at + ? WHERE state = 'queued' AND due_at >= ? AND due_at < ?",
        (step_s, *span),
    )
    connection.execute(
        "UPDATE delivery SET due_at = due_at + ? WHERE due_at >= ? AND due_at < ?", (step_s, *span)
    )
    for table, column in MOMENTS:
        connection.execute(
            f"UPDATE {table} SET {column} = {column} + ? WHERE {column} >= ? AND {column} < ?",
            (step_s, *span),
        )
    _move_keys(connection, "station_file", span, step_s)
    _move_outages(connection, span, step_s)
    return _move_keys(connection, "reading", span, step_s)


def _move_keys(connection: sqlite3.Connection, table: str, span: tuple[int, int], step_s: int) -> int:
    """Where the moment is part of the key: by way of times before 1970, so that no row meets another.

    A row whose new place is taken goes to the next second that is free: nothing that was read is lost.
    """
    moved = connection.execute(f"UPDATE {table} SET at = -at WHERE at >= ? AND at < ?", span).rowcount
    connection.execute(f"UPDATE OR IGNORE {table} SET at = ? - at WHERE at < 0", (step_s,))
    while connection.execute(f"SELECT 1 FROM {table} WHERE at < 0 LIMIT 1").fetchone():
        step_s += 1
        connection.execute(f"UPDATE OR IGNORE {table} SET at = ? - at WHERE at < 0", (step_s,))
    return moved


def _move_outages(connection: sqlite3.Connection, span: tuple[int, int], step_s: int) -> None:
    """Outages within the stretch; one that the stretch ends is found anew from the readings."""
    inside = connection.execute(
        "SELECT began, ended, clock_trusted FROM outage WHERE began >= ? AND ended < ?", span
    ).fetchall()
    connection.execute("DELETE FROM outage WHERE ended >= ? AND ended < ?", span)
    connection.executemany(
        "INSERT OR IGNORE INTO outage (began, ended, clock_trusted) VALUES (?, ?, ?)",
        [(began + step_s, ended + step_s, trusted) for began, ended, trusted in inside],
    )
