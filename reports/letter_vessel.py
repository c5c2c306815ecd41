"""A vessel's day and night in lines: water, lamp, level, hatch, deeds."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import night, words
from reports.letter_parts import KNOWN_ABOVE_C, STOPS_ABOVE_C
from reports.records import Event, NightRecord, Point, Setting, VesselNight

_TOLD_AT_MOST = 12


def title(vessel: VesselNight, now: datetime) -> str:
    """The vessel and when its batch was set."""
    name = words.vessel_name(vessel.vessel, vessel.count)
    if vessel.batch_set_at is None:
        return f"{name}, no batch running"
    return f"{name}, set {words.moment(vessel.batch_set_at, now)}"


def vessel_facts(setting: Setting, record: NightRecord, vessel: VesselNight) -> tuple[str, ...]:
    """A vessel's day and night, a line each."""
    now = setting.written_at
    return (
        *_water(setting, vessel),
        *_lamp(vessel, record),
        *vessel_outlook(setting, vessel),
        f"Done: {'; '.join(events(vessel.deeds, now)) or 'nothing told'}.",
    )


def _water(setting: Setting, vessel: VesselNight) -> list[str]:
    seen, unit, now = night.extremes(vessel.water_c), setting.unit, setting.written_at
    if seen is None:
        return ["Water: no readings, so its temperature is not known."]
    coldest_c, warmest_c = seen.coldest.value or 0.0, seen.warmest.value or 0.0
    too_cold = _passed(coldest_c < vessel.cold_c, vessel.cold_c, unit)
    too_hot = _passed(warmest_c > vessel.hot_c, vessel.hot_c, unit)
    told = [
        f"Water coldest: {_read(seen.coldest, unit, now)}{too_cold}.",
        f"Water warmest: {_read(seen.warmest, unit, now)}{too_hot}.",
        f"Water last read: {_read(seen.latest, unit, now)}.",
    ]
    if warmest_c > STOPS_ABOVE_C:
        told.append(f"Above {words.both_units(STOPS_ABOVE_C)} development stops and may not recover.")
    if coldest_c < KNOWN_ABOVE_C:
        limit = words.temperature(KNOWN_ABOVE_C, unit, 0)
        told.append(f"Below {limit} it is not known how fast a hatch goes on.")
    return told


def _read(point: Point, unit: str, now: datetime) -> str:
    return f"{words.temperature(point.value or 0.0, unit)}, {words.moment(point.at, now)}"


def _passed(passed: bool, limit_c: float, unit: str) -> str:
    return f", past the limit of {words.temperature(limit_c, unit)}" if passed else ""


def _lamp(vessel: VesselNight, record: NightRecord) -> list[str]:
    if not vessel.lamp_hours:
        return []
    if vessel.light_unit is None:
        return ["Lamp: no light is measured here, so whether it was on is not known."]
    seen = night.lamp_seen(vessel, record.span)
    parts = ((seen.lit, "seen lit"), (seen.dark, "seen dark"), (seen.unseen, "not seen"))
    told = [
        f"{name} for {words.duration(length)}" for length, name in parts if length >= timedelta(minutes=1)
    ]
    return [f"Lamp in its hours: {', '.join(told) or 'it had none in this time'}."]


def vessel_outlook(setting: Setting, vessel: VesselNight) -> tuple[str, ...]:
    """What is believed of a vessel's water, hatch and coming cold, a line each; nothing without a batch."""
    now = setting.written_at
    return (*_level(vessel, now), *_hatch(vessel, now), *_coming(setting, vessel))


def _level(vessel: VesselNight, now: datetime) -> list[str]:
    told = []
    if vessel.loss_ml:
        told.append(f"Water in {words.each_of(vessel.count)}: {words.level_range(vessel.loss_ml[-1].range)}.")
    if vessel.loss_ml_per_day is not None:
        told.append(f"Loss: {words.volume_range(vessel.loss_ml_per_day, ' a day')}.")
    if vessel.low_mark_at is not None:
        low = words.volume(vessel.low_ml)
        told.append(
            f"Low mark ({low} below the mark) reached: {words.moment_range(vessel.low_mark_at, now)}."
        )
    if vessel.salinity_g_per_kg:
        told.append(f"Salt: {words.salinity_range(vessel.salinity_g_per_kg[-1].range)}.")
    return told


def _hatch(vessel: VesselNight, now: datetime) -> list[str]:
    told = []
    if vessel.hatched_fraction:
        told.append(f"Hatched, of those that will: {words.percent_range(vessel.hatched_fraction[-1].range)}.")
    if vessel.hatch_t50 is not None:
        told.append(f"Half hatched: {words.moment_range(vessel.hatch_t50, now)}.")
    return told


def _coming(setting: Setting, vessel: VesselNight) -> list[str]:
    if vessel.water_c_min_next_16h is None:
        return []
    coming = words.temperature_range(vessel.water_c_min_next_16h, setting.unit)
    return [f"Coldest in the next 16 hours (a forecast): {coming}."]


def events(told_of: Sequence[Event], now: datetime) -> list[str]:
    """The latest events with their moments; how many there were before stands first."""
    latest = sorted(told_of, key=lambda event: night.moment_utc(event.at))[-_TOLD_AT_MOST:]
    told = [f"{words.clean(event.text)}, {words.moment(event.at, now)}" for event in latest]
    left = len(told_of) - len(latest)
    return [f"{left} earlier", *told] if left else told
