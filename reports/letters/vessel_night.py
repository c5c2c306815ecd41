"""A vessel's day and night in lines: water, lamp, level, hatch, deeds."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import amounts, night, times, words
from reports.language import say, to_say
from reports.letters.pouring import due_lines, is_harvested
from reports.letters.sentences import KNOWN_ABOVE_C, STOPS_ABOVE_C
from reports.letters.stages import STAGES, is_emptied, is_hatch_ahead
from reports.records import Event, NightRecord, Point, Range, RangePoint, Setting, TimeRange, VesselNight

_MOST_EVENTS = 12
_COLDEST = to_say("Water coldest: {temperature}, {when}.")
_TOO_COLD = to_say("Water coldest: {temperature}, {when}, past the limit of {limit}.")
_WARMEST = to_say("Water warmest: {temperature}, {when}.")
_TOO_WARM = to_say("Water warmest: {temperature}, {when}, past the limit of {limit}.")
_LIT = to_say("seen lit for {length}")
_DARK = to_say("seen dark for {length}")
_UNSEEN = to_say("not seen for {length}")


def title(vessel: VesselNight, now: datetime) -> str:
    """The vessel, when its batch was set, and where none runs, what is watched."""
    name = words.vessel_name(vessel.vessel, vessel.count)
    if vessel.dry:
        return say("{name}, no batch running, its probe in the air", name=name)
    if not vessel.watched:
        return say("{name}, no batch running, so not watched", name=name)
    if vessel.batch_set_at is None:
        return say("{name}, no batch running, warmth watched", name=name)
    return say("{name}, set {when}", name=name, when=times.moment(vessel.batch_set_at, now))


def vessel_facts(setting: Setting, record: NightRecord, vessel: VesselNight) -> tuple[str, ...]:
    """A vessel's day and night, a line each."""
    now = setting.written_at
    return (
        *_water(setting, vessel),
        *_lamp(vessel, record),
        *vessel_outlook(setting, vessel),
        say("Done: {deeds}.", deeds="; ".join(events(vessel.deeds, now)))
        if vessel.deeds
        else say("Done: nothing told."),
    )


def _water(setting: Setting, vessel: VesselNight) -> list[str]:
    seen, unit, now = night.extremes(vessel.water_c), setting.unit, setting.written_at
    if seen is None:
        return [say("Water: no readings, so its temperature is not known.")]
    coldest_c, warmest_c = seen.coldest.value or 0.0, seen.warmest.value or 0.0
    lines = [
        say(
            _TOO_COLD if coldest_c < vessel.cold_c else _COLDEST,
            **_read(seen.coldest, unit, now),
            limit=amounts.temperature(vessel.cold_c, unit),
        ),
        say(
            _TOO_WARM if warmest_c > vessel.hot_c else _WARMEST,
            **_read(seen.warmest, unit, now),
            limit=amounts.temperature(vessel.hot_c, unit),
        ),
        say("Water last read: {temperature}, {when}.", **_read(seen.latest, unit, now)),
    ]
    if not _hatches(vessel):
        return lines
    if warmest_c > STOPS_ABOVE_C:
        lines.append(
            say(
                "Above {temperature} development stops and may not recover.",
                temperature=amounts.both_units(STOPS_ABOVE_C, unit),
            )
        )
    if coldest_c < KNOWN_ABOVE_C:
        limit = amounts.temperature(KNOWN_ABOVE_C, unit, 0)
        lines.append(say("Below {limit} it is not known how fast a hatch goes on.", limit=limit))
    return lines


def _hatches(vessel: VesselNight) -> bool:
    """Whether cysts are still to hatch here, as far as is known."""
    return STAGES[vessel.stage].hatches


def _read(point: Point, unit: str, now: datetime) -> dict[str, str]:
    return {"temperature": amounts.temperature(point.value or 0.0, unit), "when": times.moment(point.at, now)}


def _lamp(vessel: VesselNight, record: NightRecord) -> list[str]:
    if not vessel.lamp_hours:
        return []
    if vessel.light_unit is None:
        return [say("Lamp: no light is measured here, so whether it was on is not known.")]
    seen = night.lamp_seen(vessel, record.span)
    parts = ((seen.lit, _LIT), (seen.dark, _DARK), (seen.unseen, _UNSEEN))
    phrases = [
        say(sentence, length=times.duration(length))
        for length, sentence in parts
        if length >= timedelta(minutes=1)
    ]
    if not phrases:
        return [say("Lamp in its hours: it had none in this time.")]
    return [say("Lamp in its hours: {seen}.", seen=", ".join(phrases))]


def vessel_outlook(setting: Setting, vessel: VesselNight) -> tuple[str, ...]:
    """What is believed of a vessel's water, hatch and coming cold, each a line."""
    now = setting.written_at
    if vessel.batch_set_at is None:
        return tuple(_coming(setting, vessel))
    return (*_level(vessel, now), *due_lines(vessel), *_hatch(vessel, now), *_coming(setting, vessel))


def newest(vessel: VesselNight, believed: Sequence[RangePoint]) -> Range | None:
    """What was last believed of the batch that runs; None where none does, or nothing was believed yet."""
    set_at = vessel.batch_set_at
    if set_at is None or not believed or night.moment_utc(believed[-1].at) < night.moment_utc(set_at):
        return None
    return believed[-1].range


def _level(vessel: VesselNight, now: datetime) -> list[str]:
    lines = []
    loss_ml, salt = (newest(vessel, one) for one in (vessel.loss_ml, vessel.salinity_g_per_kg))
    if loss_ml is not None:
        lines.append(amounts.water_stands(loss_ml, vessel.count))
    if vessel.loss_ml_per_day is not None:
        lines.append(say("Loss: {amount}.", amount=amounts.loss_range(vessel.loss_ml_per_day)))
    if vessel.low_mark_at is not None and not is_harvested(vessel):
        lines.append(_low_mark(vessel, vessel.low_mark_at, loss_ml, now))
    if salt is not None and not is_harvested(vessel):
        lines.append(say("Salt: {salt}.", salt=amounts.salinity_range(salt)))
    return lines


def _low_mark(vessel: VesselNight, low_mark_at: TimeRange, loss_ml: Range | None, now: datetime) -> str:
    """When the water reaches the low mark; where most likely it did, no moment ahead is said."""
    low, likely = amounts.volume(vessel.low_ml), low_mark_at.p50
    below = loss_ml is not None and loss_ml.p50 >= vessel.low_ml
    if below or (likely is not None and times.elapsed(likely, now) >= timedelta(0)):
        return say("Low mark ({amount} below the mark): the water stands below it.", amount=low)
    when = times.moment_range(low_mark_at, now)
    return say("Low mark ({amount} below the mark) reached: {when}.", amount=low, when=when)


def _hatch(vessel: VesselNight, now: datetime) -> list[str]:
    lines = []
    hatched = newest(vessel, vessel.hatched_fraction)
    if hatched is not None and not is_emptied(vessel):
        lines.append(say("Hatched, of those that will: {share}.", share=amounts.percent_range(hatched)))
    if vessel.hatch_t50 is not None and is_hatch_ahead(vessel):
        lines.append(say("Half hatched: {when}.", when=times.moment_range(vessel.hatch_t50, now)))
    return lines


def _coming(setting: Setting, vessel: VesselNight) -> list[str]:
    if vessel.water_c_min_next_16h is None:
        return []
    coming = amounts.temperature_range(vessel.water_c_min_next_16h, setting.unit)
    return [say("Coldest in the next 16 hours (a forecast): {temperature}.", temperature=coming)]


def events(happened: Sequence[Event], now: datetime) -> list[str]:
    """The latest events with their moments; how many there were before stands first."""
    latest = sorted(happened, key=lambda event: night.moment_utc(event.at))[-_MOST_EVENTS:]
    lines = [f"{words.clean(event.text)}, {times.moment(event.at, now)}" for event in latest]
    left = len(happened) - len(latest)
    return [say("{count} earlier", count=left), *lines] if left else lines
