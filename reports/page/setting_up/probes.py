"""What is said of the probes of a set-up: what each measures, what it reads now, which one is in a hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from reports.amounts import difference, number, temperature
from reports.language import say, spoken, to_say
from reports.words import clean

_MEASURES = {
    "water_c": to_say("the water's temperature"),
    "room_c": to_say("the room's temperature"),
    "room_rh_pct": to_say("the room's humidity"),
    "light_lux": to_say("light, in lux"),
    "light_fraction": to_say("light, as a share"),
    "float_low": to_say("whether the water is low"),
}
# By so much warmer than at the first look it is in a hand: a steel tube at 21 °C gains it in ten seconds,
# and no room does (judgement, no source).
HELD_K = 1.0


@dataclass(frozen=True, slots=True)
class ProbeRow:
    """A probe as it is asked about: `place` from 1 on of one that the set-up has, 0 of one that is new.

    `told` are the keys that a new one's row sends back; `number` tells it from others; `choices` is what it
    may measure; `known_by` its number or pin in words; `reads` and `doubts` what it reads now; `notes` what
    else is known of it; `checks` those that fit it, "ice" or "light".
    """

    row: int
    place: int
    id: str
    told: str
    number: str
    measures: str
    choices: tuple[tuple[str, str], ...]
    known_by: str
    reads: str
    held: str
    doubts: tuple[str, ...]
    notes: tuple[str, ...]
    faults: tuple[str, ...]
    checks: tuple[str, ...]
    correction: str


def measure(name: str) -> str:
    """What a probe measures, in words; spoken in the language of now."""
    return say(_MEASURES[name]) if name in _MEASURES else clean(name)


def choices(language: str, names: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """What a probe can measure, to choose from."""
    with spoken(language):
        return tuple((name, measure(name)) for name in names)


def known_by(language: str, driver: str, keys: Mapping[str, Any]) -> str:
    """How a probe is told apart from others: by its number, its pin, its channel."""
    with spoken(language):
        if "address" in keys:
            return say("number {number}", number=clean(str(keys["address"])))
        if "pin" in keys:
            return say("{driver} on pin GPIO{pin}", driver=clean(driver), pin=keys["pin"])
        if "device" in keys and driver in ("iio", "hwmon"):
            return clean(f"{keys['device']} {keys.get('channel', '')}")
        if "channel" in keys:
            return say("{driver}, channel {channel}", driver=clean(driver), channel=keys["channel"])
        return clean(driver)


def reading(language: str, measures: str, value: float | None, unit: str) -> str:
    """What a probe reads now."""
    with spoken(language):
        if value is None:
            return say("It reads nothing.")
        if measures == "float_low":
            return say("It says: the water is low.") if value else say("It says: the water is not low.")
        return say("It reads {value}.", value=_amount(measures, value, unit))


def _amount(measures: str, value: float, unit: str) -> str:
    if measures.endswith("_c"):
        return temperature(value, unit)
    if measures == "light_fraction":
        return number(value, 3)
    return f"{number(value)} {'%' if measures == 'room_rh_pct' else 'lux'}"


def held(language: str, gain_k: float, unit: str) -> str:
    """Of the probe that gets warm, since the first look."""
    with spoken(language):
        by = difference(gain_k, unit)
        return say("This one is getting warmer, by {by}: it is in your hand.", by=by)


def absent(language: str) -> str:
    """Of a probe of the set-up that the machine does not show."""
    with spoken(language):
        return say("The machine does not show it now.")


def nothing(language: str) -> str:
    """Where no probe is found at all."""
    with spoken(language):
        return say("No probe is found that says by itself that it is there.")


def ice_now(language: str, now_c: float | None, after_s: float, steady: float, unit: str) -> tuple[str, str]:
    """How far an ice-water check is: what it reads, °C, and for which share of a minute it was steady."""
    with spoken(language):
        reads = (
            say("It reads nothing.")
            if now_c is None
            else say("It reads {value}.", value=temperature(now_c, unit, 2))
        )
        so_far = say(
            "{seconds:.0f} seconds so far; steady for {part:.0f} of the 60 that it takes.",
            seconds=after_s,
            part=60 * steady,
        )
        return reads, so_far


def correct_by(language: str, offset_c: float | None, unit: str) -> str:
    """On the button that takes what an ice-water check has found, K; empty where nothing is to be taken."""
    with spoken(language):
        if offset_c is None:
            return ""
        if not offset_c:
            return say("Correct it no more")
        by = difference(abs(offset_c), unit, 2)
        if offset_c > 0:
            return say("Add {amount} to what it reads", amount=by)
        return say("Take {amount} off what it reads", amount=by)


def take_light(language: str) -> str:
    """On the button that takes what a light check has found."""
    with spoken(language):
        return say("Put it into the set-up")
