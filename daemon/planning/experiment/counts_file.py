"""Counts from a CSV that a person wrote: a row a cup.

Its columns stand in any order. By commas, with a point in decimals; or by semicolons, with a comma or a
point in decimals, as spreadsheets of other countries write it.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
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
from daemon.planning.experiment.counts_header import HEADER, LOST, OPTIONAL, SHORT_HEADER, columns_of
from daemon.planning.experiment.level import key_of, known_of

if TYPE_CHECKING:  # a result knows no design
    from daemon.planning.experiment.design import ExperimentDesign, Seat

WHOLE_ALLOWED = "a whole number, such as 50"
# As a spreadsheet may write it; three noughts behind the point may be thousands.
_WHOLE = re.compile(r"([0-9]{1,9})(?:\.0{1,2})?")


def read_counts(path: Path) -> Counts:
    """The counts in a file. Raises InputError with file and line for every fault."""
    lost: list[LostCup] = []
    blank: list[tuple[str, str]] = []
    cups = _read(read_lines(path), path, None, lost, blank)
    counted = {(cup.level, cup.cup) for cup in cups}
    uncounted = dict.fromkeys(one for one in blank if one not in counted)
    return Counts(tuple(cups), tuple(lost), tuple(uncounted))


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
    return _read(lines, where, seats, [], [])


def _read(
    lines: Iterable[str],
    where: Path | str,
    seats: Seats | None,
    lost: list[LostCup],
    uncounted: list[tuple[str, str]],
) -> list[CupCount]:
    """The counts; rows without one go into `lost` and `uncounted`."""
    lines = iter(lines)
    first = next(lines, "")
    by_semicolons = ";" in first and "," not in first
    mark = ";" if by_semicolons else ","
    wanted: tuple[str, ...] = HEADER if seats is None else SHORT_HEADER
    header = wanted
    if first:
        header = columns_of(first, mark, where, wanted)
    faults, cups, numbers = Faults(), [], []
    # The columns by the names that they have here.
    rows = rows_of(chain([f"{mark.join(header)}\n"] if first else [], lines), where, header, faults, (), mark)
    for line, fields in rows:
        named = dict(zip(header, fields, strict=True))
        texts = [named.get(name, "").strip() for name in (*HEADER, *OPTIONAL, *LOST)]
        if not any(texts):  # as spreadsheets leave rows behind the others
            continue
        try:
            if not texts[HEADER.index("hatched")] and (seats is not None or texts[-2]):
                lost.extend(_lost(texts) if texts[-2] else ())
                continue
            if not texts[HEADER.index("hatched")] and texts[0] and texts[1]:
                uncounted.append((texts[0], texts[1]))
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


def _count(texts: list[str], seats: Seats | None, *, decimal_comma: bool) -> CupCount:
    level, cup, of, hatched, *others = texts
    faults: list[str] = []
    if seats is not None:
        cup, of = cup.upper(), of or str(seats.cysts)
        if cup not in seats.level_of:
            faults.append(f"cup: found {shown(cup)}; allowed: a code of the seat map")
        level = level or seats.level_of.get(cup, "")
    whole = [
        _whole(name, text.replace(",", ".") if decimal_comma else text, faults)
        for name, text in (("of", of), ("hatched", hatched))
    ]
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
    if match := _WHOLE.fullmatch(text):
        return int(match[1])
    faults.append(f"{field}: found {shown(text)}; allowed: {WHOLE_ALLOWED}")
    return 0


def _number(field: str, text: str, faults: list[str]) -> float | None:
    try:
        return read_number(text) if text else None
    except ValueError:
        faults.append(f"{field}: found {shown(text)}; allowed: {NUMBER_ALLOWED}, or nothing")
        return None
