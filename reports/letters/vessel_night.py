"""A vessel's day and night in facts: water, lamp, level, hatch, deeds."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from reports import amounts, night, times, words
from reports.language import say, to_say
from reports.letters.freshness import water_read
from reports.letters.known import Fact, Known
from reports.letters.pouring import is_harvested, is_to_fill
from reports.letters.sentences import KNOWN_ABOVE_C, STOPS_ABOVE_C, name
from reports.letters.stages import STAGES, is_emptied, is_hatch_ahead
from reports.records import (
    Event,
    Measured,
    NightRecord,
    Point,
    Range,
    RangePoint,
    Setting,
    TimeRange,
    VesselNight,
)

_MOST_EVENTS = 12
# What is left out first where a letter grows too long: what its chart shows too, and what asks for nothing.
_SALT, _LAMP, _SET, _COMING, _DONE, _LOW, _HALF, _OVER = 8, 7, 6, 5, 4, 3, 2, 1
_ALL = 0.9
# A timer and a reading a minute do not agree to the minute.
_WORTH_A_WORD = timedelta(minutes=5)
_SOON = timedelta(days=3)
_TEMPERATURE = to_say("{temperature}, {when}")
_PAST_LIMIT = to_say("{temperature}, {when}, past the limit of {limit}")
_LIT = to_say("lit {length}")
_DARK = to_say("dark {length}")
_UNSEEN = to_say("not seen {length}")


def vessel_known(setting: Setting, record: NightRecord, vessel: VesselNight) -> Known:
    """What is known of a vessel's day and night."""
    now = setting.written_at
    done = [Fact(say("Done"), "; ".join(events(vessel.deeds, now)), spare=_DONE)] if vessel.deeds else []
    facts = (
        *batch(vessel, now),
        *_water(setting, vessel),
        *_lamp(vessel, record),
        *_outlook(setting, vessel),
    )
    return Known(name(vessel), (*facts, *done))


def batch(vessel: VesselNight, now: datetime) -> list[Fact]:
    """When its batch was set; where none runs, what is watched."""
    head = say("Hatched")
    if vessel.dry:
        none = say("no batch running, probe in the air")
    elif not vessel.watched:
        none = say("no batch running, so not watched")
    elif vessel.batch_set_at is None:
        none = say("no batch running, warmth watched")
    else:
        return [Fact(say("Set"), times.moment(vessel.batch_set_at, now), spare=_SET)]
    return [Fact(say("Batch"), none, none, head)]


def _water(setting: Setting, vessel: VesselNight) -> list[Fact]:
    seen, unit = night.extremes(vessel.water_c), setting.unit
    if seen is None:
        return [water_read(setting, None)]
    coldest_c, warmest_c = seen.coldest.value or 0.0, seen.warmest.value or 0.0
    day = say(
        "{low} to {high}",
        low=amounts.number(amounts.in_unit(coldest_c, unit), 1),
        high=amounts.temperature(warmest_c, unit),
    )
    return [
        water_read(setting, Measured(seen.latest.value or 0.0, seen.latest.at)),
        Fact(say("Lowest to highest"), None, day),
        _extreme(say("Water coldest"), seen.coldest, setting, vessel.cold_c, past=coldest_c < vessel.cold_c),
        _extreme(say("Water warmest"), seen.warmest, setting, vessel.hot_c, past=warmest_c > vessel.hot_c),
    ]


def _extreme(label: str, point: Point, setting: Setting, limit_c: float, *, past: bool) -> Fact:
    said = say(
        _PAST_LIMIT if past else _TEMPERATURE,
        temperature=amounts.temperature(point.value or 0.0, setting.unit),
        when=times.moment(point.at, setting.written_at),
        limit=amounts.temperature(limit_c, setting.unit),
    )
    return Fact(label, said)


def warmth_notes(setting: Setting, vessels: Sequence[VesselNight]) -> list[str]:
    """What such heat and such cold do to what is still to hatch, once for all."""
    hatching = [
        seen for one in vessels if STAGES[one.stage].hatches and (seen := night.extremes(one.water_c))
    ]
    notes = []
    if any((seen.warmest.value or 0.0) > STOPS_ABOVE_C for seen in hatching):
        limit = amounts.both_units(STOPS_ABOVE_C, setting.unit)
        notes.append(say("Above {temperature} development stops and may not recover.", temperature=limit))
    if any((seen.coldest.value or 0.0) < KNOWN_ABOVE_C for seen in hatching):
        limit = amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        notes.append(say("Below {limit} it is not known how fast a hatch goes on.", limit=limit))
    return notes


def _lamp(vessel: VesselNight, record: NightRecord) -> list[Fact]:
    if not vessel.lamp_hours or not vessel.watched:
        return []
    label = say("Lamp in its hours")
    if vessel.light_unit is None:
        return [Fact(label, say("not known, for no light is measured here"))]
    seen = night.lamp_seen(vessel, record.span)
    parts = ((seen.lit, _LIT), (seen.dark, _DARK), (seen.unseen, _UNSEEN))
    phrases = [
        say(sentence, length=times.rough_duration(length))
        for length, sentence in parts
        if length >= _WORTH_A_WORD
    ]
    return [Fact(label, ", ".join(phrases), spare=_LAMP)] if phrases else []


def vessel_outlook(setting: Setting, vessel: VesselNight) -> list[Fact]:
    """What is believed of a vessel's water, hatch and coming cold, with how fast its water goes."""
    rate = vessel.loss_ml_per_day if vessel.batch_set_at is not None else None
    evaporates = [] if rate is None else [Fact(say("Evaporates"), amounts.loss_range(rate))]
    return [*_outlook(setting, vessel), *evaporates]


def _outlook(setting: Setting, vessel: VesselNight) -> list[Fact]:
    now = setting.written_at
    if vessel.batch_set_at is None:
        return _coming(setting, vessel)
    return [*_level(setting, vessel), *_hatch(vessel, now), *_coming(setting, vessel)]


def newest(vessel: VesselNight, believed: Sequence[RangePoint]) -> Range | None:
    """What was last believed of the batch that runs; None where none does, or nothing was believed yet."""
    set_at = vessel.batch_set_at
    if set_at is None or not believed or night.moment_utc(believed[-1].at) < night.moment_utc(set_at):
        return None
    return believed[-1].range


def _level(setting: Setting, vessel: VesselNight) -> list[Fact]:
    facts: list[Fact] = []
    loss_ml, salt = (newest(vessel, one) for one in (vessel.loss_ml, vessel.salinity_g_per_kg))
    if loss_ml is not None:
        facts.append(Fact(amounts.water_in(vessel.count), amounts.level_range(loss_ml)))
    if vessel.low_mark_at is not None and not is_harvested(vessel):
        facts.append(_low_mark(setting, vessel, vessel.low_mark_at, loss_ml))
    if salt is not None and not is_harvested(vessel):
        within = vessel.salinity_low_g_per_kg <= salt.p50 <= vessel.salinity_high_g_per_kg
        facts.append(Fact(amounts.salt_in(), amounts.salinity_range(salt), spare=_SALT if within else 0))
    return facts


def _low_mark(setting: Setting, vessel: VesselNight, low_mark_at: TimeRange, loss_ml: Range | None) -> Fact:
    """When the water reaches the low mark; where most likely it did, no moment ahead is said.

    It can be left out of a long letter where it is far, and where the letter asks to fill up before it comes.
    """
    label, likely, now = say("Low mark"), low_mark_at.p50, setting.written_at
    below = loss_ml is not None and loss_ml.p50 >= vessel.low_ml
    if below or (likely is not None and times.elapsed(likely, now) >= timedelta(0)):
        return Fact(label, say("the water stands below it"))
    soon = low_mark_at.p10 is not None and times.elapsed(now, low_mark_at.p10) < _SOON
    told = soon and not is_to_fill(setting, vessel)
    return Fact(label, times.moment_range(low_mark_at, now), spare=0 if told else _LOW)


def _hatch(vessel: VesselNight, now: datetime) -> list[Fact]:
    facts = []
    hatched = newest(vessel, vessel.hatched_fraction)
    if hatched is not None and not is_emptied(vessel):
        cell = amounts.percent(hatched.p50)
        facts.append(
            Fact(
                say("Hatched, of those that will"),
                amounts.percent_range(hatched),
                cell,
                say("Hatched"),
                spare=_OVER if hatched.p10 > _ALL else 0,
            )
        )
    if vessel.hatch_t50 is not None and is_hatch_ahead(vessel) and not _is_half_hatched(hatched):
        facts.append(Fact(say("Half hatched"), times.moment_range(vessel.hatch_t50, now), spare=_HALF))
    return facts


def _is_half_hatched(hatched: Range | None) -> bool:
    """Whether half have surely hatched, so that nobody asks any more when they had."""
    return hatched is not None and hatched.p10 > 0.5


def _coming(setting: Setting, vessel: VesselNight) -> list[Fact]:
    if vessel.water_c_min_next_16h is None or not vessel.watched:
        return []
    coming = amounts.temperature_range(vessel.water_c_min_next_16h, setting.unit)
    likely = vessel.water_c_min_next_16h.p50 < vessel.cold_c
    return [Fact(say("Next 16 hours (forecast), coldest"), coming, spare=0 if likely else _COMING)]


def events(happened: Sequence[Event], now: datetime, most: int = _MOST_EVENTS) -> list[str]:
    """The latest events with their moments; how many there were before stands first."""
    latest = sorted(happened, key=lambda event: night.moment_utc(event.at))[-most:]
    lines = [f"{words.clean(event.text)}, {times.short_dated(event.at, now)}" for event in latest]
    left = len(happened) - len(latest)
    return [say("{count} earlier", count=left), *lines] if left else lines
