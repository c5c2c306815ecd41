"""The week's planned letters: what went, what waits, what is sure to come, and whether one more has room."""

import sqlite3

from daemon.alarms.letter_timing import DatedLetter, coming_letters, planned_fits
from daemon.letter_kinds import ABSENCES, PLANNED
from daemon.seconds import WEEK_S
from daemon.station import Station
from daemon.store import letters as letter_store


def planned(station: Station, connection: sqlite3.Connection, at: int) -> list[DatedLetter]:
    """The planned letters of the last two weeks, those that wait, and those that are sure to come."""
    lately = [
        DatedLetter(row.due_at if row.sent_at is None else row.sent_at, row.kind)
        for row in letter_store.between(connection, at - 2 * WEEK_S, at)
        if row.kind in PLANNED and row.state != "merged"
    ]
    return [*lately, *coming_letters(station, at)]


def has_room(station: Station, connection: sqlite3.Connection, at: int) -> bool:
    """Whether one more planned letter may go now."""
    return planned_fits(planned(station, connection, at), at)


def finds_room(
    station: Station,
    connection: sqlite3.Connection,
    due_at: int,
    at: int,
    *,
    by: float | None = None,
    must: bool = False,
) -> int | None:
    """When a letter about a batch may go that is due at `due_at`, Unix seconds.

    Then, where the week has room; else in the next letter before or after an absence, unless that comes later
    than `by`. Where it finds none it goes all the same if it `must`, and otherwise waits: None.
    """
    week = planned(station, connection, at)
    if planned_fits(week, due_at):
        return due_at
    goes_with = min((one.at for one in week if one.kind in ABSENCES and one.at >= due_at), default=None)
    if goes_with is not None and (by is None or goes_with <= by):
        return goes_with
    return due_at if must else None
