"""Many rooms at a glance: which need help and which are silent, the worst first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from reports import times, words
from reports.conditions import CONDITIONS, alarm_in_words
from reports.language import say, say_many, to_say

# What a centre alone can see, and what is wrong with a station itself.
_OF_THE_STATION = {
    "post": to_say("its letters do not leave"),
    "storage": to_say("little room is left on its memory card"),
    "clock": to_say("nobody can say whether its clock is right"),
}


@dataclass(frozen=True, slots=True)
class Need:
    """What a room needs help with, since when; `vessel` is empty where it is about the station itself.

    `label` says which room it is, where the centre knows; a smaller `urgency` is the more urgent.
    """

    key: str
    label: str | None
    vessel: str
    condition: str
    probe: str
    acknowledged: bool
    since: datetime
    urgency: int


@dataclass(frozen=True, slots=True)
class SilentRoom:
    """A room that tells nothing; `last_heard` is None where it never did."""

    key: str
    label: str | None
    last_heard: datetime | None


@dataclass(frozen=True, slots=True)
class Rooms:
    """How all rooms stand at a moment: of `count`. `refused` boxes could not be stored in the last day."""

    at: datetime
    count: int
    needs: Sequence[Need]
    silent: Sequence[SilentRoom]
    refused: int


def by_room(needs: Sequence[Need]) -> list[list[Need]]:
    """A list a room, the room with the worst first, and in each the worst first."""
    rooms = [
        sorted(its, key=lambda need: (need.urgency, need.since))
        for _, its in groupby(sorted(needs, key=lambda need: need.key), key=lambda need: need.key)
    ]
    return sorted(rooms, key=lambda its: (its[0].urgency, its[0].since, its[0].key))


def longest_first(silent: Sequence[SilentRoom]) -> list[SilentRoom]:
    """Who never was heard, then who was heard longest ago."""
    return sorted(silent, key=lambda room: (room.last_heard is not None, room.last_heard or 0, room.key))


def rooms_text(rooms: Rooms) -> str:
    """All of it, in the language spoken now."""
    needing = by_room(rooms.needs)
    lines = [
        say_many("{count} room is known.", "{count} rooms are known.", rooms.count),
        say_many("{count} room needs help.", "{count} rooms need help.", len(needing)),
        say_many("{count} room is silent.", "{count} rooms are silent.", len(rooms.silent)),
    ]
    parts = [" ".join(lines)]
    parts += ["\n".join([_room(its[0]), *(f"  {_need(need, rooms.at)}" for need in its)]) for its in needing]
    if rooms.silent:
        parts.append("\n".join(_silent(room, rooms.at) for room in longest_first(rooms.silent)))
    if rooms.refused:
        parts.append(
            say_many(
                "{count} box could not be stored in the last day; the table refused says why.",
                "{count} boxes could not be stored in the last day; the table refused says why.",
                rooms.refused,
            )
        )
    return "\n\n".join(parts)


def _room(room: Need | SilentRoom) -> str:
    return f"{words.clean(room.label)} ({room.key})" if room.label else room.key


def _need(need: Need, at: datetime) -> str:
    since = times.duration_after(times.elapsed(need.since, at))
    if need.vessel:
        its = words.clean(need.vessel)
        return say(
            "{vessel}: {alarm}, for {length}.", vessel=its, alarm=words.begun(_in_words(need)), length=since
        )
    return say("{alarm}, for {length}.", alarm=words.capital(_in_words(need)), length=since)


def _in_words(need: Need) -> str:
    if need.condition in CONDITIONS:
        return alarm_in_words(need.condition, words.clean(need.probe), acknowledged=need.acknowledged)
    if need.condition in _OF_THE_STATION:
        return say(_OF_THE_STATION[need.condition])
    return say("alarm {condition}", condition=words.clean(need.condition))


def _silent(room: SilentRoom, at: datetime) -> str:
    if room.last_heard is None:
        return say("{room}: never heard", room=_room(room))
    return say(
        "{room}: heard last {when}", room=_room(room), when=times.ago(times.elapsed(room.last_heard, at))
    )
