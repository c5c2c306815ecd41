"""A story as its file tells it: frozen records, nothing read or checked here."""

from collections.abc import Mapping
from dataclasses import dataclass

from daemon.play.story_event import Event
from daemon.play.world.people import PersonPhysics
from daemon.play.world.probe import Instrument
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from daemon.play.world.whole import VesselPhysics
from daemon.station import Station


@dataclass(frozen=True, slots=True)
class Call:
    """Letters of a kind that must come between two moments: from `at_least` up to `at_most` of them.

    `too_late_at` is the moment from which the first of them would have helped nobody; None where the story
    tells none.
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
    """A told weekend: the station (with its file's text), the true physics, what happens, and what the post
    must say."""

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
    events: tuple[Event, ...]
    calls: tuple[Call, ...]
    limits: Limits = Limits()
