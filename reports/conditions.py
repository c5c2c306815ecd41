"""What an alarm is called in words, by its condition: while it stands, and when it is over."""

from collections.abc import Mapping
from dataclasses import dataclass

from reports.language import say, to_say


@dataclass(frozen=True, slots=True)
class ConditionWords:
    """A condition in words (to be said): of an alarm that stands, of one that is over, and its name.

    The first two may name the `{probe}` that the alarm is about.
    """

    stands: str
    over: str
    name: str


_LAMP_OFF = to_say("the lamp was off in its hours")
# Those of a vessel or a probe; what is wrong with the station itself has a letter and no line in a chart.
CONDITIONS: Mapping[str, ConditionWords] = {
    "cold": ConditionWords(
        to_say("the water is too cold"), to_say("the water was too cold"), to_say("cold water")
    ),
    "hot": ConditionWords(
        to_say("the water is too warm"), to_say("the water was too warm"), to_say("warm water")
    ),
    "lamp": ConditionWords(_LAMP_OFF, _LAMP_OFF, to_say("lamp off in its hours")),
    "water": ConditionWords(to_say("the water is low"), to_say("the water was low"), to_say("low water")),
    "salinity": ConditionWords(
        to_say("the water is too salty or not salty enough"),
        to_say("the water was too salty or not salty enough"),
        to_say("water too salty or not salty enough"),
    ),
    "swing": ConditionWords(
        to_say("the water is much warmer by day than by night"),
        to_say("the water was much warmer by day than by night"),
        to_say("water much warmer by day than by night"),
    ),
    "cold-ahead": ConditionWords(
        to_say("cold is foreseen"), to_say("cold was foreseen"), to_say("cold to come")
    ),
    "hot-ahead": ConditionWords(
        to_say("heat is foreseen"), to_say("heat was foreseen"), to_say("heat to come")
    ),
    "lamp-stays-on": ConditionWords(
        to_say("the lamp is on outside its hours"),
        to_say("the lamp was on outside its hours"),
        to_say("lamp on outside its hours"),
    ),
    "probe": ConditionWords(
        to_say("the probe {probe} gives nothing to believe"),
        to_say("the probe {probe} gave nothing to believe"),
        to_say("a probe that gives nothing to believe"),
    ),
}
# Salt out of range, where the side is known: while it stands, and when it is over.
_SALTY = (to_say("the water is too salty"), to_say("the water was too salty"))
_FRESH = (to_say("the water is not salty enough"), to_say("the water was not salty enough"))


def alarm_in_words(condition: str, probe: str, *, acknowledged: bool, salty: bool | None = None) -> str:
    """An alarm that stands, of a condition and, where it is a probe's, of that probe; `salty` says of salt
    whether there is too much (None: not known)."""
    stands = say(_sides(condition, salty)[0], probe=probe)
    if acknowledged and condition != "probe":  # of a probe it is not said
        return say("{alarm} (seen)", alarm=stands)
    return stands


def past_alarm_in_words(condition: str, probe: str, *, salty: bool | None = None) -> str:
    """The same of an alarm that is over."""
    return say(_sides(condition, salty)[1], probe=probe)


def _sides(condition: str, salty: bool | None) -> tuple[str, str]:
    if condition == "salinity" and salty is not None:
        return _SALTY if salty else _FRESH
    return CONDITIONS[condition].stands, CONDITIONS[condition].over


def alarm_name(condition: str) -> str:
    """What a condition's alarm is called where nothing is said of how it stands."""
    return say(CONDITIONS[condition].name)
