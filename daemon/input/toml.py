"""A TOML text to its tables, and one clear line for whatever is no TOML."""

import re
import tomllib
from typing import Any

from daemon.errors import InputError

_DEEPEST = 20
# The library's time for a key grows with the square of its parts and more: hours for one that fills a file.
# So the text is gone through once, string by string; one that is never closed goes on to the end.
_BASIC, _LITERAL = r'"(?:[^"\\\n]|\\[^\n])*+"?+', r"'[^'\n]*+'?+"
_PART = rf"(?:[A-Za-z0-9_-]++|{_BASIC}|{_LITERAL})"
_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"{3,5})?+'
    r"|'''(?:[^']|'(?!''))*+(?:'{3,5})?+"
    r"|#[^\n]*+"
    rf"|(?P<deep>{_PART}(?:[ \t]*+\.[ \t]*+{_PART}){{{_DEEPEST},}}+)"
    rf"|{_PART}"
    r"|[^\"'#A-Za-z0-9_-]++",
    re.DOTALL,
)


def read_toml(text: str, name: str) -> dict[str, Any]:
    """The tables of a text. Raises InputError, led by `name`, with one line."""
    if text.startswith("\ufeff"):
        raise InputError(f"{name}:1: found a byte order mark; allowed: UTF-8 saved without one")
    if "\0" in text:
        raise InputError(f"{name}:{_line(text, text.index(chr(0)))}: found a NUL character; allowed: text")
    deep = next((token.start() for token in _TOKEN.finditer(text) if token["deep"]), None)
    if deep is not None:
        found = f"a key of more than {_DEEPEST} parts"
        raise InputError(f"{name}:{_line(text, deep)}: found {found}; allowed: fewer full stops")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error).splitlines()[0]
    except RecursionError:
        said = "lists nested too deep"
    except ValueError:  # Python refuses to read a number of thousands of digits
        said = "a number of too many digits"
    raise InputError(f"{name}: found a text that is no TOML: {said}; allowed: TOML 1.0")


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1
