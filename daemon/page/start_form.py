"""The form of a planned start, as it was sent: the lesson, what it is planned with, faults by field."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time

from daemon.care.spoken_amount import decimal_point
from daemon.hours import Span, moment
from daemon.input.csv import read_number
from daemon.input.file import shown
from daemon.page.glance import Glance
from daemon.planning.stated_warmth import StatedWarmth
from daemon.planning.wanted import AHEAD_MOST_S, is_skipped
from daemon.station import Vessel
from reports.page.doing.refusals import temperature_range
from reports.page.starts import form
from reports.page.starts.form import (
    DAY,
    FIELDS,
    FROM,
    HATCHING,
    LOT,
    NIGHT,
    SEE,
    SWIMMING,
    TO,
    VESSEL,
    WATER,
)

LIMITS_C = (0.0, 45.0)
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])(?::[0-5][0-9])?", re.ASCII)


@dataclass(frozen=True, slots=True)
class FilledStart:
    """What was filled in, by field; what is wrong; the lesson, None where something is or nothing was sent.

    `stated` is None where the water is to be as learned.
    """

    values: Mapping[str, str]
    vessel: Vessel
    lot: str | None
    stated: StatedWarmth | None = None
    lesson: Span | None = None
    faults: Mapping[str, str] = field(default_factory=dict)

    @property
    def swimming(self) -> bool:
        """Whether animals are to swim in the lesson already."""
        return self.values[SEE] == SWIMMING


def filled_start(glance: Glance, sent: Mapping[str, str], lots: frozenset[str]) -> FilledStart:
    """By what an address holds. A vessel or tin that is none counts as the first, and as any."""
    values = {name: sent.get(name, "").strip() for name in FIELDS}
    vessel = glance.station.vessel(values[VESSEL]) or glance.station.vessels[0]
    lot = values[LOT] if values[LOT] in lots else ""
    values |= {VESSEL: vessel.id, LOT: lot}
    if values[SEE] not in (HATCHING, SWIMMING):
        values[SEE] = HATCHING
    if not any(values[name] for name in (DAY, FROM, TO, WATER)):
        return FilledStart(values, vessel, lot or None)
    faults: dict[str, str] = {}
    lesson = _lesson(glance, values, faults)
    stated = None if is_learned(glance, values) else _stated(glance, values, faults)
    return FilledStart(values, vessel, lot or None, stated, None if faults else lesson, faults)


def is_learned(glance: Glance, values: Mapping[str, str]) -> bool:
    """Whether the water is as the station has learned it: one that runs, where nobody typed how warm."""
    return glance.watched and not glance.played and not (values.get(WATER) or values.get(NIGHT))


def _lesson(glance: Glance, values: Mapping[str, str], faults: dict[str, str]) -> Span:
    day = _parsed(glance, values, DAY, "day", faults)
    began, ended = (_parsed(glance, values, name, "time", faults) for name in (FROM, TO))
    if not isinstance(day, date) or not isinstance(began, time) or not isinstance(ended, time):
        return 0, 0
    for name, clock in ((FROM, began), (TO, ended)):
        if is_skipped(day, clock, glance.station.timezone):
            faults[name] = form.wrong(glance.setting, "skipped")
    span = moment(day, began, glance.station.timezone), moment(day, ended, glance.station.timezone)
    if span[1] <= span[0]:
        faults[TO] = form.wrong(glance.setting, "order")
    elif span[0] <= glance.at:
        faults[DAY] = form.wrong(glance.setting, "past")
    elif span[1] - glance.at > AHEAD_MOST_S:
        faults[DAY] = form.wrong(glance.setting, "far")
    return span


def _parsed(
    glance: Glance, values: Mapping[str, str], name: str, kind: str, faults: dict[str, str]
) -> date | time | None:
    text = values[name]
    if not text:
        faults[name] = form.wrong(glance.setting, "missing")
        return None
    try:
        if kind == "time":
            if (clock := _CLOCK.fullmatch(text)) is not None:
                return time(int(clock[1]), int(clock[2]))
        elif 1971 < (day := date.fromisoformat(text)).year < 2199:  # what a store may hold
            return day
    except ValueError:
        pass
    faults[name] = form.wrong(glance.setting, kind)
    return None


def _stated(glance: Glance, values: Mapping[str, str], faults: dict[str, str]) -> StatedWarmth | None:
    if not values[WATER]:
        faults[WATER] = form.wrong(glance.setting, "missing")
        return None
    day_c, night_c = (_water_c(glance, values, name, faults) for name in (WATER, NIGHT))
    return None if day_c is None else StatedWarmth(day_c, night_c)


def _water_c(glance: Glance, values: Mapping[str, str], name: str, faults: dict[str, str]) -> float | None:
    text, fahrenheit = values[name], glance.setting.unit == "F"
    if not text:
        return None
    low, high = LIMITS_C
    try:
        number = read_number(decimal_point(text))
        water_c = (number - 32.0) / 1.8 if fahrenheit else number
        if low <= water_c <= high:
            return water_c
    except ValueError:
        pass
    ends = (low * 1.8 + 32.0, high * 1.8 + 32.0) if fahrenheit else LIMITS_C
    faults[name] = temperature_range(glance.setting, shown(text), ends)
    return None
