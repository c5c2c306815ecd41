"""Numbers that somebody typed into a form whose values stand in the address."""

import re
from collections.abc import Mapping

from reports.planning import form

_NUMBER = re.compile(r"[0-9]{1,12}(?:[.,][0-9]{1,9})?|[.,][0-9]{1,9}")
_LONGEST = 40


class TypedNumbers:
    """Reads one field after the other; `faults` holds a line for each that is none or out of its limits."""

    def __init__(self, values: Mapping[str, str], language: str) -> None:
        self._values, self._language = values, language
        self.faults: dict[str, str] = {}

    def number(self, name: str, limits: tuple[float, float]) -> float:
        """The number, or its lower limit where something is wrong with it."""
        text = self._values.get(name, "").strip()
        if not _NUMBER.fullmatch(text) or not text.isascii():
            self.faults[name] = form.no_number(self._language)
            return limits[0]
        value = float(text.replace(",", "."))
        if not limits[0] <= value <= limits[1]:
            self.faults[name] = form.out_of_range(self._language, *limits)
            return limits[0]
        return value

    def number_or_none(self, name: str, limits: tuple[float, float]) -> float | None:
        """The same for a field that may stay empty."""
        return self.number(name, limits) if self._values.get(name, "").strip() else None


def typed(args: Mapping[str, str], defaults: Mapping[str, str]) -> dict[str, str]:
    """What stands in the address for each field, cut short, or its default."""
    return {name: args.get(name, default)[:_LONGEST] for name, default in defaults.items()}
