"""Turns Unix seconds and beliefs into the local, plain records that reports are made from."""

import sqlite3
from collections.abc import Mapping
from datetime import datetime, timedelta

from daemon.estimates.horizons import HATCH_HORIZON_S, WATER_HORIZON_S
from daemon.estimates.quantile import Estimate
from daemon.hours import attended_spans, is_attended, local_time, next_attended
from daemon.letters.promise import next_planned
from daemon.seconds import HOUR_S, WEEK_S
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from reports.records import LampHours, Measured, Range, Setting, TimeRange
from sensors.reading import Measure

LIGHT_UNITS = {Measure.LIGHT_LUX: "lux", Measure.LIGHT_FRACTION: "fraction"}

# A letter about card, store, station file or clock waits for somebody, for the holidays at the longest.
WAITS_MOST_S = WEEK_S

# A reading speaks of now for half an hour, or for three beats where those are longer [P].
_FRESH_LEAST_S, _FRESH_BEATS = 1800, 3

Estimates = Mapping[str, Estimate]


def local(station: Station, at: float) -> datetime:
    """A moment in the station's time zone."""
    return local_time(round(at), station.timezone)


def last_read(
    station: Station, connection: sqlite3.Connection, vessel: Vessel, measures: Measure
) -> Measured | None:
    """What a vessel's probe last read well, in the measure's unit; None where it has none."""
    plan = station.probe_of(vessel, measures)
    reading = None if plan is None else reading_store.latest(connection, plan.id, good=True)
    if reading is None or reading.value is None:
        return None
    return Measured(reading.value, local(station, reading.at))


def fresh_s(station: Station) -> int:
    """How old a reading may be to be called one of now, seconds."""
    return max(_FRESH_LEAST_S, _FRESH_BEATS * station.sample_every_s)


def is_fresh(station: Station, measured: Measured, at: int) -> bool:
    """Whether a reading speaks of the moment `at` (Unix s)."""
    return at - measured.at.timestamp() <= fresh_s(station)


def lamp_hours(vessel: Vessel) -> tuple[LampHours, ...]:
    """A vessel's lamp hours as the station file gives them."""
    return tuple(LampHours(hours.begins, hours.ends) for hours in vessel.lamp)


def as_range(estimate: Estimate) -> Range:
    """An estimate as a report's range."""
    return Range(estimate.p10, estimate.p50, estimate.p90)


def range_of(estimates: Estimates, quantity: str) -> Range | None:
    """A quantity's range, or None where it is not estimated."""
    return as_range(estimates[quantity]) if quantity in estimates else None


def hatch_time(station: Station, estimates: Estimates, quantity: str, at: int) -> TimeRange | None:
    """A believed moment of the hatch, or None where it is not estimated."""
    return _time_range(station, estimates.get(quantity), at + HATCH_HORIZON_S)


def time_range_of(station: Station, estimate: Estimate, at: int) -> TimeRange:
    """A believed moment of the hatch or after it."""
    moments = _time_range(station, estimate, at + HATCH_HORIZON_S)
    return TimeRange(None, None, None) if moments is None else moments


def low_mark_time(station: Station, estimates: Estimates, at: int) -> TimeRange | None:
    """When the water is believed to reach the low mark, or None where it is not estimated."""
    return _time_range(station, estimates.get("low_mark_at"), at + WATER_HORIZON_S)


def _time_range(station: Station, estimate: Estimate | None, horizon: int) -> TimeRange | None:
    """An end that lies at the forecast's horizon is later than can be known."""
    if estimate is None:
        return None
    early, likely, late = (
        local(station, end) if end < horizon - HOUR_S else None
        for end in (estimate.p10, estimate.p50, estimate.p90)
    )
    return TimeRange(early, likely, late)


def setting(
    station: Station, connection: sqlite3.Connection | None, at: int, *, clock_sure: bool = True
) -> Setting:
    """Where and when a letter is written, whether that is sure, and who comes next.

    `connection`: of the store that says which letters are to come; None where there is none.
    """
    back, planned = next_attended(station, at), next_planned(station, connection, at)
    return Setting(
        station=station.name,
        unit=station.temperature_unit,
        written_at=local(station, at),
        attended_now=is_attended(station, at),
        returns_at=None if back is None else local(station, back),
        next_letter_at=None if planned is None else local(station, planned.at),
        next_letter_if_batch=planned is not None and planned.kind != "nightly",
        language=station.language,
        clock_sure=clock_sure,
        leaves_at=_leaves_at(station, at),
        fresh_for=timedelta(seconds=fresh_s(station)),
    )


def _leaves_at(station: Station, at: int) -> datetime | None:
    """When who is in the room leaves it; None where nobody is, or somebody always is."""
    under_way = attended_spans(station, at, at + WEEK_S)
    if not under_way or under_way[0][0] > at or under_way[0][1] >= at + WEEK_S:
        return None
    return local(station, under_way[0][1])


def next_letter_at(station: Station, connection: sqlite3.Connection | None, at: int) -> datetime | None:
    """When the next planned letter goes; None where none is to."""
    planned = next_planned(station, connection, at)
    return None if planned is None else local(station, planned.at)
