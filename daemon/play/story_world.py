"""A story being played: the world moves on, things happen in it, people do their deeds.

Also its probes alone, in real time: the driver `rehearsal` under `naupliad run`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from daemon.care.deed import Deed
from daemon.play.story import Story
from daemon.play.story_event import StoryEvent
from daemon.play.story_file import read_story
from daemon.play.world.cup import CupPhysics
from daemon.play.world.cysts import CystPhysics
from daemon.play.world.person import Person
from daemon.play.world.probe import ProbeFault, RehearsalProbe, usual_instrument
from daemon.play.world.vessel import Outcome, Truth, VesselPhysics, VesselWorld
from daemon.play.world.world import World
from daemon.seconds import DAY_S
from daemon.station import Station
from sensors.probe_bench import InlineBench

_PROBE_FAULTS = {
    "probe-unplugged": ProbeFault.UNPLUGGED,
    "probe-stuck": ProbeFault.STUCK,
    "probe-in-air": ProbeFault.IN_AIR,
    "probe-back": ProbeFault.NONE,
}
_ROOM: Mapping[str, Callable[[World], None]] = {
    "heating-off": lambda world: setattr(world, "heating_works", False),
    "heating-on": lambda world: setattr(world, "heating_works", True),
    "window-open": lambda world: setattr(world, "window_open", True),
    "window-shut": lambda world: setattr(world, "window_open", False),
    "fan-on": lambda world: setattr(world, "fan_on", True),
    "fan-off": lambda world: setattr(world, "fan_on", False),
    "sky-overcast": lambda world: setattr(world.sky, "overcast", True),
    "sky-clear": lambda world: setattr(world.sky, "overcast", False),
}


def _switch_lamp(vessel: VesselWorld, *, works: bool = True, stays_on: bool = False) -> None:
    vessel.lamp_works, vessel.lamp_stays_on = works, stays_on


_DEVICES: Mapping[str, Callable[[VesselWorld], None]] = {
    "lamp-off": partial(_switch_lamp, works=False),
    "lamp-on": _switch_lamp,
    "lamp-stays-on": partial(_switch_lamp, stays_on=True),
    "heater-off": lambda vessel: setattr(vessel.cup.heater, "works", False),
    "heater-on": lambda vessel: setattr(vessel.cup.heater, "works", True),
}

# Off with the power, or set by the network.
_CLOCK_ENDS = ("clock-right", "station-off")

# The driver's name in a station file, and the story whose room it is where a probe names none.
DRIVER = "rehearsal"
_STORY = "plain-weekend"
_A_YEAR_S = 366 * DAY_S

PLENTY_BYTES, SCARCE_BYTES = 20_000_000_000, 60_000_000


@dataclass(frozen=True, slots=True)
class Heard:
    """A letter as the person in the story knows it: its kind, when it came, and how far above the mark it
    advised to fill, by vessel (empty where it advised nothing)."""

    at: int
    kind: str
    above_ml: Mapping[str, float] = field(default_factory=dict)


class StoryWorld:
    """Plays a story. Time comes from outside and never goes back.

    Call `deeds` before the bench's `sample` of the same time: it hands over the letters that events wait for.
    """

    def __init__(self, story: Story) -> None:
        self.story = story
        self._world = World(
            story.station, story.sky, story.room, story.vessels, seed=story.seed, begins=story.begins
        )
        self._person = Person(story.person, story.seed)
        self.probes = {plan.id: self._probe(plan.id) for plan in story.station.probes}
        self._bench = InlineBench(list(self.probes.values()))
        self._coming = list(reversed(story.events))
        self._heard: Sequence[Heard] = ()
        self._done: list[Deed] = []

    def bench(self) -> InlineBench:
        """The station's probes in this world."""
        return self._bench

    def deeds(self, until: int, letters: Sequence[Heard]) -> list[Deed]:
        """What people did up to `until` since the last call, in time order. `letters` are all so far."""
        self._heard = letters
        self._advance(until)
        done, self._done = self._done, []
        return done

    def off_stretches(self) -> list[tuple[int, int]]:
        """When the station was off, (began, ended); one that nobody ends lasts to the story's end."""
        return self._stretches("station-off", "station-on")

    def wrong_stretches(self) -> list[tuple[int, int, int]]:
        """When the station's clock was wrong, (began, ended, by how many seconds ahead)."""
        events = [event for event in self.story.events if event.do == "clock-wrong"]
        found = []
        for event in events:
            over = (e.at for e in self.story.events if e.at > event.at and e.do in _CLOCK_ENDS)
            by_s = float(event.values.get("by_s", 0)) + 3600 * float(event.values.get("by_h", 0))
            found.append((event.at, next(over, self.story.ends + 1), round(by_s)))
        return found

    def network_up(self, at: int) -> bool:
        """Whether letters can leave the building."""
        return not any(began <= at < ended for began, ended in self._stretches("network-down", "network-up"))

    def free_bytes(self, at: int) -> int:
        """The room left on the card."""
        full = any(began <= at < ended for began, ended in self._stretches("card-full", "card-emptied"))
        return SCARCE_BYTES if full else PLENTY_BYTES

    def truth(self, at: int) -> dict[str, Truth]:
        """How each vessel truly stood at the last minute up to `at`; plays on to there if need be."""
        self._advance(at)
        return {vessel_id: vessel.truth(at) for vessel_id, vessel in self._world.vessels.items()}

    def outcome(self) -> dict[str, Outcome]:
        """What each vessel's latest batch has truly done so far."""
        return {vessel_id: vessel.outcome() for vessel_id, vessel in self._world.vessels.items()}

    def _advance(self, at: int) -> World:
        while self._coming and self._coming[-1].at <= at:
            event = self._coming.pop()
            self._world.advance(event.at)
            self._happen(event)
            self._world.remember()
        self._world.advance(at)
        return self._world

    def _happen(self, event: StoryEvent) -> None:
        letter = self._letter_for(event)
        if event.if_letter is not None and letter is None:
            return
        if event.do in _ROOM:
            _ROOM[event.do](self._world)
        elif event.probe is not None:
            self.probes[event.probe].set_fault(_PROBE_FAULTS[event.do])
        elif event.do in _DEVICES:
            for vessel_id in event.vessels:
                _DEVICES[event.do](self._world.vessels[vessel_id])
        else:
            self._do(event, letter.above_ml if letter else {})

    def _do(self, event: StoryEvent, advised_above_ml: Mapping[str, float]) -> None:
        for vessel_id in event.vessels:  # none for what happens to the station: `off_stretches` has that
            deed = self._person.do(event, self._world.vessels[vessel_id], advised_above_ml)
            if deed is not None:
                self._done.append(deed)

    def _letter_for(self, event: StoryEvent) -> Heard | None:
        fitting = (
            letter
            for letter in self._heard
            if letter.kind == event.if_letter and event.at - event.within_s <= letter.at <= event.at
        )
        return max(fitting, key=lambda letter: letter.at, default=None)

    def _stretches(self, begin: str, end: str) -> list[tuple[int, int]]:
        stretches: list[tuple[int, int]] = []
        began: int | None = None
        for event in self.story.events:
            if event.do == begin and began is None:
                began = event.at
            elif event.do == end and began is not None:
                stretches.append((began, event.at))
                began = None
        return stretches if began is None else [*stretches, (began, self.story.ends)]

    def _probe(self, probe_id: str) -> RehearsalProbe:
        station = self.story.station
        plan = next(p for p in station.probes if p.id == probe_id)
        vessel_id = next((v.id for v in station.vessels if probe_id in v.probes), None)
        return RehearsalProbe(
            plan, self.story.instruments[probe_id], self._advance, vessel_id, self.story.seed
        )


def rehearsal_probes(station: Station, now: int) -> Sequence[RehearsalProbe]:
    """The station's probes of that driver, in one room that begins now; nothing happens in it.

    The room's physics are those of the story that the first such probe names. Raises InputError for a
    story that is not there.
    """
    plans = [plan for plan in station.probes if plan.driver == DRIVER]
    if not plans:
        return []
    story = read_story(str(plans[0].keys.get("story", _STORY)))
    usual = VesselPhysics(CupPhysics(), CystPhysics())
    here = replace(
        story,
        station=replace(station, probes=tuple(plans)),
        vessels={vessel.id: story.vessels.get(vessel.id, usual) for vessel in station.vessels},
        instruments={plan.id: usual_instrument(plan.measures) for plan in plans},
        begins=now,
        ends=now + _A_YEAR_S,
        events=(),
        calls=(),
    )
    return list(StoryWorld(here).probes.values())
