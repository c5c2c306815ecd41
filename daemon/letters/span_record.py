"""The record of any span, for its chart and letter: made from the store alone, so for any past one too."""

import sqlite3
from collections.abc import Sequence
from datetime import date
from operator import attrgetter

from daemon.alarms import conditions
from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.hours import daily_spans
from daemon.letters.conversions import LIGHT_UNITS, hatch_time, local, low_mark_time, next_letter_at, range_of
from daemon.letters.hung_dry import hung_dry
from daemon.letters.points import Clock, clock_of, points
from daemon.letters.pours import due
from daemon.letters.short_words import deed_in_words
from daemon.letters.vessel_alarms import doubts, open_alarms, past_alarms, silenced_alarms
from daemon.letters.written_about import written_about
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from daemon.store import boots as boot_store
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.thinning import thinned_until
from daemon.vessel_state import course_of, when_held
from reports.records import (
    ClockTrouble,
    Event,
    NightRecord,
    Range,
    RangePoint,
    RoomAir,
    Span,
    VesselNight,
)
from sensors.reading import Measure

_WORTH_A_WORD_S = 60
# Between batches too, hourly, where a vessel is watched.
_ALWAYS_BELIEVED = ("water_c_min_next_16h", "water_c_max_next_16h")


def span_record(
    station: Station,
    connection: sqlite3.Connection,
    began: int,
    ended: int,
    night: date,
    vessels: Sequence[Vessel],
) -> NightRecord:
    """What was read, believed, done and said of some vessels from one moment to another, Unix seconds.

    What is believed, and what stands, is of the end; it is called by the date of `night`.
    """
    deeds, clock = deed_store.between(connection, 0, ended), clock_of(station)
    return NightRecord(
        station=station.name,
        night=night,
        span=_span(station, began, ended),
        unit=station.temperature_unit,
        vessels=tuple(
            _vessel_night(station, connection, vessel, deeds, (began, ended), clock) for vessel in vessels
        ),
        letters=_letters(station, connection, began, ended),
        doubts=tuple(doubts(station, connection, ended).values()),
        outages=tuple(
            _span(station, off.began, off.ended) for off in run_store.outages(connection, began, ended)
        ),
        readings_expected=_expected_of(station, connection, began, ended),
        readings_came=reading_store.count_came(connection, began - 1, ended),
        readings_good=reading_store.count_good(connection, began - 1, ended),
        next_letter_at=next_letter_at(station, connection, ended),
        language=station.language,
        clock_sure=boot_store.sure_between(connection, began, ended),
        clock_put_right=_put_right(station, connection, began, ended),
        room_air=_room_air(station, connection, vessels, (began, ended), clock),
    )


def _room_air(
    station: Station,
    connection: sqlite3.Connection,
    vessels: Sequence[Vessel],
    span: tuple[int, int],
    clock: Clock,
) -> tuple[RoomAir, ...]:
    """Each probe of the room's air that stands by some of the vessels."""
    beside = [
        (probe, tuple(vessel.id for vessel in vessels if probe.id in vessel.probes))
        for probe in station.probes
        if probe.measures is Measure.ROOM_C
    ]
    return tuple(
        RoomAir(names, points(station, connection, probe, span, clock)) for probe, names in beside if names
    )


def _put_right(
    station: Station, connection: sqlite3.Connection, began: int, ended: int
) -> ClockTrouble | None:
    """The largest of the errors that were put right in the span, where one was worth a word."""
    found = boot_store.put_right_between(connection, began, ended)
    worst = max(found, key=lambda boot: abs(boot.moved_s), default=None)
    if worst is None or abs(worst.moved_s) < _WORTH_A_WORD_S:
        return None
    return ClockTrouble(local(station, worst.began), worst.moved_s, worst.restamped)


def expected_readings(station: Station, began: int, ended: int) -> int:
    """How many readings a station takes from one beat to another, both included."""
    return ((ended - began) // station.sample_every_s + 1) * len(station.probes)


def _expected_of(station: Station, connection: sqlite3.Connection, began: int, ended: int) -> int:
    """The same of a store that may have thinned its old readings: of those one an hour is all."""
    thinned = min(max(thinned_until(connection), began), ended)
    hours = (thinned - began) // HOUR_S * len(station.probes)
    return hours + (expected_readings(station, thinned, ended) if thinned < ended else 0)


def _letters(station: Station, connection: sqlite3.Connection, began: int, ended: int) -> tuple[Event, ...]:
    return tuple(
        Event(local(station, row.sent_at or row.at), row.kind, row.subject)
        for row in letter_store.sent_between(connection, began - 1, ended - 1)
    )


def _vessel_night(
    station: Station,
    connection: sqlite3.Connection,
    vessel: Vessel,
    deeds: Sequence[Deed],
    span: tuple[int, int],
    clock: Clock,
) -> VesselNight:
    began, ended = span
    mine = [deed for deed in deeds if deed.vessel == vessel.id]
    course = course_of(mine)
    set_at = course.set_at
    light = station.light_probe_of(vessel)
    water = station.probe_of(vessel, Measure.WATER_C)
    latest = latest_of(connection, vessel, ended, set_at)
    state = course.state(vessel, latest, ended)
    fill_ml, brine = due(vessel, state, latest)
    dry = hung_dry(connection, water, mine, span)
    runs, keeps_water = (
        when_held(vessel, mine, holds, ended) for holds in (attrgetter("runs"), attrgetter("keeps_water"))
    )
    return VesselNight(
        vessel=vessel.id,
        count=vessel.count,
        stage=state.stage.value,
        watched=state.watched and not dry.still,
        dry=state.watched and dry.still,
        dry_s=dry.readings * station.sample_every_s,
        watched_from=local(station, began if vessel.watch == "always" else max(began, set_at or began)),
        batch_set_at=None if set_at is None else local(station, set_at),
        cold_c=vessel.cold_c,
        hot_c=vessel.hot_c,
        low_ml=vessel.low_ml,
        brim_ml=vessel.brim_ml,
        salinity_low_g_per_kg=vessel.salinity_low_g_per_kg,
        salinity_high_g_per_kg=vessel.salinity_high_g_per_kg,
        low_light=vessel.low_light_lux if light is None else conditions.low_light(vessel, light.measures),
        light_unit=None if light is None else LIGHT_UNITS[light.measures],
        lamp_hours=tuple(
            _span(station, a, b)
            for hours in vessel.lamp
            for a, b in daily_spans(hours, station.timezone, began, ended)
        ),
        water_c=points(station, connection, water, span, clock),
        light=points(station, connection, light, span, clock),
        loss_ml=_series(station, connection, vessel, "loss_ml", span, runs),
        salinity_g_per_kg=_series(station, connection, vessel, "salinity_g_per_kg", span, keeps_water),
        hatched_fraction=_series(station, connection, vessel, "hatched_fraction", span, keeps_water),
        hatch_t50=hatch_time(station, latest, "hatch_t50", ended),
        low_mark_at=low_mark_time(station, latest, ended),
        water_c_min_next_16h=range_of(latest, "water_c_min_next_16h"),
        water_c_max_next_16h=range_of(latest, "water_c_max_next_16h"),
        loss_ml_per_day=range_of(latest, "loss_ml_per_day"),
        harvest_opens_at=hatch_time(station, latest, "harvest_opens_at", ended),
        harvest_closes_at=hatch_time(station, latest, "harvest_closes_at", ended),
        learned_top_ups=sum(1 for deed in mine if deed.deed == "top-up" and deed.detail.get("to") == "mark"),
        deeds=tuple(
            Event(local(station, deed.at), deed.deed, deed_in_words(deed, station.language))
            for deed in mine
            if began <= deed.at <= ended
        ),
        written_about=written_about(connection, vessel, ended),
        fill_ml=fill_ml,
        brine=brine,
        open_alarms=open_alarms(station, connection, vessel, ended),
        past_alarms=past_alarms(station, connection, vessel, span),
        silenced=silenced_alarms(station, connection, vessel, ended),
        has_heater=vessel.heater_c is not None,
    )


def latest_of(
    connection: sqlite3.Connection, vessel: Vessel, at: int, set_at: int | None
) -> dict[str, Estimate]:
    """What was believed last before a moment: of the running batch, and of the coming warmth."""
    since = dict.fromkeys(_ALWAYS_BELIEVED, at - HOUR_S - 1)
    return {
        quantity: Estimate(p10, p50, p90)
        for quantity, (then, p10, p50, p90) in estimate_store.latest(connection, vessel.id, at).items()
        if then >= (since.get(quantity, at + 1) if set_at is None else set_at)
    }


def _series(
    station: Station,
    connection: sqlite3.Connection,
    vessel: Vessel,
    quantity: str,
    span: tuple[int, int],
    said: Sequence[tuple[int, int]],
) -> tuple[RangePoint, ...]:
    """What was believed in the span, where it may be said: letters are silent on the rest, too."""
    rows = estimate_store.series(connection, vessel.id, quantity, *span)
    return tuple(
        RangePoint(local(station, at), Range(p10, p50, p90))
        for at, p10, p50, p90 in rows
        if any(began <= at < ended for began, ended in said)
    )


def _span(station: Station, began: int, ended: int) -> Span:
    return Span(local(station, began), local(station, ended))
