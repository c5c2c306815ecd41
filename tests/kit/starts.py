"""A station, a lesson and what a plan for it is made from. Test-only."""

from datetime import datetime
from typing import Any

from daemon.planning.start import StartGround, StartPlan, planned
from daemon.planning.start_ground import stated_ground
from daemon.planning.stated_warmth import StatedWarmth
from daemon.station import Station
from tests.kit.station import station

ROOM = station()
NEVER_EMPTY = station(attended=[])


def at(text: str, where: Station = ROOM) -> int:
    """Unix s of a local time without an offset, or of one with it."""
    moment = datetime.fromisoformat(text)
    return int((moment if moment.tzinfo else moment.replace(tzinfo=where.timezone)).timestamp())


WEDNESDAY = at("2027-03-10T10:00"), at("2027-03-10T11:30")
MONDAY = at("2027-03-08T10:00"), at("2027-03-08T11:30")
NOW = at("2027-03-01T09:00")


def ground(
    day_c: float = 22.0,
    night_c: float | None = 19.0,
    lesson: tuple[int, int] = WEDNESDAY,
    now: int = NOW,
    where: Station = ROOM,
    lot: str | None = None,
) -> StartGround:
    """What a plan is made from, with water as somebody stated it."""
    return stated_ground(where, where.vessels[0], lot, StatedWarmth(day_c, night_c), lesson, now)


def plan(
    *, lesson: tuple[int, int] = WEDNESDAY, now: int = NOW, where: Station = ROOM, **more: Any
) -> StartPlan:
    """The plan for it."""
    return planned(where, lesson, now, ground(lesson=lesson, now=now, where=where, **more))
