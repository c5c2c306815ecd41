"""Reading numbers and moments out of a letter's words."""

import re
from datetime import datetime

from tests.kit.invariants.phrases import MOMENT

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
_NAMED = {"yesterday": -1, "today": 0, "tomorrow": 1}
MINUTE = "%Y-%m-%d %H:%M"


def number(text: str) -> float:
    """A number as letters write it, with a true minus sign."""
    return float(text.replace("−", "-"))


def celsius(text: str, unit: str) -> float:
    """A temperature in °C from a letter's number and unit."""
    value = number(text)
    return value if unit == "C" else (value - 32.0) / 1.8


def minute(text: str, written: datetime) -> str:
    """A moment of a letter as its local minute, `2027-02-08 14:30`; `written` is the letter's own."""
    match = re.fullmatch(
        r"(?:on )?(?:(today|tomorrow|yesterday)|\w+day (\d+) (\w+)(?: (\d{4}))?) at (\d\d:\d\d)", text
    )
    assert match is not None, f"no moment: {text}"
    named, day, month, year, clock = match.groups()
    if named:
        date = datetime.fromordinal(written.date().toordinal() + _NAMED[named]).date()
        return f"{date} {clock}"
    return f"{year or written.year}-{_MONTHS.index(month) + 1:02d}-{int(day):02d} {clock}"


def shown(at: datetime) -> str:
    """A moment as its local minute."""
    return at.strftime(MINUTE)


def minutes_apart(one: str, other: str) -> float:
    """Between two local minutes; a change of the clocks between them counts as none."""
    apart = datetime.strptime(one, MINUTE) - datetime.strptime(other, MINUTE)  # noqa: DTZ007 - both local
    return apart.total_seconds() / 60


def moments(text: str) -> list[str]:
    """All moments in a text."""
    return re.findall(MOMENT, text)
