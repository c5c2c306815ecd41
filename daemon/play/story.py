"""Told weekends: reading a story file, and checking afterwards whether the letters it calls for came."""

from collections.abc import Sequence
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Protocol

from daemon.errors import InputError
from daemon.input.file import read_text, shown
from daemon.play.story_reading import parse_story
from daemon.play.story_told import Call, Story

_ENDING = ".toml"


class Letter(Protocol):
    """What a story wants to know of a letter."""

    @property
    def at(self) -> int:
        """When it was written, Unix seconds."""

    @property
    def kind(self) -> str:
        """The letter's kind."""


def story_names() -> tuple[str, ...]:
    """The stories that come with the program."""
    found = (entry.name for entry in resources.files("daemon.play").joinpath("stories").iterdir())
    return tuple(sorted(name.removesuffix(_ENDING) for name in found if name.endswith(_ENDING)))


def read_story(name_or_path: str) -> Story:
    """The story of that name, or of the file at that path (it ends in `.toml`).

    Raises InputError with every fault at once, each with the file, the key's path, what was found and
    what is allowed.
    """
    path = Path(name_or_path)
    if path.suffix != _ENDING:
        if name_or_path not in story_names():
            allowed = f"{', '.join(story_names())}, or the path of a {_ENDING} file"
            raise InputError(f"story: found {shown(name_or_path)}; allowed: {allowed}")
        path = Path(str(resources.files("daemon.play").joinpath("stories", name_or_path + _ENDING)))
        return parse_story(read_text(path), path.name, path.parent)
    return parse_story(read_text(path), str(path), path.parent)


def check(story: Story, letters: Sequence[Letter]) -> list[str]:
    """What the story calls for and the letters do not hold to, one sentence each; empty when all is well."""
    return [said for call in story.calls if (said := _missed(story, call, letters)) is not None]


def _missed(story: Story, call: Call, letters: Sequence[Letter]) -> str | None:
    found = [
        letter for letter in letters if letter.kind == call.kind and call.begins <= letter.at <= call.ends
    ]
    if len(found) >= call.at_least and (call.at_most is None or len(found) <= call.at_most):
        return None
    most = "" if call.at_most is None else f" and at most {call.at_most}"
    wanted = "none" if call.at_most == 0 else f"at least {call.at_least}{most}"
    when = f"between {_told(story, call.begins)} and {_told(story, call.ends)}"
    came = ", ".join(_told(story, letter.at) for letter in found) or "none"
    return f"{story.name}: letters of kind {call.kind} {when}: found {len(found)} ({came}); must be {wanted}"


def _told(story: Story, at: int) -> str:
    return datetime.fromtimestamp(at, story.station.timezone).strftime("%a %Y-%m-%d %H:%M")
