"""What befell the station's card, store and station file, for letters and for `naupliad now`."""

import sqlite3
from collections.abc import Callable
from datetime import datetime

from daemon.duties.setting import local
from daemon.station import Station
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from reports.letters import kinds as words
from reports.records import LetterText, Setting
from reports.troubles import CardBack, FileOverlooked, StoreLost

_TOLD_S = 7 * 86_400  # such a letter waits for somebody, for the holidays at the longest

# When it was, and the letter that tells of it.
Mishap = tuple[datetime, Callable[[Setting], LetterText]]


def mishaps(station: Station, connection: sqlite3.Connection, at: int) -> list[Mishap]:
    """What befell card, store and station file, as far as it stands or is of late."""
    found: list[Mishap] = []
    if lost := store_lost(station, connection, at):
        found.append((lost.at, lambda place: words.store_lost_letter(place, lost)))
    if back := card_back(station, connection, at):
        found.append((back.back_at, lambda place: words.card_back_letter(place, back)))
    if overlooked := file_overlooked(station, connection):
        found.append((overlooked.at, lambda place: words.file_overlooked_letter(place, overlooked)))
    return found


def store_lost(station: Station, connection: sqlite3.Connection, at: int) -> StoreLost | None:
    """A store that was found damaged lately."""
    told = mishap_store.last_set_aside(connection)
    if told is None or at - told[0] >= _TOLD_S:
        return None
    found_at, aside = told
    until = reading_store.newest_before(connection, found_at) if aside.backup else None
    return StoreLost(
        local(station, found_at), aside.kept_as, None if until is None else local(station, until)
    )


def card_back(station: Station, connection: sqlite3.Connection, at: int) -> CardBack | None:
    """A disk that took no writes and lately does again."""
    told = mishap_store.last_card_failure(connection)
    if told is None or at - told[0] >= _TOLD_S:
        return None
    back_at, failure = told
    return CardBack(local(station, failure.began), local(station, back_at), failure.found)


def file_overlooked(station: Station, connection: sqlite3.Connection) -> FileOverlooked | None:
    """A station file that is not taken."""
    told = mishap_store.overlooked(connection)
    if told is None:
        return None
    since, overlooked = told
    by = run_store.station_file_at(connection)
    return FileOverlooked(
        local(station, since), overlooked.path, overlooked.faults, None if by is None else local(station, by)
    )
