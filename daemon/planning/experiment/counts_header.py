"""The header over a table of counts: its columns in any order, by English or German names."""

import csv
from collections.abc import Sequence
from pathlib import Path

from daemon.errors import InputError
from daemon.input.file import shown

HEADER = ("level", "cup", "of", "hatched")
SHORT_HEADER = (
    "cup",
    "hatched",
)  # of cups that have codes, which say their level, and as many cysts as planned
OPTIONAL = ("hours", "water_c", "salt_g_per_l")
LOST = ("lost", "why")
_EVERY = (*HEADER, *OPTIONAL, *LOST)
_GERMAN = {
    "stufe": "level",
    "becher": "cup",
    "von": "of",
    "geschlüpft": "hatched",
    "geschluepft": "hatched",
    "stunden": "hours",
}


def columns_of(first: str, delimiter: str, where: Path | str, wanted: Sequence[str]) -> tuple[str, ...]:
    """The columns that a table's first line names, as `HEADER`, `OPTIONAL` and `LOST` call them.

    Columns without a name, as spreadsheets leave them behind the others, are "". Raises InputError where one
    of those `wanted` is missing, or one is there that is not known or stands twice.
    """
    names = [_called(name) for name in next(csv.reader([first], delimiter=delimiter), [])]
    named = [name for name in names if name]
    if set(wanted) <= set(named) <= set(_EVERY) and len(set(named)) == len(named):
        return tuple(names)
    beside = (name for name in _EVERY if name not in wanted and (name != "level" or "level" in wanted))
    raise InputError(
        f"{where}:1: found the header {shown(first.strip())}; "
        f"allowed: {','.join(wanted)}, in any order, and beside them some of {', '.join(beside)}"
    )


def _called(name: str) -> str:
    plain = name.strip().casefold()
    return _GERMAN.get(plain, plain)
