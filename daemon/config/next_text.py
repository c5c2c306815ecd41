"""A station file for the next class: the same text, comments and all, without the days that are over."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from daemon.config.hours_syntax import away
from daemon.config.station_file import parse_station
from daemon.errors import InputError


@dataclass(frozen=True, slots=True)
class NextText:
    """The new text, and the days away that were left out of it and that stay, as they are written."""

    text: str
    over: tuple[str, ...]
    to_come: tuple[str, ...]


def next_text(text: str, name: str, today: date) -> NextText:
    """The text without days away that ended before `today`; nothing else is changed.

    Raises InputError, with `name` before each fault, for a text that is no station file.
    """
    parse_station(text, name)
    try:
        document: Any = tomlkit.parse(text)
    except (TOMLKitError, ValueError) as error:  # it knows TOML a little less well than the standard library
        raise InputError(f"{name}: found what cannot be edited: {error}") from error
    spans = document["station"].get("away", [])
    over = [place for place, span in enumerate(spans) if away(str(span)).last < today]
    gone = tuple(str(spans[place]) for place in over)
    for place in reversed(over):
        del spans[place]
    return NextText(tomlkit.dumps(document), gone, tuple(map(str, spans)))


def with_comments(text: str, lines: list[str]) -> str:
    """The text with lines above it that are comments."""
    return "".join(f"# {line}\n" if line else "#\n" for line in lines) + "\n" + text
