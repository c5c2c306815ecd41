"""Counts from a CSV that a person wrote: a row a cup.

By commas, with a point in decimals; or by semicolons, with a comma or a point in decimals, as spreadsheets of
other countries write it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

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
from daemon.planning.experiment.level import key_of, known_of

if TYPE_CHECKING:  # a result knows no design
    from daemon.planning.experiment.design import ExperimentDesign, Seat

HEADER = ("level", "cup", "of", "hatched")
CODES_HEADER = HEADER[1:]  # of cups that have codes, which say their level
SHORT_HEADER = ("cup", "hatched")  # of as many cysts as were planned
OPTIONAL = ("hours", "water_c", "salt_g_per_l")
LOST = ("lost", "why")
WHOLE_ALLOWED = "a whole number, such as 50"


def read_counts(path: Path) -> Counts:
    """The counts in a file. Raises InputError with file and line for every fault."""
    lost: list[LostCup] = []
    return Counts(tuple(_read(read_lines(path), path, None, lost)), tuple(lost))


@dataclass(frozen=True, slots=True)
class Seats:
    """An experiment's cups: what is changed, each code's level, the cysts planned in each."""

    factor: str
    level_of: Mapping[str, str]
    cysts: int


def known_seats(design: "ExperimentDesign", seats: "Iterable[Seat]") -> Seats:
    """What a table of its counts is held against."""
    return Seats(design.factor, {seat.code: seat.level for seat in seats}, design.cysts)


def read_cups(lines: Iterable[str], where: Path | str, seats: Seats) -> list[CupCount]:
    """Counts of an experiment's cups, by their codes, from lines that come from `where`.

    The columns `level` and `of` may be left out: the code says the level, and of how many is as planned. What
    else is said of a cup must be as it was set; who counts does not know how that is, so no fault tells it.
    A row without a number that hatched is not counted yet. Raises InputError with place and line for every
    fault.
    """
    return _read(lines, where, seats, [])


def _read(
    lines: Iterable[str],
    where: Path | str,
    seats: Seats | None,
    lost: list[LostCup],
) -> list[CupCount]:
    lines = iter(lines)
    first = next(lines, "")
    by_semicolons = ";" in first and "," not in first
    header = HEADER if seats is None else _header_of(first.split(";" if by_semicolons else ","))
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
        texts = [field.strip() for field in _filled_up(header, fields)]
        try:
            if not texts[HEADER.index("hatched")] and (seats is not None or texts[-2]):
                lost.extend(_lost(texts) if texts[-2] else ())
                continue
            count = _count(texts[: -len(LOST)], seats, decimal_comma=by_semicolons)
            wrong = [] if seats is None else list(_not_as_set(count, seats))
            if seats is not None:
                count = _as_counted(count, seats)
            cups.append(count)
            numbers.append(line)
            wrong += [f"{field}: {fault}" for field, fault in faults_of(count)]
        except InputError as error:
            wrong = list(error.faults)
        for fault in wrong:
            faults.add(f"{where}:{line}: {fault}")
    faults.raise_any()
    for row, fault in faults_together(cups):
        faults.add(f"{where}: {fault}" if row is None else f"{where}:{numbers[row]}: {fault}")
    faults.raise_any()
    return cups


def _header_of(columns: Sequence[str]) -> tuple[str, ...]:
    """Which of the headers that may stand over counts of cups with codes is meant."""
    names = [column.strip().strip('"') for column in columns]
    if names[0] != CODES_HEADER[0]:
        return HEADER
    return SHORT_HEADER if names[1:2] == [SHORT_HEADER[1]] else CODES_HEADER


def _filled_up(header: tuple[str, ...], fields: Sequence[str]) -> list[str]:
    """A row with all columns of `HEADER`, and those behind it as they stand."""
    named = dict(zip(header, fields, strict=False))
    return [*(named.get(name, "") for name in HEADER), *fields[len(header) :]]


def _count(texts: list[str], seats: Seats | None, *, decimal_comma: bool) -> CupCount:
    level, cup, of, hatched, *others = texts
    faults: list[str] = []
    if seats is not None:
        cup, of = cup.upper(), of or str(seats.cysts)
        if cup not in seats.level_of:
            faults.append(f"cup: found {shown(cup)}; allowed: a code of the seat map")
        level = level or seats.level_of.get(cup, "")
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


def _as_counted(count: CupCount, seats: Seats) -> CupCount:
    """With its level as it was set. A temperature that its level says is none that was measured."""
    level = seats.level_of[count.cup]
    water_c, _ = known_of(seats.factor, level)
    return replace(count, level=level, water_c=None if count.water_c == water_c else count.water_c)


def _not_as_set(count: CupCount, seats: Seats) -> Iterator[str]:
    """What a row says of a cup otherwise than it was set: another level, another salt."""
    factor, level = seats.factor, seats.level_of[count.cup]
    if key_of(factor, count.level) != key_of(factor, level):
        yield f"level: found {shown(count.level)}; allowed: the level as it was set, or nothing"
    _, salt = known_of(factor, level)
    if count.salt_g_per_l not in (None, salt):
        yield f"salt_g_per_l: found {count.salt_g_per_l:g}; allowed: the salt as it was set, or nothing"


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
