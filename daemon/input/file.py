"""Reading a file that a person wrote: bytes to lines, and one clear line for whatever is wrong with them.

What the daemon reads while it runs is a regular file only: a pipe or a terminal in its place gives nothing
and never ends, and to open some devices does something. A tape may come through a pipe.
"""

import os
import stat
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time
from pathlib import Path
from typing import IO, BinaryIO

from daemon.errors import InputError

MAX_TEXT_BYTES = 1_000_000
MAX_LINE_BYTES = 20_000
SHOWN_CHARACTERS = 60

_OTHERS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a terminal or another device"),
    (stat.S_ISBLK, "a disk"),
)


def shown(value: object) -> str:
    """What was found, on one line: text quoted and cut short, tables and lists by their kind."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return repr(value if len(value) <= SHOWN_CHARACTERS else value[:SHOWN_CHARACTERS] + "…")
    if isinstance(value, int):
        # Python refuses to write out an integer of thousands of digits.
        return str(value) if abs(value) < 10**18 else "a number of more than 18 digits"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, date | time | datetime):
        return f"the unquoted date or time {value}"
    return repr(value)


def did_you_mean(found: str, known: Iterable[str]) -> str:
    """The known word that comes nearest, in brackets with a blank before; nothing where none is near."""
    near = nearest(found, known)
    return "" if near is None else f" (did you mean {near}?)"


def nearest(found: str, known: Iterable[str]) -> str | None:
    """The known word that comes nearest; None where none is near."""
    from difflib import get_close_matches  # only who wrote a wrong word needs it

    near = get_close_matches(found, list(known), n=1)
    return near[0] if near else None


def read_text(path: Path) -> str:
    """The whole of a small, regular UTF-8 file. Raises InputError with one line; waits for nothing."""
    return as_text(read_bytes(path), path)


def read_bytes(path: Path) -> bytes:
    """The whole of a small, regular file. Raises InputError with one line; waits for nothing."""
    try:
        with _opened_regular(path) as file:
            raw = file.read(MAX_TEXT_BYTES + 1)
    except (OSError, ValueError) as error:
        raise InputError(_unreadable(path, error)) from error
    if len(raw) > MAX_TEXT_BYTES:
        raise InputError(f"{path}: found more than {MAX_TEXT_BYTES} bytes; allowed: a smaller text file")
    return raw


def as_text(raw: bytes, path: Path) -> str:
    """What was read from `path` as text. Raises InputError with one line for what is not UTF-8."""
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(_not_utf8(f"{path}:{line}", raw[error.start])) from error


def read_lines(path: Path) -> Iterator[str]:
    """The lines of a UTF-8 file with their endings, one at a time so that a long file stays light.

    A byte order mark is dropped. Raises InputError with the line's number for bytes that are not
    UTF-8, a NUL, or a line that is too long to be meant.
    """
    try:
        with path.open("rb") as file:
            yield from lines_of(file, path)
    except (OSError, ValueError) as error:
        raise InputError(_unreadable(path, error)) from error


def lines_of(file: IO[bytes], path: Path | str) -> Iterator[str]:
    """The same of a file that is open, and is called `path`."""
    number = 0
    while raw := file.readline(MAX_LINE_BYTES + 1):
        number += 1
        yield _line(raw.removeprefix(b"\xef\xbb\xbf") if number == 1 else raw, f"{path}:{number}")


def _opened_regular(path: Path) -> BinaryIO:
    """Raises OSError, and InputError for what is no regular file."""
    _expect_regular(path, path.stat().st_mode)
    # It may have been put in the place just now: not even then is it waited for.
    file = os.fdopen(os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY | os.O_CLOEXEC), "rb")
    try:
        _expect_regular(path, os.fstat(file.fileno()).st_mode)
    except InputError:
        file.close()
        raise
    return file


def _expect_regular(path: Path, mode: int) -> None:
    if stat.S_ISREG(mode):
        return
    found = next((name for is_one, name in _OTHERS if is_one(mode)), "no plain file")
    raise InputError(f"{path}: found {found}; allowed: the path of a readable file")


def _line(raw: bytes, where: str) -> str:
    if len(raw) > MAX_LINE_BYTES:
        raise InputError(f"{where}: found a line of more than {MAX_LINE_BYTES} bytes; allowed: shorter lines")
    if b"\0" in raw:
        raise InputError(f"{where}: found a NUL byte; allowed: UTF-8 text")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise InputError(_not_utf8(where, raw[error.start])) from error


def _not_utf8(where: str, byte: int) -> str:
    return f"{where}: found the byte 0x{byte:02x}, which is not UTF-8; allowed: text saved as UTF-8"


def _unreadable(path: Path, error: OSError | ValueError) -> str:
    if isinstance(error, FileNotFoundError):
        return f"{path}: found no such file; allowed: the path of a readable file"
    if isinstance(error, IsADirectoryError):
        return f"{path}: found a folder; allowed: the path of a readable file"
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return f"{path}: found a file that cannot be read ({reason}); allowed: the path of a readable file"
