"""Amounts as people say them, `18,5 ml`, `1/2 tsp`, `50%`, `0.2 g/L`, in the unit the care log keeps.

Spoons are metric: a teaspoon of 5 mL, a tablespoon of 15 mL (common practice, no source). Whether the
amount lies in its range is for `daemon.care.log` to say.
"""

import re
from collections.abc import Mapping
from fractions import Fraction

from daemon.care.deed import KINDS
from daemon.errors import InputError
from daemon.input.file import shown

_ONE, _TEASPOON_ML, _TABLESPOON_ML = Fraction(1), Fraction(5), Fraction(15)
# What may be said for a unit of the log, and how many of that it is.
_SAID: Mapping[str, Mapping[str, Fraction]] = {
    "ml": {
        **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), _ONE),
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), Fraction(1000)),
        **dict.fromkeys(("tsp", "teaspoon", "teaspoons", "tl", "teelöffel"), _TEASPOON_ML),
        **dict.fromkeys(("tbsp", "tablespoon", "tablespoons", "el", "esslöffel"), _TABLESPOON_ML),
    },
    "g": {
        **dict.fromkeys(("g", "gram", "grams", "gramm"), _ONE),
        **dict.fromkeys(("mg", "milligram", "milligrams", "milligramm"), Fraction(1, 1000)),
    },
    "fraction": {"fraction": _ONE, **dict.fromkeys(("%", "percent", "prozent"), Fraction(1, 100))},
    "animals": {"animals": _ONE},
    "g_per_kg": dict.fromkeys(("g_per_kg", "g/kg", "ppt", "‰"), _ONE),
    "sg": {"sg": _ONE},
    "": {},
}
_ALLOWED: Mapping[str, str] = {
    "ml": "ml, l, tsp (5 ml), tbsp (15 ml)",
    "g": "g, mg",
    "fraction": "a share such as 0.5, 1/2 or 50%",
    "animals": "a number of animals",
    "g_per_kg": "g/kg",
    "sg": "sg (a specific gravity)",
    "": "1 or 0",
}
_MEASURES = frozenset({"ml", "g", "g_per_kg"})
_LONGEST = 40  # characters
_PER_LITRE = frozenset({"g/l", "g_per_l"})
_SIGNS = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8"}
_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_SHARE = r"[0-9]{1,3}/[1-9][0-9]{0,2}"
_SPOKEN = re.compile(rf"({_NUMBER}|(?:[0-9]{{1,5}} )?{_SHARE}) ?([^\d\s.,+/-]\S*)?")
# Thousands or a decimal? What begins with 0 is a decimal, and so is a specific gravity.
_EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


def amount_in_unit(deed: str, words: str, unit: str | None, volume_ml: float) -> tuple[str, str]:
    """The amount of a deed, and its unit, as the care log writes them.

    `unit` is one that was given apart from the amount; `volume_ml` is the cup's, for cysts in g/L. Raises
    InputError with one line for what is no amount, for a unit that does not fit the deed, and for `1,900`.
    """
    kind = KINDS[deed]
    if not kind.amount:
        return words, unit or ""
    number, said = _read(deed, words)
    if unit is not None and said:
        raise InputError(f"unit: found {shown(said)} and --unit {shown(unit)}; allowed: one of them")
    said = (said if unit is None else unit).strip().casefold()
    if said == "sg" or not is_either(number):
        return _converted(deed, number, said, volume_ml)
    dot = number.replace(",", ".")
    raise InputError(
        f"amount: found {shown(words)}; allowed: {number.replace(',', '')} or {dot.rstrip('0').rstrip('.')}, "
        "whichever is meant"
    )


def is_either(number: str) -> bool:
    """Whether its comma may be meant for thousands or for a decimal: `1,900`."""
    return _EITHER.fullmatch(number) is not None


def decimal_point(text: str) -> str:
    """A number with a decimal comma as one with a point; anything else as it is."""
    return text.replace(",", ".") if re.fullmatch(r"[+-]?[0-9]*,[0-9]+", text.strip()) else text


def _converted(deed: str, number: str, said: str, volume_ml: float) -> tuple[str, str]:
    kind, value = KINDS[deed], _value(number)
    if said in _PER_LITRE and deed == "set":
        return _plain(value * Fraction(volume_ml) / 1000), kind.unit
    if not said:
        return _plain(value), kind.unit
    for own in (kind.unit, *kind.other_units):
        if said in _SAID[own]:
            return _plain(value * _SAID[own][said]), own
    raise InputError(f"unit: found {shown(said)}; allowed for {deed}: {_units(deed)}")


def _read(deed: str, words: str) -> tuple[str, str]:
    """The number as it was said, and the unit after it. Raises InputError."""
    text = "".join(f" {_SIGNS[sign]} " if sign in _SIGNS else sign for sign in words)
    match = _SPOKEN.fullmatch(" ".join(text.split()))
    try:
        if match is None or len(match[0]) > _LONGEST:
            raise ValueError(words)
        float(_value(match[1]))
    except (ValueError, OverflowError):
        raise InputError(f"amount: found {shown(words)}; allowed for {deed}: {_units(deed)}") from None
    return match[1], match[2] or ""


def _value(number: str) -> Fraction:
    return sum((Fraction(part.replace(",", ".")) for part in number.split()), Fraction(0))


def _units(deed: str) -> str:
    kind = KINDS[deed]
    units = [_ALLOWED[unit] for unit in (kind.unit, *kind.other_units)]
    return "a number, in " * (kind.unit in _MEASURES) + ", ".join([*units, *["g/L"] * (deed == "set")])


def _plain(value: Fraction) -> str:
    return repr(float(value)).removesuffix(".0")
