"""Numbers in words: what is none, what decimal mark, and how a range is told."""

import math
from collections.abc import Sequence

from reports.tongue import say, say_in


def not_known() -> str:
    """What stands for a value that is none."""
    return say("not known")


def number(value: float, digits: int = 0) -> str:
    """A number with a true minus sign and no minus before a zero; a value that is none is "not known"."""
    return in_decimals(plain_number(value, digits))


def in_decimals(told: str) -> str:
    """A number that is told with a decimal point, with the decimal mark of the language."""
    return told.replace(".", say_in("decimal mark", "."))


def plain_number(value: float, digits: int = 0) -> str:
    """The same with a decimal point in every language, for lines that a program reads."""
    if not math.isfinite(value):
        return not_known()
    if abs(value) >= 1e6:
        return f"{value:.1e}".replace("-", "−")
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")


def with_unit(told: str, unit: str) -> str:
    """The number with its unit; "not known" has none."""
    return told if told == not_known() else f"{told} {unit}"


def between(ends: Sequence[str], unit: str) -> str:
    """ "between 17.5 and 19.0 °C, most likely 18.2 °C"; `ends` are low, likely, high."""
    low, likely, high = ends
    if not_known() in ends:
        return not_known()
    if low == high:
        return say("about {value}", value=f"{likely} {unit}")
    return say(
        "between {low} and {high}, most likely {likely}",
        low=low,
        high=f"{high} {unit}",
        likely=f"{likely} {unit}",
    )
