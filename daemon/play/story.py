"""A made-up weekend: what a story holds, and checking afterwards whether the letters it calls for came."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from daemon.letter_kinds import PLANNED, UNPLANNED
from daemon.play.story_event import StoryEvent
from daemon.play.world.person import PersonPhysics
from daemon.play.world.probe import Instrument
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from daemon.play.world.vessel import VesselPhysics
from daemon.station import Station


@dataclass(frozen=True, slots=True)
class Call:
    """Letters of a kind that must come between two moments: from `at_least` up to `at_most` of them.

    `too_late_at` is the moment from which the first of them would have helped nobody; None where the story
    gives none.
    """

    kind: str
    begins: int
    ends: int
    at_least: int
    at_most: int | None
    too_late_at: int | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """How many letters a whole story may bring, by what makes somebody write them; None: as many as come."""

    unplanned_at_most: int | None = None
    planned_at_most: int | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """A made-up weekend: the station (with its file's text), the true physics, what happens, and what the
    post must say."""

    name: str
    title: str
    tell: str
    seed: int
    begins: int
    ends: int
    station: Station
    station_text: str
    sky: SkyPhysics
    room: RoomPhysics
    person: PersonPhysics
    vessels: Mapping[str, VesselPhysics]
    instruments: Mapping[str, Instrument]
    events: tuple[StoryEvent, ...]
    calls: tuple[Call, ...]
    limits: Limits = Limits()


class Letter(Protocol):
    """What a story wants to know of a letter."""

    @property
    def at(self) -> int:
        """When it was written, Unix seconds."""

    @property
    def kind(self) -> str:
        """The letter's kind."""


def check(story: Story, letters: Sequence[Letter]) -> list[str]:
    """What the story calls for and the letters do not hold to, one sentence each; empty when all is well."""
    missed = [said for call in story.calls if (said := _missed(story, call, letters)) is not None]
    most = (
        (story.limits.unplanned_at_most, "unplanned", UNPLANNED),
        (story.limits.planned_at_most, "planned", PLANNED),
    )
    return missed + [
        said
        for at_most, sort, kinds in most
        if at_most is not None and (said := _too_many(story, at_most, sort, kinds, letters)) is not None
    ]


def first_answer(call: Call, letters: Sequence[Letter]) -> Letter | None:
    """The first letter of the call's kind in its window."""
    return min(_answers(call, letters), key=lambda letter: letter.at, default=None)


def _answers(call: Call, letters: Sequence[Letter]) -> list[Letter]:
    return [
        letter for letter in letters if letter.kind == call.kind and call.begins <= letter.at <= call.ends
    ]


def _too_many(
    story: Story, at_most: int, sort: str, kinds: Sequence[str], letters: Sequence[Letter]
) -> str | None:
    found = [letter for letter in letters if letter.kind in kinds]
    if len(found) <= at_most:
        return None
    came = ", ".join(f"{letter.kind} {_local(story, letter.at)}" for letter in found)
    return f"{story.name}: {sort} letters: found {len(found)} ({came}); must be at most {at_most}"


def _missed(story: Story, call: Call, letters: Sequence[Letter]) -> str | None:
    found = _answers(call, letters)
    late_at = call.too_late_at
    if late_at is not None and found and min(letter.at for letter in found) >= late_at:
        came = _local(story, min(letter.at for letter in found))
        return (
            f"{story.name}: letter of kind {call.kind}: found {came}; must be before {_local(story, late_at)}"
        )
    if len(found) >= call.at_least and (call.at_most is None or len(found) <= call.at_most):
        return None
    most = "" if call.at_most is None else f" and at most {call.at_most}"
    wanted = "none" if call.at_most == 0 else f"at least {call.at_least}{most}"
    when = f"between {_local(story, call.begins)} and {_local(story, call.ends)}"
    came = ", ".join(_local(story, letter.at) for letter in found) or "none"
    return f"{story.name}: letters of kind {call.kind} {when}: found {len(found)} ({came}); must be {wanted}"


def _local(story: Story, at: int) -> str:
    return datetime.fromtimestamp(at, story.station.timezone).strftime("%a %Y-%m-%d %H:%M")
