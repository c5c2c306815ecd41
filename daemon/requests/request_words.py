"""The words of a request, taken out one by one and checked: the inbox hears whatever a program writes."""

from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.input.csv import LAST_S
from daemon.input.file import shown

# Whole numbers that every JSON reader agrees on (RFC 8259, section 6); no id comes near it.
_LARGEST = 2**53 - 1


def whole(words: Mapping[str, Any], name: str, most: int = _LARGEST) -> int:
    """A whole number from 0 to `most`. Raises InputError."""
    return _whole(name, words.get(name), most)


def moment(words: Mapping[str, Any], name: str) -> int:
    """Unix seconds of a time that a person may write, 1970 to 2199. Raises InputError."""
    return whole(words, name, LAST_S)


def wholes(words: Mapping[str, Any], name: str) -> list[int]:
    """A list of whole numbers; empty where none is given. Raises InputError."""
    given = words.get(name, [])
    if not isinstance(given, list):
        raise InputError(f"request: {name}: found {shown(given)}; allowed: a list of whole numbers")
    return [_whole(name, one, _LARGEST) for one in given]


def text(words: Mapping[str, Any], name: str, default: str | None = None) -> str:
    """A text; one that has no default must be given. Raises InputError."""
    given = words.get(name, default)
    if not isinstance(given, str):
        raise InputError(f"request: {name}: found {_found(given)}; allowed: a text")
    return given


def _whole(name: str, given: object, most: int) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given <= most:
        raise InputError(f"request: {name}: found {_found(given)}; allowed: a whole number from 0 to {most}")
    return given


def _found(given: object) -> str:
    return "nothing" if given is None else shown(given)
