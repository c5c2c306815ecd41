"""Counts from a CSV that a person wrote: a row a cup."""

from pathlib import Path

from daemon.errors import InputError
from daemon.input.csv import NUMBER_ALLOWED, Faults, read_number, read_rows
from daemon.input.file import shown
from daemon.planning.experiment.counts import Counts, CupCount, faults_of, faults_together

HEADER = ("level", "cup", "of", "hatched")
OPTIONAL = ("hours", "water_c", "salt_g_per_l")
WHOLE_ALLOWED = "a whole number, such as 50"


def read_counts(path: Path) -> Counts:
    """The counts in a file. Raises InputError with file and line for every fault."""
    faults = Faults()
    cups: list[CupCount] = []
    lines: list[int] = []
    for line, fields in read_rows(path, HEADER, faults, OPTIONAL):
        try:
            count = _count(fields)
            cups.append(count)
            lines.append(line)
            wrong = [f"{field}: {fault}" for field, fault in faults_of(count)]
        except InputError as error:
            wrong = list(error.faults)
        for fault in wrong:
            faults.add(f"{path}:{line}: {fault}")
    faults.raise_any()
    for row, fault in faults_together(cups):
        faults.add(f"{path}: {fault}" if row is None else f"{path}:{lines[row]}: {fault}")
    faults.raise_any()
    return Counts(tuple(cups))


def _count(fields: list[str]) -> CupCount:
    level, cup, of, hatched, *others = (field.strip() for field in fields)
    faults: list[str] = []
    whole = [_whole(name, text, faults) for name, text in (("of", of), ("hatched", hatched))]
    rest = [_number(name, text, faults) for name, text in zip(OPTIONAL, others, strict=True)]
    if faults:
        raise InputError(*faults)
    return CupCount(level, cup, *whole, *rest)


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
