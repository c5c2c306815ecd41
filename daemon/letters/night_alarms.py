"""A vessel's alarms as a night's record and the letter of a return want them."""

import sqlite3

from daemon.alarms.conditions import CONDITIONS
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.letters.conversions import local
from daemon.station import Station, Vessel
from daemon.store import alarms as alarm_store
from daemon.store import letters as letter_store
from daemon.store.alarms import AlarmRow
from reports.conditions import alarm_in_words, past_alarm_in_words
from reports.language import spoken
from reports.records import Event, PastAlarm, Span


def past_and_open_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, span: tuple[int, int]
) -> tuple[tuple[PastAlarm, ...], tuple[Event, ...]]:
    """A vessel's alarms that came and went within a stretch, and those that stand at its end."""
    return _past_alarms(station, connection, vessel, span), _open_alarms(station, connection, vessel, span[1])


def _open_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, at: int
) -> tuple[Event, ...]:
    return tuple(
        Event(local(station, row.since or row.at), row.condition, _trouble(station, row))
        for row in alarm_store.standing(connection, at)
        if row.vessel == vessel.id and State(row.state) in ACTIVE
    )


def written_about(connection: sqlite3.Connection, vessel: Vessel, at: int) -> tuple[str, ...]:
    """Conditions of the vessel's standing alarms of which a letter went out since they began, all of them."""
    rows = [row for row in alarm_store.standing(connection, at) if row.vessel == vessel.id]
    unsaid = {
        row.condition
        for row in rows
        if not letter_store.any_sent_about(
            connection, CONDITIONS[row.condition].letter, vessel.id, row.since or row.at, at
        )
    }
    return tuple(sorted({row.condition for row in rows} - unsaid))


def _past_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, span: tuple[int, int]
) -> tuple[PastAlarm, ...]:
    """Alarms that stood within the span and no longer do, the ones that the batch's end cut off too."""
    began, ended = span
    standing: dict[tuple[str, str], AlarmRow] = {}
    past = []
    for row in alarm_store.between(connection, 0, ended):
        if row.vessel != vessel.id or row.condition.endswith("-ahead"):  # a forecast is no event
            continue
        key = (row.condition, row.probe)
        if State(row.state) in ACTIVE:
            standing.setdefault(key, row)
        elif (raised := standing.pop(key, None)) is not None and row.at > began:
            stretch = Span(local(station, raised.since or raised.at), local(station, row.at))
            past.append(PastAlarm(row.condition, _trouble(station, raised, over=True), stretch))
    return tuple(past)


def _trouble(station: Station, row: AlarmRow, *, over: bool = False) -> str:
    with spoken(station.language):
        if over:
            return past_alarm_in_words(row.condition, row.probe)
        acknowledged = row.state == State.ACKNOWLEDGED.value
        return alarm_in_words(row.condition, row.probe, acknowledged=acknowledged)
