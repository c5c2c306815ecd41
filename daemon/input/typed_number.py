"""A number as somebody typed or pasted it: `200`, `0,5`, `200 mL`, with the unit that is asked for."""

import re
from collections.abc import Callable, Mapping, Sequence

_NUMBER = r"[+-]?(?:[0-9]{1,12}(?:[.,][0-9]{0,9})?|[.,][0-9]{1,9})(?:[eE][+-]?[0-9]{1,2})?"
_TYPED = re.compile(rf"({_NUMBER})\s*([^\d\s.,+-]\S*)?", re.ASCII)
# Thousands or a decimal? What begins with 0 is a decimal.
_EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2}([.,])[0-9]{3}", re.ASCII)


class NotTyped(ValueError):
    """What was typed is none that is asked for: "number", "unit" (another one), or "either".

    `meant` are the two that it may be, as where `1,500` is one and a half or fifteen hundred.
    """

    def __init__(self, why: str, meant: tuple[str, str] = ("", "")) -> None:
        super().__init__(why)
        self.why, self.meant = why, meant


def typed_number(text: str, units: Sequence[str] = (), decimal_mark: str = ".") -> float:
    """The number; it may be followed by one of `units`, in any case. Raises NotTyped.

    A comma and a point are decimal marks, but where three figures follow a comma, or the point of a language
    whose `decimal_mark` is a comma, nobody knows.
    """
    found = _TYPED.fullmatch(text.strip())
    if found is None:
        raise NotTyped("number")
    number, unit = found[1], found[2] or ""
    if unit and unit.casefold() not in {one.casefold() for one in units}:
        raise NotTyped("unit")
    either = _EITHER.fullmatch(number)
    if either is not None and "," in (either[1], decimal_mark):
        decimal = number.replace(",", ".").rstrip("0").rstrip(".")
        raise NotTyped("either", (number.replace(either[1], ""), decimal))
    return float(number.replace(",", "."))


def converted_number(
    text: str, units: Sequence[str], others: Mapping[str, Callable[[float], float]]
) -> float:
    """The same in one of `units`, or in another one, of which `others` says how it is converted."""
    try:
        return typed_number(text, units)
    except NotTyped as fault:
        for unit, convert in others.items() if fault.why == "unit" else ():
            try:
                return convert(typed_number(text, (unit, unit.lstrip("°"))))
            except NotTyped:
                continue
        raise


def celsius(fahrenheit: float) -> float:
    """°F in °C."""
    return (fahrenheit - 32.0) / 1.8
