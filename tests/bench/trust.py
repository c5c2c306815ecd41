"""How long it takes until a probe that is not in water is no longer trusted: prints a table for docs.

    python tests/bench/trust.py [FALLS]

Each case plays the simulated room some times, with other weather, another hour and another wetness of the
probe each time. The room's physics are those of the shipped stories. Nothing is asserted.
"""

import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

from daemon.play.story import Story
from daemon.play.story_event import StoryEvent
from daemon.play.story_file import read_story
from daemon.play.story_world import StoryWorld
from daemon.station import Station
from daemon.watching.trust_desk import trust_of
from sensors.reading import Measure, Quality

HOUR_S = 3600
PLACES = {"cup, lamp": "long-weekend", "jar, lamp": "plain-weekend", "cup in the sun": "warm-window"}


@dataclass(frozen=True)
class Case:
    """A kind of trouble, at some hour after the story's begin (08:00), with its station's own room probe."""

    told: str
    do: str
    hours: tuple[float, float]


CASES = (
    Case("out of the water at night", "probe-in-air", (37, 45)),
    Case("out of the water by day", "probe-in-air", (26, 31)),
    Case("sticks in the evening", "probe-stuck", (33, 35)),
)


@dataclass(frozen=True)
class Found:
    """Minutes from the trouble: when it was known, and from when on readings are distrusted (None: never)."""

    known_min: float | None
    since_min: float | None


def without_room(station: Station) -> Station:
    """The station without its room probes."""
    kept = tuple(plan for plan in station.probes if plan.measures is not Measure.ROOM_C)
    ids = {plan.id for plan in kept}
    vessels = tuple(replace(v, probes=tuple(p for p in v.probes if p in ids)) for v in station.vessels)
    return replace(station, probes=kept, vessels=vessels)


def troubled(name: str, case: Case, seed: int) -> tuple[Story, str, int]:
    """A story in which that trouble comes on the second day; its water probe, and when it comes."""
    told = read_story(name)
    vessel = told.station.vessels[0]
    plan = told.station.probe_of(vessel, Measure.WATER_C)
    if plan is None:
        raise LookupError(name)
    chance = random.Random(f"{seed}/{case.told}")
    at = told.begins + round(chance.uniform(*case.hours) * HOUR_S)
    events = tuple(event for event in told.events if event.do == "set")
    trouble = StoryEvent(at, case.do, (), plan.id, None, 0, {})
    return replace(told, seed=seed, ends=at + 15 * HOUR_S, events=(*events, trouble)), plan.id, at


def find(story: Story, probe: str, at: int, station: Station, quality: Quality) -> Found:
    """Play it through the judge alone."""
    world, trust = StoryWorld(story), trust_of(station)
    for beat in range(story.begins, story.ends, 60):
        world.deeds(beat, [])
        for revision in trust.judge(world.bench().sample(beat)).revisions:
            if revision.probe == probe and revision.quality is quality and beat >= at:
                return Found((beat - at) / 60, (revision.since - at) / 60)
    return Found(None, None)


def results(name: str, case: Case, times: int, *, alone: bool) -> Iterator[Found]:
    """One case, some times."""
    quality = Quality.STUCK if case.do == "probe-stuck" else Quality.IN_AIR
    for seed in range(times):
        story, probe, at = troubled(name, case, seed)
        station = without_room(story.station) if alone else story.station
        yield find(story, probe, at, station, quality)


def row(place: str, case: Case, room: str, found: list[Found]) -> str:
    """A line of the table."""
    known = sorted(f.known_min for f in found if f.known_min is not None)
    if not known:
        return f"| {place} | {case.told} | {room} | | | | 0 of {len(found)} |"
    since = sorted(abs(f.since_min) for f in found if f.since_min is not None)
    median, late = known[len(known) // 2], known[-1]
    back, share = since[len(since) // 2], f"{len(known)} of {len(found)}"
    return (
        f"| {place} | {case.told} | {room} | {median:.0f} min | {late:.0f} min | {back:.0f} min | {share} |"
    )


def main() -> None:
    """Print the table."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    print(
        "| vessel | what happens | room probe | known after (median) | latest | back-dated within | found |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for place, name in PLACES.items():
        has_room = any(plan.measures is Measure.ROOM_C for plan in read_story(name).station.probes)
        for case in CASES:
            for alone in (False, True) if has_room else (True,):
                if case.do == "probe-stuck" and alone:
                    continue
                found = list(results(name, case, times, alone=alone))
                print(row(place, case, "no" if alone else "yes", found), flush=True)


if __name__ == "__main__":
    main()
