"""Options that take a number: with a decimal comma, and with its unit where one is asked for."""

from typing import TYPE_CHECKING, Any

import click

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.input.typed_number import NotTyped, typed_number

if TYPE_CHECKING:
    _Floats = click.ParamType[float]
    _Ints = click.ParamType[int]
else:
    _Floats = _Ints = click.ParamType  # takes no type in older releases


class Number(_Floats):
    """A number in a `unit` ("" for what has none), such as `example`; raises InputError for what is none."""

    name = "number"

    def __init__(self, unit: str, example: str, *more_units: str) -> None:
        self._units = tuple(one for one in (unit, *more_units) if one)
        self._example = example

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """A default passes as it is."""
        if isinstance(value, int | float):
            return float(value)
        try:
            return typed_number(value, self._units)
        except NotTyped as fault:
            unit = f" in {self._units[0]}" if self._units else ""
            allowed = f"a number{unit}, such as {self._example}"
            if fault.why == "either":
                allowed = f"{' or '.join(fault.meant)}, whichever is meant"
            raise _refused(param, ctx, value, allowed) from None


class Count(_Ints):
    """A whole number; raises InputError for what is none."""

    name = "count"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """A default passes as it is."""
        try:
            number = typed_number(value) if isinstance(value, str) else value
            if number == int(number):
                return int(number)
        except NotTyped:
            pass
        raise _refused(param, ctx, value, "a whole number, such as 28") from None


def _refused(
    param: click.Parameter | None, ctx: click.Context | None, value: Any, allowed: str
) -> InputError:
    names: list[str] = []
    while ctx is not None and ctx.parent is not None:  # the program's own name is none of them
        names.insert(0, ctx.info_name or "")
        ctx = ctx.parent
    command = " ".join(names)
    option = param.opts[0] if param else ""
    return InputError(f"{command}: {option}: found {shown(value)}; allowed: {allowed}")


ML = Number("mL", "200", "ml")
GRAMS = Number("g", "0.5", "gram", "grams")
G_PER_L = Number("g/L", "25")
WATER_C = Number("°C", "21.5", "C")
HOURS = Number("h", "48", "hour", "hours")
PLAIN = Number("", "50")
SHARE = Number("", "0.76")
