"""Counts from a CSV that a person wrote: a row a cup.

By commas, with a point in decimals; or by semicolons, with a comma or a point in decimals, as spreadsheets of
other countries write it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import chain
from pathlib import Path

from daemon.errors import InputError
from daemon.input.csv import MOMENT_ALLOWED, NUMBER_ALLOWED, Faults, read_moment, read_number, rows_of
from daemon.input.file import read_lines, shown
from daemon.planning.experiment.counts import (
    WHY_LOST,
    Counts,
    CupCount,
    LostCup,
    faults_of,
    faults_together,
)
from daemon.planning.experiment.level import known_of

HEADER = ("level", "cup", "of", "hatched")
CODES_HEADER = HEADER[1:]  # of cups that have codes, which say their level
OPTIONAL = ("hours", "water_c", "salt_g_per_l")
LOST = ("lost", "why")
WHOLE_ALLOWED = "a whole number, such as 50"


def read_counts(path: Path) -> Counts:
    """The counts in a file. Raises InputError with file and line for every fault."""
    lost: list[LostCup] = []
    return Counts(tuple(_read(read_lines(path), path, None, "", lost)), tuple(lost))


def read_cups(
    lines: Iterable[str], where: Path | str, factor: str, level_of: Mapping[str, str]
) -> list[CupCount]:
    """Counts of an experiment's cups, by their codes, from lines that come from `where`.

    `factor` is what is changed, `level_of` has each code's level: the column `level` may be left out, and
    what else is said of a cup must be as it was set. A row without a number that hatched is not counted yet.
    Raises InputError with place and line for every fault.
    """
    return _read(lines, where, level_of, factor, [])


def _read(
    lines: Iterable[str],
    where: Path | str,
    level_of: Mapping[str, str] | None,
    factor: str,
    lost: list[LostCup],
) -> list[CupCount]:
    lines = iter(lines)
    first = next(lines, "")
    by_semicolons = ";" in first and "," not in first
    coded = level_of is not None and first.lstrip('"').startswith(CODES_HEADER[0])
    header = CODES_HEADER if coded else HEADER
    faults, cups, numbers = Faults(), [], []
    rows = rows_of(
        chain([first] if first else [], lines),
        where,
        header,
        faults,
        (*OPTIONAL, *LOST),
        ";" if by_semicolons else ",",
    )
    for line, fields in rows:
        texts = [field.strip() for field in (["", *fields] if coded else fields)]
        try:
            if not texts[HEADER.index("hatched")] and (level_of is not None or texts[-2]):
                lost.extend(_lost(texts) if texts[-2] else ())
                continue
            count = _count(texts[: -len(LOST)], level_of, decimal_comma=by_semicolons)
            if level_of is not None:
                count = _as_counted(count, factor)
            cups.append(count)
            numbers.append(line)
            wrong = [f"{field}: {fault}" for field, fault in faults_of(count)]
            wrong += [] if level_of is None else _not_as_set(count, factor, level_of)
        except InputError as error:
            wrong = list(error.faults)
        for fault in wrong:
            faults.add(f"{where}:{line}: {fault}")
    faults.raise_any()
    for row, fault in faults_together(cups):
        faults.add(f"{where}: {fault}" if row is None else f"{where}:{numbers[row]}: {fault}")
    faults.raise_any()
    return cups


def _count(texts: list[str], level_of: Mapping[str, str] | None, *, decimal_comma: bool) -> CupCount:
    level, cup, of, hatched, *others = texts
    faults: list[str] = []
    if level_of is not None:
        cup = cup.upper()
        if cup not in level_of:
            faults.append(f"cup: found {shown(cup)}; allowed: a code of the seat map")
        level = level or level_of.get(cup, "")
    whole = [_whole(name, text, faults) for name, text in (("of", of), ("hatched", hatched))]
    rest = [
        _number(name, text.replace(",", ".") if decimal_comma else text, faults)
        for name, text in zip(OPTIONAL, others, strict=True)
    ]
    if faults:
        raise InputError(*faults)
    return CupCount(level, cup, *whole, *rest)


def _lost(texts: list[str]) -> Iterator[LostCup]:
    """The cup of a row without a count. Raises InputError for a time that is none, and another reason."""
    level, cup, at, why = *texts[:2], *texts[-2:]
    if why and why not in WHY_LOST:
        raise InputError(f"why: found {shown(why)}; allowed: {', '.join(WHY_LOST)}, or nothing")
    try:
        yield LostCup(level, cup, read_moment(at), why or None)
    except ValueError:
        raise InputError(f"lost: found {shown(at)}; allowed: {MOMENT_ALLOWED}, or nothing") from None


def _as_counted(count: CupCount, factor: str) -> CupCount:
    """A temperature that its level says is none that was measured."""
    water_c, _ = known_of(factor, count.level)
    return replace(count, water_c=None) if count.water_c == water_c else count


def _not_as_set(count: CupCount, factor: str, level_of: Mapping[str, str]) -> Iterator[str]:
    """What a row says of a cup otherwise than it was set: another level, another warmth or salt."""
    level = level_of[count.cup]
    if count.level != level:
        yield f"level: found {shown(count.level)}; allowed: {shown(level)}, as it was set"
    _, salt = known_of(factor, level)
    if count.salt_g_per_l not in (None, salt):
        allowed = "nothing" if salt is None else f"{salt:g}, as its level says, or nothing"
        yield f"salt_g_per_l: found {count.salt_g_per_l:g}; allowed: {allowed}"


def _whole(field: str, text: str, faults: list[str]) -> int:
    if text.isascii() and text.isdigit() and len(text) <= 9:
        return int(text)
    faults.append(f"{field}: found {shown(text)}; allowed: {WHOLE_ALLOWED}")
    return 0


def _number(field: str, text: str, faults: list[str]) -> float | None:
    try:
        return read_number(text) if text else None
    except ValueError:
        faults.append(f"{field}: found {shown(text)}; allowed: {NUMBER_ALLOWED}, or nothing")
        return None
