"""Told weekends: reading a story file, and checking afterwards whether the letters it calls for came."""

from collections.abc import Sequence
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Protocol

from daemon.errors import InputError
from daemon.input.file import read_text, shown
from daemon.letter_kinds import PLANNED, UNPLANNED
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
    missed = [said for call in story.calls if (said := _missed(story, call, letters)) is not None]
    most = (
        (story.limits.unplanned_at_most, "unplanned", UNPLANNED),
        (story.limits.planned_at_most, "planned", PLANNED),
    )
    return missed + [
        said
        for at_most, told, kinds in most
        if at_most is not None and (said := _too_many(story, at_most, told, kinds, letters)) is not None
    ]


def first_answer(call: Call, letters: Sequence[Letter]) -> Letter | None:
    """The first letter of the call's kind in its window."""
    return min(_answers(call, letters), key=lambda letter: letter.at, default=None)


def _answers(call: Call, letters: Sequence[Letter]) -> list[Letter]:
    return [
        letter for letter in letters if letter.kind == call.kind and call.begins <= letter.at <= call.ends
    ]


def _too_many(
    story: Story, at_most: int, told: str, kinds: Sequence[str], letters: Sequence[Letter]
) -> str | None:
    found = [letter for letter in letters if letter.kind in kinds]
    if len(found) <= at_most:
        return None
    came = ", ".join(f"{letter.kind} {_told(story, letter.at)}" for letter in found)
    return f"{story.name}: {told} letters: found {len(found)} ({came}); must be at most {at_most}"


def _missed(story: Story, call: Call, letters: Sequence[Letter]) -> str | None:
    found = _answers(call, letters)
    late_at = call.too_late_at
    if late_at is not None and found and min(letter.at for letter in found) >= late_at:
        came = _told(story, min(letter.at for letter in found))
        return (
            f"{story.name}: letter of kind {call.kind}: found {came}; must be before {_told(story, late_at)}"
        )
    if len(found) >= call.at_least and (call.at_most is None or len(found) <= call.at_most):
        return None
    most = "" if call.at_most is None else f" and at most {call.at_most}"
    wanted = "none" if call.at_most == 0 else f"at least {call.at_least}{most}"
    when = f"between {_told(story, call.begins)} and {_told(story, call.ends)}"
    came = ", ".join(_told(story, letter.at) for letter in found) or "none"
    return f"{story.name}: letters of kind {call.kind} {when}: found {len(found)} ({came}); must be {wanted}"


def _told(story: Story, at: int) -> str:
    return datetime.fromtimestamp(at, story.station.timezone).strftime("%a %Y-%m-%d %H:%M")
