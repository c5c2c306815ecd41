"""What comes again and again: nights on which a vessel's water passed the limit and came back by itself."""

import sqlite3

from daemon.alarms.cold_nights import APART_S, ColdNight, in_a_row
from daemon.alarms.conditions import CONDITIONS
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import readings as reading_store
from sensors.reading import Measure

_LOOKS_BACK_S = 60 * DAY_S


def nights_before(
    station: Station, connection: sqlite3.Connection, vessel_id: str, at: int
) -> list[ColdNight]:
    """The cold nights of a vessel that follow each other up to a moment, of those that are over."""
    vessel = station.vessel(vessel_id)
    water = None if vessel is None else station.probe_of(vessel, Measure.WATER_C)
    if water is None:
        return []
    stretches = [
        ColdNight(began, ended, min(c for _, c in values))
        for began, ended in _cold_stretches(connection, vessel_id, at)
        if (values := reading_store.good_values(connection, water.id, began, ended))
    ]
    return in_a_row(station, stretches, at)


def _cold_stretches(connection: sqlite3.Connection, vessel_id: str, at: int) -> list[tuple[int, int]]:
    """When the cold alarm stood and cleared by itself."""
    stretches: list[tuple[int, int]] = []
    since: int | None = None
    for row in alarm_store.between(connection, at - _LOOKS_BACK_S, at):
        if (row.vessel, row.condition) != (vessel_id, "cold"):
            continue
        state = State(row.state)
        if state in ACTIVE:
            since = row.since if since is None else since
        elif since is not None:
            if state in (State.NORMAL, State.RETURNED):
                stretches.append((since, row.at))
            since = None
    return stretches


def coming_since(connection: sqlite3.Connection, kind: str, vessel_id: str, at: int) -> int:
    """Since when a vessel's trouble of a kind comes again and again; `at` itself where it is new."""
    came = at
    for row in reversed(alarm_store.between(connection, at - _LOOKS_BACK_S, at)):
        if row.vessel != vessel_id or row.since is None or CONDITIONS[row.condition].letter != kind:
            continue
        if came - row.at > APART_S:
            break
        came = min(came, row.since)
    return came
