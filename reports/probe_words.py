"""A probe in words: what it measures, what it read, and what is wrong with what it gives."""

from reports import amounts, words
from reports.language import say, to_say

_MEASURES = {
    "water_c": to_say("water temperature"),
    "light_lux": to_say("light"),
    "light_fraction": to_say("light"),
    "room_c": to_say("room temperature"),
    "room_rh_pct": to_say("room humidity"),
    "float_low": to_say("float switch"),
}
_FAULTS = {
    "absent": to_say("it does not answer"),
    "crc": to_say("its answers arrive garbled"),
    "reset": to_say("it gives only the value it starts up with, as after a loose contact"),
    "range": to_say("it gives a value that no classroom can have"),
    "jump": to_say("its value jumped faster than it can in truth"),
    "stuck": to_say("its value does not change at all any more"),
    "in-air": to_say("it follows the room's air, so it may be out of the water"),
}


def measure(measures: str) -> str:
    """What a probe measures, by its `measures` in the station file."""
    return say(_MEASURES[measures]) if measures in _MEASURES else words.clean(measures)


def fault(quality: str) -> str:
    """What is wrong, by a reading's quality: "it does not answer"."""
    return say(_FAULTS[quality]) if quality in _FAULTS else words.clean(quality)


def value(measures: str, value: float, unit: str) -> str:
    """What it read, with its unit; a temperature in `unit`, "C" or "F"."""
    match measures:
        case "water_c" | "room_c":
            return amounts.temperature(value, unit)
        case "light_lux":
            return amounts.light(value, "lux")
        case "light_fraction":
            return amounts.light(value, "fraction")
        case "room_rh_pct":
            return say("{share} humidity", share=f"{amounts.number(value)} %")
        case "float_low":
            return say("low water") if value >= 0.5 else say("water high enough")
    return amounts.number(value, 1)
