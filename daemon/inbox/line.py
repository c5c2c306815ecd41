"""A line of the inbox: one JSON object in UTF-8, and the socket's place that both ends know."""

import json
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from daemon.errors import InputError

INBOX = "inbox.sock"  # its name in the state folder
LINE_BYTES = 64 * 1024  # a line's limit, its end included
_ADDRESS_BYTES = 107  # sun_path of unix(7), 108 bytes with the final NUL


def written(words: Mapping[str, Any]) -> bytes:
    """The line that says `words`. Raises TypeError or ValueError where they cannot be written as JSON."""
    return json.dumps(dict(words), allow_nan=False).encode() + b"\n"


def read(line: bytes) -> dict[str, Any]:
    """The object on a line. Raises InputError, which quotes little of what was found."""
    try:
        words = json.loads(line.decode("utf-8"), parse_constant=_no_number)
        json.dumps(words, ensure_ascii=False).encode("utf-8")  # half a character pair passes the parser
    except (ValueError, RecursionError):
        raise InputError(f"found {line[:40]!r}; allowed is one JSON object a line, in UTF-8") from None
    if not isinstance(words, dict):
        raise InputError(f"found a JSON {type(words).__name__}; allowed is one JSON object a line")
    return words


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no JSON")


@contextmanager
def address(path: Path) -> Iterator[str]:
    """The path as a socket address; a long one goes through its open folder, as addresses are short.

    Raises InputError where even its last part is too long, and OSError where its folder cannot be opened.
    """
    if len(os.fsencode(path)) <= _ADDRESS_BYTES:
        yield str(path)
        return
    folder = os.open(path.parent, os.O_PATH | os.O_DIRECTORY)
    try:
        short = f"/proc/self/fd/{folder}/{path.name}"
        if len(os.fsencode(short)) > _ADDRESS_BYTES:
            raise InputError(f"{path}: the last part of the path is too long for a socket's name")
        yield short
    finally:
        os.close(folder)
