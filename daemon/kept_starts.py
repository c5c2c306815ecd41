"""Planned starts that were kept, as reports are made from."""

import sqlite3
from collections.abc import Sequence

from daemon.hours import is_attended, local_day, local_time
from daemon.letters.conversions import setting
from daemon.planning.kept_start import KeptStart
from daemon.planning.visits import water_visit, with_hours
from daemon.station import Station
from daemon.store import batches as batch_store
from daemon.store.planned_starts import KeptEntry, standing
from reports.records import Span
from reports.starts.kept import KeptPlan, met


def kept_plans(station: Station, connection: sqlite3.Connection, at: int) -> Sequence[KeptPlan]:
    """Those that stand at `at` (Unix s), by their set time."""
    known = {vessel.id for vessel in station.vessels}
    entries = [one for one in standing(connection, at) if one.start.vessel in known]
    last = batch_store.last_of(connection, at) if entries else {}
    running = {vessel for vessel, batch in last.items() if batch.ended_at is None}
    return [_told(station, one, one.start.vessel in running) for one in entries]


def in_the_way(station: Station, connection: sqlite3.Connection, vessel: str, at: int) -> Sequence[str]:
    """What a new plan for a vessel meets there, before it is kept: a batch that runs, a plan that stands."""
    last = batch_store.last_of(connection, at).get(vessel)
    runs = last is not None and last.ended_at is None
    stands = next((one for one in kept_plans(station, connection, at) if one.vessel == vessel), None)
    return met(setting(station, connection, at), vessel, stands, runs=runs)


def _told(station: Station, entry: KeptEntry, runs: bool) -> KeptPlan:
    start: KeptStart = entry.start
    zone, peopled = station.timezone, with_hours(station)
    day = local_day(start.lesson[0], zone)
    good, lesson = (
        Span(local_time(began, zone), local_time(ended, zone)) for began, ended in (start.good, start.lesson)
    )
    stands = water_visit(peopled, entry.at, start.set_at)
    return KeptPlan(
        number=entry.id,
        vessel=start.vessel,
        tin=start.lot or "",
        set_at=local_time(start.set_at, zone),
        good=good,
        lesson=lesson,
        water_at=None if stands is None else local_time(stands[0], zone),
        nobody_there=not is_attended(peopled, start.set_at),
        lesson_away=any(one.first <= day <= one.last for one in station.away),
        runs=runs,
        swimming=start.swimming,
    )
