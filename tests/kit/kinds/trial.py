"""One kind of station, plain or with one failure: played through the real daemon, and what came of it."""

from dataclasses import dataclass, replace
from pathlib import Path

from daemon.config import parse_station
from daemon.play.story import Story
from daemon.play.story_event import EventReading, StoryEvent
from daemon.play.story_world import StoryWorld
from daemon.play.world.cysts import CystPhysics
from daemon.play.world.person import PersonPhysics
from daemon.play.world.probe import usual_instrument
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from daemon.play.world.vessel import VesselPhysics
from daemon.station import Station
from tests.kit.kinds.calendar import WINTER, Calendar
from tests.kit.kinds.failures import FAILURES, Failure
from tests.kit.kinds.routines import Event
from tests.kit.kinds.stations import KINDS, Kind
from tests.kit.kinds.windows import Scene, Window
from tests.kit.telling import WEEK_S, Letter, Telling, tell_world

PLAIN = "plain"
PLAIN_BEAT_S = 1200
_DAY_S = 86_400
_SKY, _ROOM = SkyPhysics(outdoor_c=5, outdoor_swing_c=3), RoomPhysics(setback_c=18.5, envelope_w_per_k=190)
# As in the story of the sunny window.
_SUNNY_SKY = SkyPhysics(
    outdoor_c=15.5, outdoor_swing_c=7, outdoor_rh_pct=50, sunshine=0.98, window_azimuth_deg=130
)
_SUNNY_ROOM = RoomPhysics(heater_w=0, window_m2=20, people=10)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one trial came to. `window` is None where there was nothing to tell."""

    kind: str
    failure: str
    began: int
    window: Window
    telling: Telling
    expected: tuple[str, ...]
    in_subject: str
    most: int
    follows: tuple[str, ...] = ()
    in_night: str = ""

    @property
    def answers(self) -> list[Letter]:
        """The letters that tell of the failure, from its beginning on."""
        since = self.began if self.window is None else min(self.began, self.window[0])
        return [one for one in self.telling.of(*self.expected) if one.at >= since]

    @property
    def told_h(self) -> float | None:
        """Hours from the trouble to the first letter that tells of it in its window; None: there is none."""
        if self.window is None:
            return None
        first, last = self.window
        nights = [x for x in self.nights if self.in_night and self.in_night in x.subject]
        told = [*(x for x in self.answers if self.in_subject in x.subject), *nights]
        came = sorted((x for x in told if first <= x.at <= last), key=lambda letter: letter.at)
        return (came[0].at - self.began) / 3600 if came else None

    @property
    def missed(self) -> bool:
        """Whether there was something to tell, and no letter told it in its window."""
        return self.window is not None and self.told_h is None

    @property
    def again(self) -> list[Letter]:
        """Letters about the same within a day of the first, beyond those that say something new."""
        return [x for x in self.answers[self.most :] if x.at - self.answers[0].at < _DAY_S]

    @property
    def not_asked_for(self) -> list[Letter]:
        """Unplanned letters that are about something else, or about nothing."""
        told = [] if self.window is None else self.answers
        return [x for x in self.telling.unplanned if x not in told and x.kind not in self.follows]

    @property
    def most_planned_a_week(self) -> int:
        """The most planned letters beside the nightly ones in any seven days."""
        ats = [one.at for one in self.telling.planned]
        return max((sum(1 for at in ats if last - WEEK_S < at <= last) for last in ats), default=0)

    @property
    def nights(self) -> list[Letter]:
        """The nightly letters."""
        return self.telling.of("nightly")


def trial(kind_name: str, failure_name: str, days: int, kept: Path | None = None) -> Outcome:
    """Play a kind of station for so many plain days, or with a failure for as long as that takes."""
    kind = KINDS[kind_name]
    failure = None if failure_name == PLAIN else FAILURES[failure_name]
    story = plain_story(kind, days) if failure is None else failure_story(kind, failure)
    world = StoryWorld(story)
    telling = tell_world(world, kept)
    if failure is None:
        return Outcome(kind_name, PLAIN, story.begins, None, telling, (), "", 0)
    began = Calendar(failure.monday, failure.days).at(*failure.began_on(kind))
    window = failure.window(Scene(world, kind.vessel, began))
    told_by = (failure.kinds, failure.in_subject, failure.most, failure.follows, failure.in_night)
    return Outcome(kind_name, failure_name, began, window, telling, *told_by)


def plain_story(kind: Kind, days: int) -> Story:
    """So many days in which nothing goes wrong."""
    calendar = Calendar(WINTER, days)
    return _story(kind, f"{kind.name} plain", kind.title, calendar, kind.routine(calendar), PLAIN_BEAT_S)


def failure_story(kind: Kind, failure: Failure) -> Story:
    """The same weeks with one thing that goes wrong."""
    calendar = Calendar(failure.monday, failure.days)
    began = calendar.at(*failure.began_on(kind))
    done = [event for event in kind.routine(calendar) if failure.keeps(kind, event, began)]
    events = [*done, *failure.events(kind, calendar)]
    story = _story(kind, f"{kind.name} {failure.name}", failure.tell, calendar, events, failure.beat_s)
    story = replace(story, begins=calendar.at(0, failure.opens))
    if failure.sun is None:
        return story
    cup = replace(kind.cup, sun_share=1.0, daylight_pct=8.0, sill_k_per_100_w_m2=kind.sill_k[failure.sun])
    vessels = {name: replace(of, cup=cup) for name, of in story.vessels.items()}
    return replace(story, sky=_SUNNY_SKY, room=_SUNNY_ROOM, vessels=vessels)


def _story(kind: Kind, name: str, tell: str, calendar: Calendar, events: list[Event], beat_s: int) -> Story:
    text = kind.station_text(beat_s)
    station = parse_station(text, name)
    begins, ends = calendar.at(0, "08:00"), calendar.at(calendar.days, "08:00")
    return Story(
        name=name,
        title=kind.title,
        tell=tell,
        seed=sum(map(ord, name)),
        begins=begins,
        ends=ends,
        station=station,
        station_text=text,
        sky=_SKY,
        room=_ROOM,
        person=PersonPhysics(),
        vessels={v.id: VesselPhysics(kind.cup, CystPhysics()) for v in station.vessels},
        instruments={p.id: usual_instrument(p.measures) for p in station.probes},
        events=_events(events, station, (begins, ends)),
        calls=(),
    )


def _events(raw: list[Event], station: Station, times: tuple[int, int]) -> tuple[StoryEvent, ...]:
    """Checked as those of a story file are."""
    faults: list[str] = []
    vessels, probes = (tuple(one.id for one in of) for of in (station.vessels, station.probes))
    reading = EventReading(vessels, probes, times, faults)
    read = [reading.event(event, f"event[{place}]") for place, event in enumerate(raw, start=1)]
    assert not faults, faults
    return tuple(sorted((event for event in read if event is not None), key=lambda event: event.at))
