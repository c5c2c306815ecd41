"""The levels of what is changed: how they are written, and what animals live through."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from daemon.science.brine import salt_g_in_a_litre
from daemon.science.hatch_needs import MOST_CYSTS_G_PER_L
from daemon.science.hatching import HARDLY_ANY_ABOVE_G_PER_KG, NOT_KNOWN_BELOW_C, STOPS_ABOVE_C
from daemon.science.soda import MOST_SODA_ADVISED_G_PER_L

# Salt that is good for a hatch begins here (FAO 428) [R].
LEAST_SALT_G_PER_KG = 5.0

_MEASURED = re.compile(r"([0-9]{1,9}(?:[.,][0-9]{1,6})?)\s*(.*)")
_BETWEEN_DIGITS = re.compile(r"[0-9]+(?:,[0-9]+)+")
_TWO_THINGS = re.compile(r"\+|&|\b(?:and|und)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Factor:
    """Something that is often changed: its unit, and the numbers that animals are known to live through."""

    unit: str
    least: float
    most: float


# By its key; what nobody listed may be changed as well, and has no unit and no limits.
FACTORS = {
    "salt": Factor(
        "g/L",
        round(salt_g_in_a_litre(LEAST_SALT_G_PER_KG)),
        round(salt_g_in_a_litre(HARDLY_ANY_ABOVE_G_PER_KG)),
    ),
    "warmth": Factor("°C", NOT_KNOWN_BELOW_C, STOPS_ABOVE_C),
    "soda": Factor("g/L", 0.0, MOST_SODA_ADVISED_G_PER_L),
    "cysts": Factor("g/L", 0.0, MOST_CYSTS_G_PER_L),
    "light": Factor("", 0.0, float("inf")),
    "tin": Factor("", 0.0, float("inf")),
}


def separated(text: str) -> list[str]:
    """Levels in one text: a line each, or by semicolons, or where there is none by commas."""
    mark = next((mark for mark in "\n;" if mark in text), ",")
    return [one for part in text.split(mark) if (one := " ".join(part.split()))]


def doubtful_comma(text: str) -> str:
    """In levels separated by commas, the first piece in which a comma stands between two digits: nobody can
    tell whether it parts two levels or a number. Empty where there is none."""
    found = None if "\n" in text or ";" in text else _BETWEEN_DIGITS.search(text)
    return found[0] if found else ""


def with_unit(factor: str, level: str) -> str:
    """A bare number bears the unit of its factor, where that has one."""
    unit = FACTORS[factor].unit if factor in FACTORS else ""
    match = _MEASURED.fullmatch(level)
    return f"{level} {unit}" if unit and match and not match[2] else level


def key_of(factor: str, level: str) -> tuple[float | None, str]:
    """What two writings of one level share: the number and its unit, else the words."""
    text = with_unit(factor, " ".join(level.split())).casefold()
    match = _MEASURED.fullmatch(text)
    return (float(match[1].replace(",", ".")), match[2]) if match else (None, text)


def needs_places(factor: str, levels: Sequence[str]) -> bool:
    """Whether cups of different levels cannot stand side by side on a shelf: where warmth is what differs."""
    return factor == "warmth" or all(measured(one, "°C") is not None for one in levels)


def measured(level: str, unit: str) -> float | None:
    """The number of a level that is one in this unit; None for another."""
    match = _MEASURED.fullmatch(level)
    if match is None or match[2].casefold() != unit.casefold():
        return None
    return float(match[1].replace(",", "."))


def known_of(factor: str, level: str) -> tuple[float | None, float | None]:
    """What a level says of the water itself: its temperature (°C) and the salt in a litre of it (g)."""
    return (
        measured(level, "°C") if factor == "warmth" else None,
        measured(level, "g/L") if factor == "salt" else None,
    )


def unit_of(level: str) -> str | None:
    """What stands behind a level's number; None where it has none."""
    match = _MEASURED.fullmatch(level)
    return None if match is None else match[2]


def names_two_things(levels: Sequence[str]) -> bool:
    """Whether more than one thing seems to be changed: a level of two parts, or units that differ."""
    units = {unit.casefold() for one in levels if (unit := unit_of(one)) is not None}
    return len(units) > 1 or any(_TWO_THINGS.search(one) for one in levels)


def without_amount(factor: str, levels: Sequence[str]) -> list[str]:
    """The levels that tell no number, of what is weighed into a litre."""
    if factor not in FACTORS or FACTORS[factor].unit != "g/L":
        return []
    return [one for one in levels if unit_of(one) is None]


def outside(factor: str, levels: Sequence[str]) -> list[str]:
    """The levels beyond what animals are known to live through, by the sources of `FACTORS`."""
    known = FACTORS.get(factor)
    if known is None:
        return []
    return [one for one in levels if _is_outside(known, one)]


def _is_outside(known: Factor, level: str) -> bool:
    """What is no number of the factor's unit is not judged."""
    number = measured(level, known.unit)
    return number is not None and not known.least <= number <= known.most
