"""The one thing to do after a night, the most pressing first, with what to mind and what to write down."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from reports import amounts, night, words
from reports.language import say, to_say
from reports.letters import record as care_line
from reports.letters.blocks import Caution
from reports.letters.heaters import heated, pouring_care, unplugged_for
from reports.letters.night_findings import (
    alarms_had,
    is_salt_off,
    likely_cold,
    likely_hot,
    over_brim,
    was_cold,
    was_hot,
    while_watched,
)
from reports.letters.pouring import LEAST_ML, due_record, end_or_go_on, fill_advice, is_harvested, is_to_fill
from reports.letters.remedies import against_trouble, remedy
from reports.letters.sentences import mains
from reports.records import NightRecord, Setting, VesselNight

_AGAIN = {
    "cold": to_say(
        "look first at {names}. The water was down to {temperature} in the last day, too cold, and most "
        "likely will be again. If it still is, {helps}"
    ),
    "hot": to_say(
        "look first at {names}. The water was up to {temperature} in the last day, too warm, and most "
        "likely will be again. If it still is, {helps}"
    ),
}
# What speaks of the water itself, or of what tells of it.
_BEFORE_WATER = ("probe", "water", "salinity")


@dataclass(frozen=True, slots=True)
class NightDeed:
    """What to do, the care it takes, and the lines for the care log; `asks` is False where it is nothing,
    `pours` says that it is the water already."""

    what: str
    care: Sequence[Caution] = ()
    record: Sequence[str] = ()
    asks: bool = True
    pours: bool = False


def night_deed(setting: Setting, record: NightRecord) -> NightDeed:
    """The one thing to do after a night."""
    pressing = _pressing(setting, record)
    if pressing is not None:
        return _with_water(setting, record, pressing)
    if alarms_had(record) or any(was_cold(vessel) or was_hot(vessel) for vessel in record.vessels):
        over = say("nothing now: what was not well is over, as far as the station can see.")
        return NightDeed(over, asks=False)
    if not any(vessel.watched for vessel in record.vessels):
        return NightDeed(say("nothing. No batch is set, so nothing is watched."), asks=False)
    return NightDeed(say("nothing. All is well as far as the station can see."), asks=False)


def _with_water(setting: Setting, record: NightRecord, first: NightDeed) -> NightDeed:
    """With the water to fill up in vessels that nothing speaks against, where something else comes first."""
    dry = [one for one in record.vessels if is_to_fill(setting, one) and _may_be_filled(one)]
    if first.pours or not dry:
        return first
    then = say("fill up to the mark with plain water, as listed.")
    what = say("{before} Then {after}", before=first.what, after=then)
    lines = [line for one in dry for line in _fill_record(one)]
    care = [*first.care, *pouring_care(dry, first.care)]
    return replace(first, what=what, care=care, record=[*first.record, *lines])


def _may_be_filled(one: VesselNight) -> bool:
    """Whether plain water can go in without a look at level, salt, probe or heater first."""
    return is_sure_to_fill(one) and not one.has_heater


def is_sure_to_fill(one: VesselNight) -> bool:
    """Whether plain water is missing, and nothing is to be looked at or measured before."""
    kinds = {alarm.kind for alarm in one.open_alarms} | {alarm.kind for alarm in one.silenced}
    doubted = not kinds.isdisjoint(_BEFORE_WATER)
    return one.fill_ml >= LEAST_ML and not (doubted or over_brim(one) or is_salt_off(one))


def _pressing(setting: Setting, record: NightRecord) -> NightDeed | None:
    """None where there is nothing."""
    if troubled := [words.clean(vessel.vessel) for vessel in record.vessels if vessel.open_alarms]:
        advice = against_trouble(record, troubled)
        return NightDeed(advice.what, advice.care, advice.record)
    if (look := _to_look_at(record)) is not None:
        return look
    if thirsty := [one for one in record.vessels if is_to_fill(setting, one)]:
        lines = [line for one in thirsty for line in _fill_record(one)]
        what = unplugged_for(fill_advice(thirsty), thirsty)
        return NightDeed(what, pouring_care(thirsty), lines, pours=True)
    if (coming := _coming(setting, record)) is not None:
        return coming
    if drawn := [vessel for vessel in record.vessels if is_harvested(vessel)]:
        lines = [line for one in drawn for line in due_record(one)]
        return NightDeed(end_or_go_on(drawn), [mains()] if heated(drawn) else (), lines)
    if setting.also:
        return NightDeed(say('read what stands under "Also" at the end of this letter.'))
    return None


def _fill_record(one: VesselNight) -> Sequence[str]:
    if one.fill_ml >= LEAST_ML:
        return [care_line.top_up(one.vessel, one.fill_ml)]
    return due_record(one)


def _to_look_at(record: NightRecord) -> NightDeed | None:
    """What to look at before anything is poured."""
    if names := _names(record, lambda vessel: bool(vessel.silenced)):
        return NightDeed(say("look at {names} yourself: an alarm is silenced there.", names=names))
    if not record.clock_sure and night.is_known(replace(record, clock_sure=True)):
        return NightDeed(
            say("look, with dry hands, whether the station's network works: it takes the time from there.")
        )
    if not night.is_known(record):
        return NightDeed(
            say("look, with dry hands, whether the station's power and the probes' cables are firm.")
        )
    if names := _names(record, over_brim):
        return NightDeed(
            say("look first at {names}: the water may stand higher than it safely may.", names=names)
        )
    if off := [one for one in record.vessels if is_salt_off(one)]:
        return _measure_salt(off)
    return None


def _measure_salt(off: Sequence[VesselNight]) -> NightDeed:
    what = say(
        "measure the salt in {names}, and write it in the care log.",
        names=words.joined([words.clean(one.vessel) for one in off]),
    )
    return NightDeed(what, record=[care_line.salinity(one.vessel) for one in off])


def _coming(setting: Setting, record: NightRecord) -> NightDeed | None:
    """What to do about cold or heat to come: while somebody is there before it, or when they are back."""
    if names := _names(record, likely_cold):
        if setting.attended_now:
            return NightDeed(
                say("look first at {names}: the coming night is likely to be too cold for it.", names=names)
            )
        if had := [one for one in record.vessels if likely_cold(one) and was_cold(one)]:
            return _again(setting, had, "cold")
        return NightDeed(
            say("look first how cold it became in {names}: cold is likely before you are there.", names=names)
        )
    if names := _names(record, likely_hot):
        if setting.attended_now:
            return NightDeed(
                say("look first at {names}: the coming hours are likely to be too warm for it.", names=names)
            )
        if had := [one for one in record.vessels if likely_hot(one) and was_hot(one)]:
            return _again(setting, had, "hot")
        return NightDeed(
            say("look first how warm it became in {names}: heat is likely before you are there.", names=names)
        )
    return None


def _again(setting: Setting, had: Sequence[VesselNight], condition: str) -> NightDeed:
    """Nobody is there before it, and it came already: how far it went, and what helps who is back."""
    seen = [found for one in had if (found := while_watched(one)) is not None]
    worst_c = (
        min(one.coldest.value or 0.0 for one in seen)
        if condition == "cold"
        else max(one.warmest.value or 0.0 for one in seen)
    )
    helps = remedy(condition, had)
    what = say(
        _AGAIN[condition],
        names=words.joined([words.clean(one.vessel) for one in had]),
        temperature=amounts.temperature(worst_c, setting.unit),
        helps=helps.what,
    )
    return NightDeed(what, helps.care, helps.record)


def _names(record: NightRecord, holds: Callable[[VesselNight], bool]) -> str:
    """The vessels of which it holds; empty where of none."""
    found = [words.clean(vessel.vessel) for vessel in record.vessels if holds(vessel)]
    return words.joined(found) if found else ""
