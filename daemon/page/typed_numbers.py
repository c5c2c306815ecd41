"""What somebody typed into a form of a plan, whose values stand in the address."""

import re
from collections.abc import Mapping
from datetime import time

from daemon.page.glance import Glance
from daemon.planning.tin_yield import LEAST_SHARE, MOST_SHARE, TinYield, tin_of
from daemon.science.counts import LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G
from daemon.store.tins import counted_hatches
from reports.planning import form

_NUMBER = re.compile(r"[0-9]{1,12}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9}", re.ASCII)
_HOUR = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])", re.ASCII)
_LONGEST = 40


class TypedNumbers:
    """Reads one field after the other; `faults` holds a line for each that is none or out of its limits."""

    def __init__(self, values: Mapping[str, str], language: str) -> None:
        self._values, self._language = values, language
        self.faults: dict[str, str] = {}

    def number(self, name: str, limits: tuple[float, float]) -> float:
        """The number, or its lower limit where something is wrong with it."""
        text = self._text(name)
        if not _NUMBER.fullmatch(text):
            self.faults[name] = form.no_number(self._language)
            return limits[0]
        value = float(text.replace(",", "."))
        if not limits[0] <= value <= limits[1]:
            self.faults[name] = form.out_of_range(self._language, *limits)
            return limits[0]
        return value

    def number_or_none(self, name: str, limits: tuple[float, float]) -> float | None:
        """The same for a field that may stay empty."""
        return self.number(name, limits) if self._text(name) else None

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
        percent = self.number_or_none("share", (100.0 * LEAST_SHARE, 100.0 * MOST_SHARE))
        per_g = self.number_or_none("cysts_per_g", (LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G))
        share = None if percent is None else percent / 100.0
        lot, station = self._values.get("lot", ""), glance.station
        hatches = counted_hatches(glance.connection, station, lot, glance.at) if lot else ()
        return tin_of(station, lot, glance.at, per_g, share, hatches)

    def _text(self, name: str) -> str:
        return self._values.get(name, "").strip()


def typed(args: Mapping[str, str], defaults: Mapping[str, str]) -> dict[str, str]:
    """What stands in the address for each field, cut short, or its default."""
    return {name: args.get(name, default)[:_LONGEST] for name, default in defaults.items()}
