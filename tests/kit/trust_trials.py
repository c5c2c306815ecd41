"""Courses of `air_and_water` through the judge: when a probe is doubted, distrusted and believed again."""

import random
from dataclasses import dataclass

from sensors.reading import Measure, Quality, Reading
from sensors.trust.judge import Judge, Watched
from tests.kit.air_and_water import Course
from tests.kit.other_physics import HOUR, MONDAY

SAMPLINGS_S = (60, 300, 600, 1800)
_WATER, _ROOM = "cup-water", "room-air"


@dataclass(frozen=True, slots=True)
class Judged:
    """What was made of a course, in hours from its begin; None for what did not come.

    `false_h` holds when trust was wrong first: a doubt or worse in the water, or trust in the air again.
    """

    course: Course
    every_s: int
    doubted_h: float | None
    distrusted_h: float | None
    since_h: float | None
    believed_h: float | None
    false_h: tuple[float, ...]


def sampled_every(seed: int) -> int:
    """Each seed has its sampling."""
    return SAMPLINGS_S[seed % len(SAMPLINGS_S)]


def out_and_back(kind: str, seed: int) -> Course:
    """A week in which the probe slips out on the third or fourth day, and is put back a day or two later."""
    chance = random.Random(f"out {kind} {seed}")
    out_h = chance.uniform(50.0, 80.0)
    return Course(kind, seed, out_h=(out_h, out_h + chance.uniform(30.0, 48.0)))


def judged(course: Course, every_s: int) -> Judged:
    """Play a course through the judge."""
    mark_ml, lit, minutes = course.told()
    plans = [Watched(_WATER, Measure.WATER_C, mark_ml, _ROOM, lit=lit), Watched(_ROOM, Measure.ROOM_C)]
    trust, out = Judge(plans, every_s), course.out_h or (float("inf"), float("inf"))
    doubted = distrusted = since = believed = None
    false = []
    for minute in minutes:
        if minute.at % every_s:
            continue
        beat = [
            Reading(minute.at, _ROOM, minute.room_c, Quality.GOOD),
            Reading(minute.at, _WATER, minute.water_c, Quality.GOOD),
        ]
        found = trust.judge(beat)
        in_air, hours = found.readings[-1].quality is Quality.IN_AIR, (minute.at - MONDAY) / HOUR
        if out[0] <= hours < out[1]:
            if doubted is None and (in_air or trust.doubts):
                doubted = hours
            if in_air and distrusted is None:
                began = found.revisions[0].since if found.revisions else minute.at
                distrusted, since = hours, (began - MONDAY) / HOUR
            if distrusted is not None and not in_air:
                false.append(hours)
        elif hours >= out[1] and believed is None:
            believed = None if in_air else hours
        elif in_air or trust.doubts:
            false.append(hours)
    return Judged(course, every_s, doubted, distrusted, since, believed, tuple(false))
