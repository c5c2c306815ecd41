"""Reading a CSV that a person wrote: a fixed header, then rows with their line numbers and faults."""

import csv
import math
import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from daemon.errors import InputError
from daemon.input.file import read_lines, shown

FAULTS_SHOWN = 10
MAX_FIELD_CHARACTERS = 2000
MOMENT_ALLOWED = "a time from 1970 to 2199 with its offset (RFC 3339), such as 2027-02-12T15:30:00+00:00"
NUMBER_ALLOWED = "a plain number with a decimal point, such as 21.5"

LAST_S = 7_258_118_399  # 2199-12-31T23:59:59Z

_MOMENT = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ]([0-9]{2}:[0-9]{2}:[0-9]{2})(?:\.[0-9]{1,9})?"
    r"([Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


class Faults:
    """The faults of one file, in order: the first ten are kept, the rest are counted."""

    def __init__(self) -> None:
        self._first: list[str] = []
        self._count = 0

    def add(self, fault: str) -> None:
        """Note one fault, a whole line."""
        self._count += 1
        if self._count <= FAULTS_SHOWN:
            self._first.append(fault)

    def raise_any(self) -> None:
        """Raise InputError when there was a fault."""
        if self._count > FAULTS_SHOWN:
            self._first.append(f"and {self._count - FAULTS_SHOWN} more")
        if self._first:
            raise InputError(*self._first)


def read_moment(text: str) -> int:
    """RFC 3339 with an offset to whole Unix seconds, a fraction cut off. Raises ValueError.

    Source: RFC 3339, section 5.6 (a blank for the T is allowed there; a leap second is not read).
    """
    match = _MOMENT.fullmatch(text)
    if match is None:
        raise ValueError(text)
    day, clock, offset = match.groups()
    at = datetime.fromisoformat(f"{day}T{clock}{'+00:00' if offset in 'Zz' else offset}")
    seconds = int(at.timestamp())
    if not 0 <= seconds <= LAST_S:
        raise ValueError(text)
    return seconds


def read_number(text: str) -> float:
    """A plain decimal number: no thousands marks, no infinity, no NaN. Raises ValueError."""
    if len(text) > 40 or _NUMBER.fullmatch(text) is None or math.isinf(value := float(text)):
        raise ValueError(text)
    return value


def read_rows(
    path: Path, header: tuple[str, ...], faults: Faults, optional: tuple[str, ...] = ()
) -> Iterator[tuple[int, list[str]]]:
    """The rows below the header with the line each begins on; rows of a wrong shape become faults.

    Columns that are `optional` may stand behind the header's, some or all, in this order; a row has "" for
    those that do not. Empty lines at the end are nothing. Raises InputError at once (with the faults so far)
    where reading cannot go on: no header, quotes that never close, bytes that are no text.
    """
    return rows_of(read_lines(path), path, header, faults, optional)


def rows_of(
    lines: Iterable[str],
    path: Path | str,
    header: tuple[str, ...],
    faults: Faults,
    optional: tuple[str, ...] = (),
    delimiter: str = ",",
) -> Iterator[tuple[int, list[str]]]:
    """The same of lines that come from `path`, or from somewhere else that is called so."""
    rows = _numbered_rows(lines, path, faults, delimiter)
    header, every = _found_header(path, header, optional, next(rows, None)), (*header, *optional)
    empty_line = 0
    for line, fields in rows:
        if not fields:
            empty_line = empty_line or line
            continue
        if empty_line:
            faults.add(f"{path}:{empty_line}: found an empty line; allowed: empty lines at the end only")
            empty_line = 0
        if fault := _shape_fault(fields, header):
            faults.add(f"{path}:{line}: {fault}")
        elif header == every:
            yield line, fields
        else:
            found = dict(zip(header, fields, strict=True))
            yield line, [found.get(name, "") for name in every]


def _numbered_rows(
    lines: Iterable[str], path: Path | str, faults: Faults, delimiter: str
) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(lines, strict=True, delimiter=delimiter)
    line = 1
    try:
        for fields in reader:
            yield line, fields
            line = reader.line_num + 1
    except csv.Error as error:
        faults.add(
            f"{path}:{line}: found a row that is no CSV ({error}); allowed: one row a line, quotes closed"
        )
        faults.raise_any()
    except InputError as error:
        for fault in error.faults:
            faults.add(fault)
        faults.raise_any()


def _found_header(
    path: Path | str,
    header: tuple[str, ...],
    optional: tuple[str, ...],
    first: tuple[int, list[str]] | None,
) -> tuple[str, ...]:
    wanted = ",".join(header)
    if first is None:
        raise InputError(f"{path}:1: found an empty file; allowed: the header {wanted} and rows below it")
    found = tuple(first[1])
    if found != (*header, *(name for name in optional if name in found)):
        if len(found) == 1 and found[0].count(";") >= len(header) - 1:
            raise InputError(
                f"{path}:1: found semicolons between the columns; allowed: commas ({wanted}), "
                "with a point in decimals"
            )
        behind = f", behind it some of {', '.join(optional)}" if optional else ""
        raise InputError(
            f"{path}:1: found the header {shown(','.join(found))}; "
            f"allowed: exactly {wanted}, in this order{behind}"
        )
    return found


def _shape_fault(fields: list[str], header: tuple[str, ...]) -> str | None:
    if len(fields) != len(header):
        return f"found {len(fields)} columns; allowed: {len(header)} ({','.join(header)})"
    for name, field in zip(header, fields, strict=True):
        if len(field) > MAX_FIELD_CHARACTERS:
            return f"{name}: found {len(field)} characters; allowed: up to {MAX_FIELD_CHARACTERS}"
    return None
