"""Probes of a simulated room in real time: the driver `rehearsal` under `naupliad run`."""

from collections.abc import Sequence
from dataclasses import replace

from daemon.play.story import read_story
from daemon.play.world.cup import CupPhysics
from daemon.play.world.cysts import CystPhysics
from daemon.play.world.played import StoryWorld
from daemon.play.world.probe import RehearsalProbe, usual_instrument
from daemon.play.world.whole import VesselPhysics
from daemon.seconds import DAY_S
from daemon.station import Station

DRIVER = "rehearsal"
_STORY = "plain-weekend"
_A_YEAR_S = 366 * DAY_S


def rehearsal_probes(station: Station, now: int) -> Sequence[RehearsalProbe]:
    """The station's probes of that driver, in one room that begins now; nothing is told to happen in it.

    The room's physics are those of the story that the first such probe names. Raises InputError for a
    story that is not there.
    """
    plans = [plan for plan in station.probes if plan.driver == DRIVER]
    if not plans:
        return []
    told = read_story(str(plans[0].keys.get("story", _STORY)))
    usual = VesselPhysics(CupPhysics(), CystPhysics())
    here = replace(
        told,
        station=replace(station, probes=tuple(plans)),
        vessels={vessel.id: told.vessels.get(vessel.id, usual) for vessel in station.vessels},
        instruments={plan.id: usual_instrument(plan.measures) for plan in plans},
        begins=now,
        ends=now + _A_YEAR_S,
        events=(),
        calls=(),
    )
    return list(StoryWorld(here).probes.values())
