"""How warm the water of an absence may become, and what to do about it before going."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from reports import amounts
from reports.language import say, to_say
from reports.letters.heaters import UNPLUG_STEP, Heated, to_heat, to_unplug, unheated
from reports.letters.sentences import KNOWN_ABOVE_C, STOPS_ABOVE_C, heat_stops, names
from reports.letters.stages import hatches, heat_means
from reports.records import Range, Setting

_KEEP_WARM = to_say("ask for the heating to stay on, or move {names}, gently, to a warmer place")
_HEATER = to_say(
    "look, with dry hands, whether the heater of {names} is plugged in, switched on and set right; do not "
    "move a vessel whose heater is on"
)
_SWITCHES_OFF = to_say(
    "look, with dry hands, whether the heater of {names} is set right and switches off as it should; do not "
    "move a vessel whose heater is on"
)
_BLIND = to_say("draw the blind")
_SHADE = to_say("draw the blind, or move {names}, gently, out of the sun")
_COLDEST_AWAY = to_say("Coldest while you are away: {temperature}.")
_COLDEST_SOON = to_say("Coldest in the next 16 hours: {temperature}.")
_WARMEST_AWAY = to_say("Warmest while you are away: {temperature}.")


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
    if hot := [one for one in vessels if _hot(one)]:
        return PastLimit(say("Heat is likely in {names}.", names=names(hot)), say("heat likely"))
    if cold := [one for one in vessels if _cold(one)]:
        return PastLimit(say("Cold is likely in {names}.", names=names(cold)), say("cold likely"))
    return None


def warmth_steps(vessels: Sequence[Away]) -> list[str]:
    """What can still be done about it before going."""
    cold, hot = [one for one in vessels if _cold(one)], [one for one in vessels if _hot(one)]
    steps = (
        (UNPLUG_STEP, to_unplug(vessels)),
        (_HEATER, to_heat(cold)),
        (_KEEP_WARM, unheated(cold)),
        (_SWITCHES_OFF, to_heat(hot)),
        (_SHADE, unheated(hot)),
        (_BLIND, [] if unheated(hot) else hot),
    )
    return [say(step, names=names(about)) for step, about in steps if about]


def _cold(one: Away) -> bool:
    """Whether the water is more likely than not to pass its limit before somebody is back."""
    coldest = one.water_c_min_away or one.water_c_min_next_16h
    return coldest is not None and coldest.p50 < one.cold_c


def _hot(one: Away) -> bool:
    return one.water_c_max_away is not None and one.water_c_max_away.p50 > one.hot_c


def warmth_lines(setting: Setting, one: Away) -> list[str]:
    """The coldest and warmest water to come, of the whole absence where that is forecast."""
    coldest, warmest = one.water_c_min_away or one.water_c_min_next_16h, one.water_c_max_away
    lines = [say("How cold it will get is not known.")]
    if coldest is not None:
        known = _COLDEST_AWAY if one.water_c_min_away is not None else _COLDEST_SOON
        line = say(known, temperature=amounts.temperature_range(coldest, setting.unit))
        lines = [" ".join([line, *_if_cold(setting, one, coldest)])]
    if warmest is not None:
        line = say(_WARMEST_AWAY, temperature=amounts.temperature_range(warmest, setting.unit))
        lines.append(" ".join([line, *_if_hot(setting, one, warmest)]))
    return lines


def _if_cold(setting: Setting, one: Away, coldest: Range) -> list[str]:
    if coldest.p10 < KNOWN_ABOVE_C and hatches([one]):
        limit = amounts.temperature(KNOWN_ABOVE_C, setting.unit, 0)
        return [say("Below {limit} it is not known how fast a hatch goes on.", limit=limit)]
    if coldest.p10 < one.cold_c:
        limit = amounts.temperature(one.cold_c, setting.unit)
        if hatches([one]):
            return [say("It may pass the limit of {limit}: then the hatch comes later.", limit=limit)]
        return [say("It may pass the limit of {limit}.", limit=limit)]
    return []


def _if_hot(setting: Setting, one: Away, warmest: Range) -> list[str]:
    if not warmest.p90 > STOPS_ABOVE_C:
        return []
    return [heat_stops(setting)] if hatches([one]) else heat_means(setting, [one])
