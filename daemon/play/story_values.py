"""The values in a story file: how each is checked, and which numbers of a physics record it may give."""

import re
from dataclasses import field, fields
from datetime import datetime
from typing import Any

from daemon.config.checks import Key, Refused, number
from daemon.input.csv import LAST_S, MOMENT_ALLOWED, read_moment
from daemon.input.file import shown

_FILE_NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_.-]{0,80}\.toml")


def moment(value: object) -> int:
    """A time with its offset, as TOML writes it bare or as text; whole Unix seconds."""
    if isinstance(value, datetime) and value.tzinfo is not None and 0 <= value.timestamp() <= LAST_S:
        return int(value.timestamp())
    if isinstance(value, str):
        try:
            return read_moment(value)
        except ValueError:
            pass
    raise Refused(shown(value), MOMENT_ALLOWED)


def span(value: object) -> tuple[int, int]:
    """Two moments, the first not after the last."""
    allowed = "two times with offsets, the earlier first"
    if not isinstance(value, list) or len(value) != 2:
        raise Refused(shown(value), allowed)
    first, last = moment(value[0]), moment(value[1])
    if first > last:
        raise Refused(f"{shown(value[0])} after {shown(value[1])}", allowed)
    return first, last


def paragraph(value: object) -> str:
    """Some lines of text; line ends and runs of blanks become single blanks."""
    if not isinstance(value, str) or not value.strip() or len(value) > 3000:
        raise Refused(shown(value), "a paragraph of text, 1 to 3000 characters")
    return " ".join(value.split())


def file_name(value: object) -> str:
    """The name of a TOML file in the story's own folder."""
    if not isinstance(value, str) or _FILE_NAME.fullmatch(value) is None:
        raise Refused(shown(value), "the name of a .toml file beside the story, without a folder")
    return value


def station_text(value: object) -> str:
    """A whole station file as text."""
    if not isinstance(value, str) or not value.strip():
        raise Refused(shown(value), "the text of a station file")
    return value


def keyed(default: float, low: float, high: float) -> Any:
    """A dataclass field that a story may set, with its default and the range allowed."""
    return field(default=default, metadata={"low": low, "high": high})


def physics_keys(record: type[Any]) -> dict[str, Key]:
    """The keys of a physics record: every `keyed` field with its range and default."""
    return {
        f.name: Key(number(f.metadata["low"], f.metadata["high"]), f.default)
        for f in fields(record)
        if "low" in f.metadata
    }
