"""The form of a tin's test, as it was sent: its fields as a test, each fault beside its field."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from daemon.input.file import shown
from daemon.input.typed_number import NotTyped, typed_number
from daemon.page.deeds.checked import in_words
from daemon.page.glance import Glance
from daemon.planning.hatched_by import LEAST_C, MOST_C
from daemon.planning.tin_test import TinTest, faults_of
from reports.page.doing import checked as words
from reports.page.doing.refusals import semicolon, temperature_range
from reports.page.tins.test_form import FIELDS, FULL_LEFT, HATCHED, HOURS, LOT, PUT, UMBRELLA, WATER
from reports.planning.form import decimal_mark

_NAMES = {
    "put": PUT,
    "hatched": HATCHED,
    "hours": HOURS,
    "water_c": WATER,
    "umbrella": UMBRELLA,
    "full_left": FULL_LEFT,
}
_COUNTED = (PUT, HATCHED, UMBRELLA, FULL_LEFT)
_NUMBER = "a plain number with a decimal point, such as 21.5"
_WHOLE = "a whole number, such as 21"
_HOURS = ("h", "hour", "hours", "Std.", "Stunde", "Stunden")
_NONE = float("nan")  # stands for what is no number, which has a fault of its own


@dataclass(frozen=True, slots=True)
class FilledTest:
    """What was typed, by field; what is wrong; and the test, None where something is or nothing was typed."""

    values: Mapping[str, str]
    faults: Mapping[str, str] = field(default_factory=dict)
    test: TinTest | None = None
    lot: str = ""


def filled_test(glance: Glance, sent: Mapping[str, str], lots: frozenset[str]) -> FilledTest:
    """By what an address or a form holds; a tin that is none of `lots` counts as another."""
    values = {name: sent.get(name, "").strip() for name in FIELDS}
    lot = values[LOT] if values[LOT] in lots else ""
    values[LOT] = lot
    if not any(values[name] for name in _NAMES.values()) and PUT not in sent:
        return FilledTest(values, lot=lot)
    faults: dict[str, str] = {}
    numbers = {name: _number(glance, name, values[name], faults) for name in _NAMES.values()}
    for name in (PUT, HATCHED):
        if not values[name]:
            faults[name] = words.missing(glance.language)
    water = numbers[WATER]
    in_c = (water - 32.0) / 1.8 if water is not None and glance.setting.unit == "F" else water
    stages = (None if numbers[name] is None else _whole(numbers[name]) for name in (UMBRELLA, FULL_LEFT))
    test = TinTest(_whole(numbers[PUT]), _whole(numbers[HATCHED]), numbers[HOURS], in_c, *stages)
    for key, line in faults_of(test).items():
        faults.setdefault(_NAMES[key], _fault(glance, key, line, values))
    return FilledTest(values, faults, None if faults else test, lot)


def kept_words(glance: Glance, sent: Mapping[str, str]) -> tuple[dict[str, Any] | None, str]:
    """What the daemon is asked to keep, None where something is wrong; and what is wrong with the name."""
    test, lot = filled_test(glance, sent, frozenset()).test, sent.get(LOT, "").strip()
    fault = "" if lot else words.missing(glance.language)
    if ";" in lot:
        fault = semicolon(glance.setting)
    if fault or test is None or test.hours is None:
        return None, fault
    return {"ask": "tin keep", "lot": lot, **asdict(test)}, ""


def _number(glance: Glance, name: str, typed: str, faults: dict[str, str]) -> float | None:
    if not typed:
        return None
    unit, counted = glance.setting.unit, name in _COUNTED
    units = {HOURS: _HOURS, WATER: (f"°{unit}", unit)}.get(name, ())
    try:
        number = typed_number(typed, units, decimal_mark(glance.language))
        if not counted or number == int(number):
            return number
        allowed = _WHOLE
    except NotTyped as fault:
        allowed = _WHOLE if counted else _NUMBER
        if fault.why == "unit" and units:
            allowed = f"a number, in {units[0]}"
        elif fault.why == "either":
            allowed = f"{' or '.join(fault.meant)}, whichever is meant"
    faults[name] = _said(glance, f"found {shown(typed)}; allowed: {allowed}")
    return _NONE


def _whole(number: float | None) -> int:
    return -1 if number is None or number != number else int(number)


def _fault(glance: Glance, key: str, line: str, values: Mapping[str, str]) -> str:
    if line.startswith("none"):
        return words.missing(glance.language)
    if key == "water_c":
        fahrenheit = glance.setting.unit == "F"
        ends = tuple(c * 1.8 + 32.0 if fahrenheit else c for c in (LEAST_C, MOST_C))
        return temperature_range(glance.setting, shown(values[WATER]), (ends[0], ends[1]))
    return _said(glance, line)


def _said(glance: Glance, line: str) -> str:
    said = in_words(glance, line)
    return said[:1].upper() + said[1:]
