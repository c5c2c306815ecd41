"""What is strange about a station's probes, as the reports want it."""

import sqlite3
from collections.abc import Mapping

from daemon.letters.conversions import local
from daemon.letters.short_words import doubt_in_words
from daemon.station import Station
from daemon.store import doubts as doubt_store
from reports.records import Event


def doubts(station: Station, connection: sqlite3.Connection, at: int) -> Mapping[str, Event]:
    """Each probe that is in doubt at a moment (Unix s): what is strange about it, and since when."""
    return {
        probe: Event(local(station, since), probe, doubt_in_words(doubt, station.language))
        for probe, (since, doubt) in doubt_store.standing(connection, at).items()
    }
