"""Hours and days of the station file as rows of a form: weekdays to tick, a begin, an end.

A row that is wrong stays as it was typed; the file's own check says what is wrong with it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import time

from daemon.config.checks import Refused
from daemon.config.hours_syntax import WEEKDAYS, away, daily, weekly
from daemon.station import DailyHours

_MOST_ROWS = 12
_MORE_ROWS = 2  # empty ones below those that are filled in


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Hours of a day, as two texts such as "08:00"; `days` are weekdays from 0, Monday; `fault` is a line."""

    begins: str = ""
    ends: str = ""
    days: frozenset[int] = frozenset()
    fault: str = ""


@dataclass(frozen=True, slots=True)
class DaysRow:
    """Whole days, as two texts such as "2027-02-15"."""

    first: str = ""
    last: str = ""
    fault: str = field(default="")


def weekly_rows(values: object, faults: Mapping[int, str]) -> list[HoursRow]:
    """The rows of a list such as `attended`, and empty ones; `faults` by the place in the list, from 1 on."""
    rows = []
    for place, value in enumerate(_listed(values), start=1):
        try:
            found = weekly(value)
            row = HoursRow(*_clocks(found.hours), found.weekdays, faults.get(place, ""))
        except Refused:
            days, _, hours = value.partition(" ")
            begins, _, ends = hours.partition("-")
            row = HoursRow(begins, ends, _some_days(days), faults.get(place, ""))
        rows.append(row)
    return rows + [HoursRow()] * _MORE_ROWS


def daily_rows(values: object, faults: Mapping[int, str]) -> list[HoursRow]:
    """The rows of a list such as `lamp`, and an empty one."""
    rows = []
    for place, value in enumerate(_listed(values), start=1):
        try:
            row = HoursRow(*_clocks(daily(value)), fault=faults.get(place, ""))
        except Refused:
            begins, _, ends = value.partition("-")
            row = HoursRow(begins, ends, fault=faults.get(place, ""))
        rows.append(row)
    return [*rows, HoursRow()]


def days_rows(values: object, faults: Mapping[int, str]) -> list[DaysRow]:
    """The rows of a list such as `away`, and empty ones."""
    rows = []
    for place, value in enumerate(_listed(values), start=1):
        first, slash, last = value.partition("/")
        try:
            span = away(value)
            rows.append(DaysRow(span.first.isoformat(), span.last.isoformat(), faults.get(place, "")))
        except Refused:
            rows.append(DaysRow(first, last if slash else first, faults.get(place, "")))
    return rows + [DaysRow()] * _MORE_ROWS


def weekly_typed(form: Mapping[str, str], ticked: Iterable[str], name: str) -> list[str]:
    """What the rows of a form say; `ticked` are its ticked days, such as "2.0" for the Monday of row 2."""
    days: dict[int, set[int]] = {}
    for one in ticked:
        place, _, day = one.partition(".")
        if place.isdecimal() and day.isdecimal() and int(day) < len(WEEKDAYS):
            days.setdefault(int(place), set()).add(int(day))
    found = []
    for row in range(1, _MOST_ROWS + 1):
        hours = _hours(form, name, row)
        if hours or row in days:
            found.append(f"{_days_text(sorted(days.get(row, ())))} {hours}".strip())
    return found


def daily_typed(form: Mapping[str, str], name: str) -> list[str]:
    """What the rows of a form say."""
    return [hours for row in range(1, _MOST_ROWS + 1) if (hours := _hours(form, name, row))]


def days_typed(form: Mapping[str, str], name: str) -> list[str]:
    """What the rows of a form say; a day without a last one is one day."""
    found = []
    for row in range(1, _MOST_ROWS + 1):
        first, last = (form.get(f"{name}-{end}-{row}", "").strip() for end in ("first", "last"))
        if first or last:
            found.append(f"{first}/{last}" if last and last != first else first)
    return found


def faults_by_place(faults: Sequence[tuple[str, str]], path: str) -> dict[int, str]:
    """What is wrong with the entries of a list, by place from 1 on; of the whole list: at its first."""
    found: dict[int, str] = {}
    for where, said in faults:
        place = where.removeprefix(path).strip("[]")
        if where.startswith(f"{path}[") and place.isdecimal():
            found.setdefault(int(place), said)
        elif where == path:
            found.setdefault(1, said)
    return found


def _hours(form: Mapping[str, str], name: str, row: int) -> str:
    begins, ends = (form.get(f"{name}-{end}-{row}", "").strip() for end in ("from", "to"))
    # A browser's clock knows no 24:00: an end at midnight is the day's end.
    ends = "24:00" if begins and ends == "00:00" else ends
    return f"{begins}-{ends}" if begins or ends else ""


def _days_text(days: Sequence[int]) -> str:
    """Weekdays as the file writes them: "Mon-Fri", "Mon,Wed"."""
    runs: list[list[int]] = []
    for day in days:
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    names = [name.capitalize() for name in WEEKDAYS]
    joined = (
        [f"{names[run[0]]}-{names[run[-1]]}"] if len(run) > 2 else [names[day] for day in run] for run in runs
    )
    return ",".join(name for run in joined for name in run)


def _some_days(text: str) -> frozenset[int]:
    return frozenset(WEEKDAYS.index(day) for day in text.lower().split(",") if day in WEEKDAYS)


def _clocks(hours: DailyHours) -> tuple[str, str]:
    return _clock(hours.begins), _clock(hours.ends)


def _clock(at: time) -> str:
    return f"{at:%H:%M}"


def _listed(values: object) -> list[str]:
    return [one for one in values if isinstance(one, str)][:_MOST_ROWS] if isinstance(values, list) else []
