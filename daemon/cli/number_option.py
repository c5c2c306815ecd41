"""Options that take a number: with a decimal comma, and with its unit where one is asked for."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.input.typed_number import NotTyped, celsius, converted_number, typed_number

if TYPE_CHECKING:
    _Floats = click.ParamType[float]
    _Ints = click.ParamType[int]
else:
    _Floats = _Ints = click.ParamType  # takes no type in older releases


WATER_LIMITS_C = (0.0, 45.0)
_MOST = 2**53 - 1  # whole numbers beyond that a store or a request may not take


class Number(_Floats):
    """A number in a `unit` ("" for what has none), such as `example`; raises InputError for what is none.

    `others` are units that are converted.
    """

    name = "number"

    def __init__(
        self,
        unit: str,
        example: str,
        *more_units: str,
        others: Mapping[str, Callable[[float], float]] | None = None,
    ) -> None:
        self._others = others or {}
        self._units = tuple(one for one in (unit, *more_units) if one)
        self._example = example

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """A default passes as it is."""
        if isinstance(value, int | float):
            return float(value)
        try:
            return converted_number(value, self._units, self._others)
        except NotTyped as fault:
            named = " or ".join((*self._units[:1], *self._others))
            unit = f" in {named}" if named else ""
            allowed = f"a number{unit}, such as {self._example}"
            if fault.why == "either":
                allowed = f"{' or '.join(fault.meant)}, whichever is meant"
            raise _refused(param, ctx, value, allowed) from None


class WaterC(Number):
    """How warm water is, in °C or with its unit in °F; raises InputError beyond what any water here is.

    Where a bare number makes sense in °F alone, it says how that is typed.
    """

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """A default passes as it is."""
        water_c = super().convert(value, param, ctx)
        if _is_water(water_c) or not isinstance(value, str):
            return water_c
        typed, (low, high) = value.strip(), WATER_LIMITS_C
        in_f = _is_water(celsius(water_c)) and not typed[-1].isalpha()
        example = f"21.5; in °F with its letter, {typed}F" if in_f else "21.5 or 70F"
        raise _refused(param, ctx, value, f"°C from {low:g} to {high:g}, such as {example}")


def _is_water(water_c: float) -> bool:
    return WATER_LIMITS_C[0] <= water_c <= WATER_LIMITS_C[1]


class OfAHundred(_Floats):
    """A share of 1, as 0.8, 80 or 80 %: a number above 1 is of a hundred. Raises InputError for none."""

    name = "share"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """A default passes as it is."""
        if isinstance(value, int | float):
            return float(value)
        try:
            share = typed_number(value, ("%",))
        except NotTyped:
            share = -1.0
        if not 0.0 <= share <= 100.0:
            raise _refused(param, ctx, value, "a share, such as 0.8, 80 or 80%")
        return share / 100.0 if share > 1.0 or "%" in value else share


class Count(_Ints):
    """A whole number, within limits where there are some; raises InputError for what is none."""

    name = "count"

    def __init__(self, least: int | None = None, most: int | None = None) -> None:
        self._least, self._most = least, most
        if least is None:
            self._allowed = "a whole number, such as 28"
        else:
            self._allowed = f"a whole number from {least}{'' if most is None else f' to {most}'}"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """A default passes as it is."""
        try:
            number = typed_number(value) if isinstance(value, str) else value
            if number == int(number) and self._is_within(int(number)):
                return int(number)
        except NotTyped:
            pass
        raise _refused(param, ctx, value, self._allowed) from None

    def _is_within(self, number: int) -> bool:
        least = -_MOST if self._least is None else self._least
        return least <= number <= (_MOST if self._most is None else self._most)


def _refused(
    param: click.Parameter | None, ctx: click.Context | None, value: Any, allowed: str
) -> InputError:
    names: list[str] = []
    while ctx is not None and ctx.parent is not None:  # the program's own name is none of them
        names.insert(0, ctx.info_name or "")
        ctx = ctx.parent
    command = " ".join(names)
    option = ""
    if param is not None:
        option = param.human_readable_name if isinstance(param, click.Argument) else param.opts[0]
    return InputError(f"{command}: {option}: found {shown(value)}; allowed: {allowed}")


ML = Number("mL", "200", "ml", others={"L": lambda litres: 1000.0 * litres})
GRAMS = Number("g", "0.5", "gram", "grams")
G_PER_L = Number("g/L", "25")
WATER_C = WaterC("°C", "21.5", "C", others={"°F": celsius})
HOURS = Number("h", "48", "hour", "hours")
PLAIN = Number("", "50")
SHARE = Number("", "0.76")
KEPT_AS = Count(1)  # what the store numbered
