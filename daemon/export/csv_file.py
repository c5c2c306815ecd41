"""A table as bytes: CSV by RFC 4180, UTF-8, with what tells that a copy of it is whole."""

import csv
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import IO

# Without it some spreadsheet programs read UTF-8 as another code; a table that a program reads goes without.
BYTE_ORDER_MARK = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: rows below the header, bytes, and their SHA-256 in hexadecimal."""

    rows: int
    bytes: int
    sha256: str


class _Counted:
    """Takes text, passes its bytes on and counts them."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._hash = hashlib.sha256()
        self.bytes = 0

    def write(self, text: str) -> int:
        raw = text.encode(errors="replace")  # half a letter is none
        self._hash.update(raw)
        self.bytes += len(raw)
        self._file.write(raw)
        return len(text)

    @property
    def sha256(self) -> str:
        return self._hash.hexdigest()


def write_csv(file: IO[bytes], header: Sequence[str], rows: Iterable[Sequence[str]]) -> Written:
    """Write a header and rows, one at a time; lines end with CR LF."""
    counted = _Counted(file)
    writer = csv.writer(counted, lineterminator="\r\n")
    writer.writerow(header)
    count = 0
    for row in rows:
        writer.writerow(row)
        count += 1
    return Written(count, counted.bytes, counted.sha256)
