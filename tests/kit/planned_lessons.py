"""Lessons in `other_physics` for which a start is planned, and what came of it. Test-only.

**Tuning: use seeds from 10,000 up; those from 20,000 up judge** (tests/bench/starts.py), the first few of
them in the suite's short form.

A seed is a room, a cup under its lamp, a lot, and a lesson. Of four lessons one is planned with water as
somebody stated it, one so with a lot of which an earlier hatch was looked at, one with what the station has
learned of the water in a week, and one with both. What is stated was read off a thermometer on the day and in
the night before (0.3 K off as an sd, rounded to whole degrees); of nights four in ten say nothing.
"""

import random
from dataclasses import dataclass, replace

from daemon.estimates.quantile import Estimate
from daemon.hours import Span
from daemon.planning.start import StartGround, planned
from daemon.planning.start_ground import Learned, learned_ground, stated_ground, with_lot
from daemon.planning.stated_warmth import StatedWarmth
from daemon.station import Station
from tests.kit.other_people import Act, People
from tests.kit.other_physics import DAY, HOUR, MONDAY, Cup, Lot, Room
from tests.kit.station import probe, station, vessel
from tests.kit.weekends import SIZE, STEP_S, Played, Shelf

CELLS = ("stated", "stated, known tin", "learned", "learned, known tin")
BEGAN = MONDAY - 8 * DAY
LENGTHS_MIN = (45, 90, 90, 180, 330)
FOLLOWED = 12 * DAY
SCHOOL = (8 * HOUR, 15 * HOUR + HOUR // 2)


@dataclass(frozen=True, slots=True)
class Lesson:
    """When it was planned and for when (Unix s)."""

    seed: int
    now: int
    span: Span

    @property
    def cell(self) -> int:
        """How it is planned: a place in CELLS."""
        return self.seed % len(CELLS)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was promised for the best option, and when half of it hatched; None where there was no option.

    `day_before`, `two_before`: whether rules of thumb met the lesson.
    """

    lesson: Lesson
    share: float
    under_way: float
    t50: Estimate | None
    truth: float | None
    seen: bool
    day_before: bool
    two_before: bool
    hedge: float | None
    hedge_met: bool

    @property
    def met(self) -> bool:
        """Whether half hatched within the lesson."""
        return self.truth is not None and within(self.truth, self.lesson.span)

    @property
    def met_as_advised(self) -> bool:
        """Whether the lesson was met by one of the two cups that the plan names, or by its one where it names
        none."""
        return self.met if self.hedge is None else self.hedge_met

    @property
    def met_by_rule(self) -> bool:
        """The same by one cup a day before and one two days before."""
        return self.day_before or self.two_before


def within(at: float, span: Span) -> bool:
    """Whether a moment lies in a stretch."""
    return span[0] <= at < span[1]


def lesson_of(seed: int) -> Lesson:
    """Planned on a school day, for another one or two days up to a week and more later."""
    rng = random.Random(f"lesson {seed}")
    now = MONDAY + rng.randrange(5) * DAY + SCHOOL[0] + rng.randrange(15) * HOUR // 2
    length = rng.choice(LENGTHS_MIN) * 60
    while True:
        day = (now - MONDAY) // DAY + rng.randrange(2, 10)
        if day % 7 < 5:
            latest = (SCHOOL[1] - SCHOOL[0] - length) // 900
            began = MONDAY + day * DAY + SCHOOL[0] + rng.randrange(latest + 1) * 900
            return Lesson(seed, now, (began, began + length))


def station_of(cup: Cup) -> Station:
    """The station file of such a room."""
    cups = station(probe("water"), vessel("cup", "water"), zone="UTC")
    return replace(cups, vessels=(replace(cups.vessels[0], lamp=Shelf(cup.lamp_h).told()),))


def outcome_of(seed: int) -> Outcome:
    """Plans a lesson, and follows what comes."""
    lesson = lesson_of(seed)
    room = Room(seed)
    where = station_of(Cup(seed, SIZE, room))
    made_from = _ground(lesson, where)
    plan = planned(where, lesson.span, lesson.now, made_from)
    best = plan.options[0] if plan.options else None
    truth = None if best is None else half_at(seed, best.set_at)[0.5]
    rules = [within(half_at(seed, at)[0.5], lesson.span) for at in (before(lesson, 1), before(lesson, 2))]
    hedge_met = plan.hedge is not None and any(
        within(half_at(seed, at)[0.5], lesson.span) for at in plan.hedge.set_at
    )
    seen = False
    if best is not None:
        hatch = half_at(seed, best.set_at)
        seen = hatch[0.1] <= lesson.span[1] and hatch[0.9] >= lesson.span[0]
    return Outcome(
        lesson,
        0.0 if best is None else best.share_in_lesson,
        0.0 if best is None else best.under_way,
        None if best is None else best.t50,
        truth,
        seen,
        *rules,
        None if plan.hedge is None else plan.hedge.share_in_lesson,
        hedge_met,
    )


def before(lesson: Lesson, days: int) -> int:
    """The lesson's hour so many days before it; where nobody is there, on the school day before that."""
    at = lesson.span[0] - days * DAY
    while (at - MONDAY) // DAY % 7 > 4:
        at -= DAY
    return at


def half_at(seed: int, set_at: int) -> dict[float, float]:
    """When a tenth, half and nine tenths hatched of a batch set then, Unix s."""
    room = Room(seed)
    cup, lot = Cup(seed, SIZE, room), Lot(seed)
    people = People(f"{seed} planned", cup, SIZE, 0, lambda _: None)
    found: dict[float, float] = {}
    for now in range(BEGAN + STEP_S, set_at + FOLLOWED, STEP_S):
        room.live(now, STEP_S)
        cup.live(now, STEP_S)
        if cup.lot is None and now >= set_at:
            people.act(Act(now, "set"), lot, 2)
        elif cup.lot is not None:
            for share in (0.1, 0.5, 0.9):
                if share not in found and cup.share >= share:
                    found[share] = float(now)
            if 0.9 in found:
                return found
    return {share: found.get(share, float(set_at + FOLLOWED)) for share in (0.1, 0.5, 0.9)}


def _ground(lesson: Lesson, where: Station) -> StartGround:
    learned = _learned(lesson) if lesson.cell else None
    if lesson.cell > 1 and learned is not None:
        return learned_ground(learned, lesson.span, lesson.now)
    ground = stated_ground(where, where.vessels[0], None, _stated(lesson), lesson.span, lesson.now)
    return ground if learned is None else with_lot(ground, learned)


def _stated(lesson: Lesson) -> StatedWarmth:
    """What a thermometer showed at one o'clock of the last school day, and at five in the morning of it."""
    room, rng = Room(lesson.seed), random.Random(f"stated {lesson.seed}")
    cup = Cup(lesson.seed, SIZE, room)
    water: dict[int, float] = {}
    for now in range(BEGAN + STEP_S, lesson.now + 1, STEP_S):
        room.live(now, STEP_S)
        cup.live(now, STEP_S)
        if now % HOUR == 0:
            water[now] = cup.water_c
    day = max(at for at in water if at % DAY == 13 * HOUR and (at - MONDAY) // DAY % 7 < 5)
    night = max(at for at in water if at % DAY == 5 * HOUR and (at - MONDAY) // DAY % 7 in (1, 2, 3, 4))
    day_c, night_c = (round(water[at] + rng.gauss(0.0, 0.3)) for at in (day, night))
    return StatedWarmth(float(day_c), float(night_c) if rng.random() < 0.6 else None)


def known_tin(seed: int) -> Learned:
    """What a week of readings and looks at an earlier hatch of the lot have taught."""
    return _learned(lesson_of(seed), known_lot=True)


def _learned(lesson: Lesson, *, known_lot: bool = False) -> Learned:
    """What a week of readings has taught, and an earlier hatch of the lot where there was one."""
    acts: list[Act] = []
    if known_lot or lesson.cell % 2:
        rng = random.Random(f"earlier {lesson.seed}")
        set_at = MONDAY - 7 * DAY + rng.randrange(2) * DAY + rng.choice((9, 11, 13, 14)) * HOUR
        looks = [(set_at // DAY + day) * DAY + hour * HOUR for day in range(4) for hour in (8, 11, 15)]
        acts = [Act(set_at, "set"), *(Act(at, "look") for at in looks if at > set_at and at % (7 * DAY))]
        acts += [Act(MONDAY - 3 * DAY + 15 * HOUR, "end")]
    week = Played(lesson.seed, acts, BEGAN, 0, room_probe=(False,))
    week.to(lesson.now)
    belief = week.beliefs[False]
    start, seen = belief.lot_ahead("one" if acts else None, lesson.now)
    hours = belief.water_ahead(lesson.now)
    nodes = tuple(tuple(row) for row in start.nodes)
    return Learned(lesson.now // HOUR * HOUR, tuple(hours), nodes, seen)
