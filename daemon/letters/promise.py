"""What a letter announces: the next planned one, by the very rule that the letters of the calendar keep."""

import sqlite3
from collections.abc import Iterable, Sequence

from daemon.alarms.letter_timing import DatedLetter, coming_letters
from daemon.care.deed import Deed
from daemon.hours import next_local_time
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import shelved_alarms as shelf_store


def goes(
    station: Station, connection: sqlite3.Connection | None, kind: str, at: int, about: Sequence[str]
) -> bool:
    """Whether a letter of the calendar goes at its moment: not in a quiet time, and where it has a subject.

    `about`: the vessels that a letter before or after an absence would tell of. Without a store nobody has
    asked for quiet.
    """
    if connection is not None and shelf_store.quiet_until(connection, at) is not None:
        return False
    return station.post.nightly if kind == "nightly" else bool(about)


def next_planned(station: Station, connection: sqlite3.Connection | None, at: int) -> DatedLetter | None:
    """The planned letter that goes next: the night's, or the one before an absence; where no letter goes by
    night also the one after it. None where none is to.

    Only the night's is sure to: the others go where a batch runs by then.
    """
    about = [] if connection is None else _running(station, deed_store.between(connection, 0, at))
    coming = [
        letter
        for letter in coming_letters(station, at)
        if (letter.kind == "leave" or not station.post.nightly)
        and goes(station, connection, letter.kind, letter.at, about)
    ]
    planned = [*_next_nightly(station, connection, at), *coming]  # of two at one moment the surer one
    return min(planned, key=lambda letter: letter.at, default=None)


def _next_nightly(station: Station, connection: sqlite3.Connection | None, at: int) -> list[DatedLetter]:
    """The next night's letter; after a quiet time, where one is asked for."""
    due_at = next_local_time(station.post.nightly_at, at + 1, station.timezone)
    quiet_until = None if connection is None else shelf_store.quiet_until(connection, due_at)
    if quiet_until is not None:
        due_at = next_local_time(station.post.nightly_at, quiet_until, station.timezone)
    return [DatedLetter(due_at, "nightly")] if goes(station, connection, "nightly", due_at, ()) else []


def _running(station: Station, deeds: Iterable[Deed]) -> list[str]:
    """The vessels in which a batch runs after these deeds."""
    running: dict[str, bool] = {}
    for deed in deeds:
        if deed.deed in ("set", "end"):
            running[deed.vessel] = deed.deed == "set"
    return [vessel.id for vessel in station.vessels if running.get(vessel.id)]
