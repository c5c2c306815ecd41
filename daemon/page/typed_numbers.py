"""What somebody typed into a form of a plan, whose values stand in the address."""

import re
from collections.abc import Mapping, Sequence
from datetime import time

from daemon.input.file import shown
from daemon.input.typed_number import NotTyped, typed_number
from daemon.page.alarmed_tin import alarmed_tin
from daemon.page.glance import Glance
from daemon.planning.tin_yield import LEAST_SHARE, MOST_SHARE, TinYield, tin_of
from daemon.science.counts import LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G
from daemon.store.tins import counted_hatches
from reports.planning import form
from reports.planning.warned import AlarmedTin, UnknownTin

_HOUR = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])", re.ASCII)
_LONGEST = 80  # as a tin may be called
_ROUNDING = 1e-9


class TypedNumbers:
    """Reads one field after the other; `faults` holds a line for each that is none or out of its limits."""

    def __init__(self, values: Mapping[str, str], language: str, unit: str = "C") -> None:
        """`unit` is that of temperatures, "C" or "F"."""
        self._values, self._language, self._unit = values, language, unit
        self.faults: dict[str, str] = {}
        self.alarmed_tin: AlarmedTin | None = None  # once the tin was read

    def number(self, name: str, limits: tuple[float, float], *units: str) -> float:
        """The number, or its lower limit where something is wrong with it. The first of `units` is named."""
        value = self._typed(name, units, form.no_number(self._language))
        if value is None:
            return limits[0]
        if not limits[0] <= value <= limits[1]:
            self.faults[name] = form.out_of_range(self._language, *limits, *units[:1])
            return limits[0]
        return value

    def number_or_none(self, name: str, limits: tuple[float, float], *units: str) -> float | None:
        """The same for a field that may stay empty."""
        return self.number(name, limits, *units) if self._text(name) else None

    def whole(self, name: str, limits: tuple[float, float]) -> int:
        """The same for what is counted."""
        none = form.no_whole_number(self._language)
        value = self._typed(name, (), none)
        if value is not None and not limits[0] <= value <= limits[1]:
            self.faults[name] = form.out_of_range(self._language, *limits)
        elif value is not None and value != int(value):
            self.faults[name] = none
        elif value is not None:
            return int(value)
        return int(limits[0])

    def water_c(self, name: str, limits_c: tuple[float, float]) -> float:
        """A temperature in °C, typed in the station's unit."""
        low, high = (form.in_unit(end, self._unit) for end in limits_c)
        value = self._typed(name, (f"°{self._unit}", self._unit), form.no_number(self._language))
        if value is None:
            return limits_c[0]
        if not low - _ROUNDING <= value <= high + _ROUNDING:
            self.faults[name] = form.out_of_range(self._language, low, high, f"°{self._unit}")
            return limits_c[0]
        value_c = (value - 32.0) / 1.8 if self._unit == "F" else value
        return min(max(value_c, limits_c[0]), limits_c[1])

    def hour_or_none(self, name: str) -> time | None:
        """A time of day, `08:30`; None where the field is empty or something is wrong with it."""
        if not (text := self._text(name)):
            return None
        if (found := _HOUR.fullmatch(text)) is None:
            self.faults[name] = form.no_hour(self._language)
            return None
        return time(int(found[1]), int(found[2]))

    def tin(self, glance: Glance) -> TinYield:
        """What is known of a tin: by its name, by a share of 100 that hatched, by cysts in a gram."""
        percent = self.number_or_none("share", (100.0 * LEAST_SHARE, 100.0 * MOST_SHARE), "%")
        per_g = self.number_or_none("cysts_per_g", (LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G))
        share = None if percent is None else percent / 100.0
        lot, station = self._values.get("lot", ""), glance.station
        hatches = counted_hatches(glance.connection, station, lot, glance.at) if lot else ()
        self.alarmed_tin = alarmed_tin(lot, hatches)
        return tin_of(station, lot, glance.at, per_g, share, hatches)

    def _typed(self, name: str, units: tuple[str, ...], none: str) -> float | None:
        """The number, None where there is a fault; `none` is the line of what is no number."""
        text = self._text(name)
        try:
            return typed_number(text, units, form.decimal_mark(self._language))
        except NotTyped as fault:
            self.faults[name] = none
            if fault.why == "unit" and units:
                self.faults[name] = form.other_unit(self._language, shown(text), units[0])
            elif fault.why == "either":
                self.faults[name] = form.either(self._language, shown(text), fault.meant)
            return None

    def _text(self, name: str) -> str:
        return self._values.get(name, "").strip()


def unknown_lot(values: Mapping[str, str], tins: Sequence[str]) -> UnknownTin | None:
    """The tin that somebody wrote into the address by hand and nobody knows; None where it is known."""
    lot = values.get("lot", "")[:_LONGEST]
    if not lot or lot in tins:
        return None
    from daemon.care.tin_name import tin_like  # an address written by hand

    return UnknownTin(lot, tuple(tins), tin_like(lot, tins))


def typed(args: Mapping[str, str], defaults: Mapping[str, str]) -> dict[str, str]:
    """What stands in the address for each field, cut short, or its default."""
    return {name: args.get(name, default)[:_LONGEST] for name, default in defaults.items()}


def filled_in(language: str, value: float, digits: int = 2) -> str:
    """A default as the language writes it; never so many decimals that it may be taken for thousands."""
    return form.as_typed(language, round(value, digits))


def filled_in_water(language: str, unit: str, water_c: float) -> str:
    """A temperature as a default, in the station's unit."""
    return form.as_typed(language, round(form.in_unit(water_c, unit), 1))
