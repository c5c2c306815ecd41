"""How warm the water of an absence may become, and what to do about it before going."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from reports import amounts
from reports.language import say, to_say
from reports.letters.blocks import Caution
from reports.letters.heaters import UNPLUG_STEP, Heated, to_heat, to_unplug, unheated
from reports.letters.known import Fact, fact, listed
from reports.letters.sentences import KNOWN_ABOVE_C, STOPS_ABOVE_C, heat_stops, name, names
from reports.letters.stages import hatches, heat_means
from reports.records import Range, Setting

# Steps of a letter that goes with `mains`, which asks for dry hands.
_KEEP_WARM = to_say("ask for the heating to stay on, or move {names}, gently, to a warmer place")
_HEATER = to_say("look whether the heater of {names} is plugged in, on and set right")
_SWITCHES_OFF = to_say("look whether the heater of {names} is set right and switches off")
_STAYS = to_say("Do not move a heated vessel.")
_BLIND = to_say("draw the blind")
_SHADE = to_say("draw the blind, or move {names}, gently, out of the sun")
_COLDEST_AWAY = to_say("Coldest while you are away")
_COLDEST_SOON = to_say("Coldest in the next 16 hours (forecast)")
_WARMEST_AWAY = to_say("Warmest while you are away")


# What may come, but most likely will not, is left out where a letter grows too long.
_MAY = 3


class Away(Heated, Protocol):
    """A vessel over a coming absence: its limits and the coldest and hottest water to come, °C."""

    @property
    def cold_c(self) -> float: ...
    @property
    def hot_c(self) -> float: ...
    @property
    def water_c_min_next_16h(self) -> Range | None: ...
    @property
    def water_c_min_away(self) -> Range | None: ...
    @property
    def water_c_max_away(self) -> Range | None: ...


@dataclass(frozen=True, slots=True)
class PastLimit:
    """Water that is more likely than not to pass a limit: a sentence, and a few words for a subject."""

    sentence: str
    short: str


def past_limits(vessels: Sequence[Away]) -> PastLimit | None:
    """What is likely, heat before cold, for it does more harm; None where nothing is."""
    if hot := [one for one in vessels if gets_hot(one)]:
        return PastLimit(say("Heat is likely in {names}.", names=names(hot)), say("heat likely"))
    if cold := [one for one in vessels if gets_cold(one)]:
        return PastLimit(say("Cold is likely in {names}.", names=names(cold)), say("cold likely"))
    return None


def warmth_steps(vessels: Sequence[Away]) -> list[str]:
    """What can still be done about it before going."""
    cold, hot = [one for one in vessels if gets_cold(one)], [one for one in vessels if gets_hot(one)]
    steps = (
        (UNPLUG_STEP, to_unplug(vessels)),
        (_HEATER, to_heat(cold)),
        (_KEEP_WARM, unheated(cold)),
        (_SWITCHES_OFF, [one for one in to_heat(hot) if one not in cold]),
        (_SHADE, unheated(hot)),
        (_BLIND, [] if unheated(hot) else hot),
    )
    return [say(step, names=names(about)) for step, about in steps if about]


def warmth_care(vessels: Sequence[Away]) -> list[Caution]:
    """What to mind while doing it."""
    heated = to_heat([one for one in vessels if gets_cold(one) or gets_hot(one)])
    return [Caution(say(_STAYS))] if heated else []


def gets_cold(one: Away) -> bool:
    """Whether the water is more likely than not to pass its limit before somebody is back."""
    coldest = one.water_c_min_away or one.water_c_min_next_16h
    return coldest is not None and coldest.p50 < one.cold_c


def gets_hot(one: Away) -> bool:
    """The same of heat."""
    return one.water_c_max_away is not None and one.water_c_max_away.p50 > one.hot_c


def warmth_lines(setting: Setting, one: Away) -> tuple[Fact, ...]:
    """The coldest and warmest water to come, of the whole absence where that is forecast."""
    coldest, warmest = one.water_c_min_away or one.water_c_min_next_16h, one.water_c_max_away
    facts = [fact(say(_COLDEST_AWAY), amounts.not_known())]
    if coldest is not None:
        label = say(_COLDEST_AWAY if one.water_c_min_away is not None else _COLDEST_SOON)
        limit_c = one.cold_c if coldest.p10 < one.cold_c else None
        facts = [_forecast(setting, label, say("Coldest"), coldest, limit_c)]
    if warmest is not None and warmest.p90 > one.hot_c:
        spare = 0 if gets_hot(one) else _MAY
        hottest = _forecast(setting, say(_WARMEST_AWAY), say("Hottest"), warmest, one.hot_c)
        facts.append(replace(hottest, spare=spare))
    return tuple(facts)


def _forecast(setting: Setting, label: str, head: str, believed: Range, limit_c: float | None) -> Fact:
    """What is believed, with the limit where it may be passed."""
    value, likely = (
        amounts.temperature_range(believed, setting.unit),
        amounts.temperature(believed.p50, setting.unit),
    )
    if limit_c is None:
        return Fact(label, value, likely, head)
    limit = amounts.temperature(limit_c, setting.unit)
    return Fact(label, say("{value}; limit {limit}", value=value, limit=limit), likely, head)


def if_cold(setting: Setting, vessels: Sequence[Away]) -> list[str]:
    """What cold to come means for those of these that still hatch, where it may pass their limit."""
    hatching = [one for one in vessels if hatches([one])]
    coldest = [(one, one.water_c_min_away or one.water_c_min_next_16h) for one in hatching]
    cold = [(one, believed.p10) for one, believed in coldest if believed and believed.p10 < one.cold_c]
    if any(coldest_c < KNOWN_ABOVE_C for _, coldest_c in cold):
        limit = amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        return [say("Below {limit} it is not known how fast a hatch goes on.", limit=limit)]
    if cold:
        slow = listed([name(one) for one, _ in cold])
        return [say("If the water of {names} gets too cold, the hatch comes later.", names=slow)]
    return []


def _may_stop(one: Away) -> bool:
    return one.water_c_max_away is not None and one.water_c_max_away.p90 > STOPS_ABOVE_C


def if_hot(setting: Setting, vessels: Sequence[Away]) -> list[str]:
    """What heat to come means for those of these that may pass what cysts bear."""
    hot = [one for one in vessels if _may_stop(one)]
    stops = [heat_stops(setting)] if hatches(hot) else []
    means = heat_means(setting, hot)
    return [" ".join(filter(None, [*stops, means.text, *means.more]))] if hot else []
