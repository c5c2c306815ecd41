"""What somebody typed, as the station file has it.

What is no number stays as it was typed: the file's own check then says beside the field what was found and
what is allowed.
"""

import re
from collections.abc import Mapping

from daemon.care.spoken_amount import decimal_point, is_either
from daemon.errors import InputError
from daemon.input.csv import read_number

Value = float | int | str | bool | list[str] | None
_UNIT = re.compile(r"(?<=\d)\s*(?:mL|cm[2²]?)$", re.IGNORECASE)
_CM2_PER_SQUARE = 0.785398163397448  # a circle's share of the square around it, π/4


def number(text: str) -> Value:
    """A number, with a point or a comma, and with or without mL or cm behind it; None for nothing."""
    given = _UNIT.sub("", text.strip())
    if not given or is_either(given):
        return given or None
    try:
        return read_number(decimal_point(given))
    except (ValueError, InputError):
        return given


def whole(text: str) -> Value:
    """A whole number; None for nothing."""
    found = number(text)
    return int(found) if isinstance(found, float) and found.is_integer() else found


def line(text: str) -> Value:
    """A line of text without what stands around it; None for nothing."""
    return text.strip() or None


def lines(text: str) -> list[str]:
    """A list, one entry a line, or parted by commas or semicolons; empty ones do not count."""
    for mark in (",", ";"):
        text = text.replace(mark, "\n")
    return [one.strip() for one in text.splitlines() if one.strip()]


def shown(value: object) -> str:
    """A value of the file as it stands in a field; empty for nothing."""
    if value is None or isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, list):
        return "\n".join(str(one) for one in value)
    return str(value)


def round_surface_cm2(across_cm: float) -> float:
    """The surface of a round vessel, cm², from its inner width, cm."""
    return round(_CM2_PER_SQUARE * across_cm**2, 1)


def celsius(value: Value, unit: str) -> Value:
    """A temperature that was typed in the unit, "C" or "F", as the file has it."""
    return round((value - 32) / 1.8, 2) if unit == "F" and isinstance(value, float) else value


def in_unit(value: object, unit: str) -> object:
    """The other way: a temperature of the file in the unit."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return round(float(str(value)) * 1.8 + 32, 1) if unit == "F" and is_number else value


def fields_of(form: Mapping[str, str], *names: str) -> dict[str, str]:
    """What was typed into those fields; empty where they were not sent."""
    return {name: form.get(name, "") for name in names}
