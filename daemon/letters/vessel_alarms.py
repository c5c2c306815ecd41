"""A vessel's alarms as reports want them: that stand, are over, or were put aside; doubts about probes."""

import sqlite3
from collections.abc import Mapping

from daemon.alarms.lifecycle import ACTIVE, ASIDE, State
from daemon.letters.conversions import local
from daemon.letters.short_words import doubt_in_words, who_in_words
from daemon.station import ProbePlan, Station, Vessel
from daemon.store import alarms as alarm_store
from daemon.store import doubts as doubt_store
from daemon.store import estimates as estimate_store
from daemon.store import readings as reading_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.alarms import AlarmRow
from reports.conditions import alarm_in_words, alarm_name, past_alarm_in_words
from reports.language import spoken
from reports.records import Event, PastAlarm, SilencedAlarm, Span
from sensors.reading import Measure


def open_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, at: int
) -> tuple[Event, ...]:
    """A vessel's alarms that stand at a moment."""
    return tuple(
        Event(
            local(station, row.since or row.at),
            row.condition,
            _trouble(station, row, _salty(connection, vessel, row, at)),
        )
        for row in alarm_store.standing(connection, at)
        if row.vessel == vessel.id and State(row.state) in ACTIVE
    )


def is_probe_dead(connection: sqlite3.Connection, probe: ProbePlan, at: int) -> bool:
    """Whether a probe gives nothing to believe at a moment."""
    return any(
        row.condition == "probe" and row.probe == probe.id and State(row.state) in ACTIVE
        for row in alarm_store.standing(connection, at)
    )


def doubts(station: Station, connection: sqlite3.Connection, at: int) -> Mapping[str, Event]:
    """Each probe that is in doubt at a moment (Unix s): what is strange about it, and since when."""
    return {
        probe: Event(local(station, since), probe, doubt_in_words(doubt, station.language))
        for probe, (since, doubt) in doubt_store.standing(connection, at).items()
    }


def silenced_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, at: int
) -> tuple[SilencedAlarm, ...]:
    """What of a vessel somebody put aside, as it stands aside at a moment."""
    with spoken(station.language):
        return tuple(
            SilencedAlarm(
                kind=shelf.condition,
                text=alarm_name(shelf.condition),
                since=local(station, shelf.at),
                until=None if shelf.until is None else local(station, shelf.until),
                by=who_in_words(shelf.by, station.language),
            )
            for shelf in shelf_store.standing(connection, at)
            if shelf.vessel == vessel.id
        )


def past_alarms(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, span: tuple[int, int]
) -> tuple[PastAlarm, ...]:
    """Alarms that stood within the span and no longer do, the ones that the batch's end cut off too.

    What is put aside is not over: until it is taken back nobody can say.
    """
    began, ended = span
    standing: dict[tuple[str, str], AlarmRow] = {}
    past: list[tuple[AlarmRow, PastAlarm]] = []
    for row in alarm_store.between(connection, 0, ended):
        if row.vessel != vessel.id or row.condition.endswith("-ahead"):  # a forecast is no event
            continue
        key = (row.condition, row.probe)
        if State(row.state) in ACTIVE:
            # What was over by readings that trust took back was never over.
            past = [one for one in past if not _is_same(one[0], row)]
            standing.setdefault(key, row)
        elif State(row.state) in ASIDE:
            continue
        elif (raised := standing.pop(key, None)) is not None and row.at > began:
            stood = raised.since or raised.at
            left_at, since = _since(station, connection, vessel, row, (stood, ended))
            stretch = Span(local(station, stood), local(station, left_at))
            salty = _salty(connection, vessel, raised, raised.at)
            trouble = _trouble(station, raised, salty, over=True)
            past.append((raised, PastAlarm(row.condition, trouble, stretch, since)))
    return tuple(one for _, one in past)


def _is_same(one: AlarmRow, other: AlarmRow) -> bool:
    """Whether two rows are of one excursion."""
    alike = (one.condition, one.probe, one.since) == (other.condition, other.probe, other.since)
    return alike and one.since is not None


def _since(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, row: AlarmRow, span: tuple[int, int]
) -> tuple[int, str]:
    """When an alarm left that stood from the span's begin on, and how it stands since: "over", "again" past
    its limit, or "unjudged". What a probe read that is not believed any more did not end it.
    """
    if row.state == State.SUPPRESSED.value:
        return row.at, "unjudged"
    water = station.probe_of(vessel, Measure.WATER_C)
    if row.condition not in ("cold", "hot") or water is None:
        return row.at, "over"
    read = reading_store.good_values(connection, water.id, *span)
    if not read:  # all that spoke of it was taken back, and nothing else says that it is over
        return row.at, "unjudged"
    last_at, last_c = read[-1]
    cold = row.condition == "cold"
    if last_c is not None and (last_c < vessel.cold_c if cold else last_c > vessel.hot_c):
        return (last_at, "unjudged") if last_at < row.at else (row.at, "again")
    return row.at, "over"


def _salty(connection: sqlite3.Connection, vessel: Vessel, row: AlarmRow, at: int) -> bool | None:
    """Whether an alarm of the salt is of too much, as last believed by then; None where nobody can say."""
    if row.condition != "salinity":
        return None
    began = row.at if row.since is None else row.since
    believed = estimate_store.series(connection, vessel.id, "salinity_g_per_kg", began, at)
    salt = believed[-1][2] if believed else row.value  # a deed acknowledges it: that row has no value
    middle = (vessel.salinity_low_g_per_kg + vessel.salinity_high_g_per_kg) / 2
    return None if salt is None else salt > middle


def _trouble(station: Station, row: AlarmRow, salty: bool | None, *, over: bool = False) -> str:
    with spoken(station.language):
        if over:
            return past_alarm_in_words(row.condition, row.probe, salty=salty)
        acknowledged = row.state == State.ACKNOWLEDGED.value
        return alarm_in_words(row.condition, row.probe, acknowledged=acknowledged, salty=salty)
