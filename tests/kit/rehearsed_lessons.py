"""The lessons of `planned_lessons` in the world of rehearsals: another room, cup and hatch again. Test-only.

Planned with water as somebody stated it, for any tin. Of a rehearsal's world the air and walls, the cup's
heat by its analogy and a linear law of degree hours are played; what differs from seed to seed is drawn from
the handbook's figures as in `other_physics`, and marked there. Nobody keeps the cysts dark.
"""

import math
import random
from dataclasses import replace

from daemon.planning.start import planned
from daemon.planning.start_ground import stated_ground
from daemon.planning.stated_warmth import StatedWarmth
from daemon.play.world.cup import CupPhysics
from daemon.play.world.cysts import Brood, CystPhysics
from daemon.play.world.random_draws import RandomDraws
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from daemon.play.world.vessel import VesselPhysics
from daemon.play.world.world import World
from daemon.station import Station
from tests.kit.other_physics import DAY, HOUR, MONDAY, SYNCHRONIES_H
from tests.kit.planned_lessons import Outcome, before, lesson_of, within
from tests.kit.station import probe, station, vessel
from tests.kit.weekends import Shelf

STEP_S = 60
LAMPS = ((0.0, 24.0), (18.0, 31.0), (7.0, 18.0), (0.0, 0.0))
LUX = 1000.0
FOLLOWED = 8 * DAY
_SPREAD = 2.0 * 1.2816  # sds from a tenth to nine tenths of a normal

Water = dict[int, tuple[float, float]]  # by minute: °C, and salt in g/kg


def outcome_of(seed: int) -> Outcome:
    """Plans a lesson, and follows what comes."""
    lesson = replace(lesson_of(seed), seed=seed)
    rng = random.Random(f"rehearsed {seed}")
    cysts = _cysts(rng)
    where, water = _lived(seed, rng, lesson.span[1] + FOLLOWED)
    stated = _stated(water, lesson.now, rng)
    made_from = stated_ground(where, where.vessels[0], None, stated, lesson.span, lesson.now)
    plan = planned(where, lesson.span, lesson.now, made_from)
    best = plan.options[0] if plan.options else None

    def half(set_at: int) -> dict[float, float]:
        return _hatched(cysts, water, set_at, seed)

    hatch = None if best is None else half(best.set_at)
    seen = hatch is not None and hatch[0.1] <= lesson.span[1] and hatch[0.9] >= lesson.span[0]
    two = [] if plan.hedge is None else [half(at)[0.5] for at in plan.hedge.set_at]
    return Outcome(
        replace(lesson, seed=4 * seed),  # of the first cell: stated
        0.0 if best is None else best.share_in_lesson,
        0.0 if best is None else best.under_way,
        None if best is None else best.t50,
        None if hatch is None else hatch[0.5],
        seen,
        within(half(before(lesson, 1))[0.5], lesson.span),
        within(half(before(lesson, 2))[0.5], lesson.span),
        None if plan.hedge is None else plan.hedge.share_in_lesson,
        any(within(at, lesson.span) for at in two),
    )


def _cysts(rng: random.Random) -> CystPhysics:
    base_c, t50_h = rng.uniform(9.5, 12.5), math.exp(rng.gauss(math.log(18.5), 0.27))
    need = t50_h * (25.0 - base_c)
    return CystPhysics(
        base_c=base_c,
        degree_hours=need,
        scatter_degree_hours=need * rng.choice(SYNCHRONIES_H) / 18.5 / _SPREAD,
    )


def _lived(seed: int, rng: random.Random, until: int) -> tuple[Station, Water]:
    """A cup that stands there with brine in it: what its water was, minute by minute."""
    cups = station(probe("water"), vessel("cup", "water"), zone="UTC")
    lamp = Shelf(rng.choices(LAMPS, (30, 30, 20, 20))[0]).told()
    where = replace(cups, vessels=(replace(cups.vessels[0], lamp=lamp),))
    sky = SkyPhysics(outdoor_c=rng.uniform(-3.0, 14.0), outdoor_wander_c=rng.uniform(1.0, 3.0))
    room = RoomPhysics(day_c=rng.uniform(19.5, 22.0), setback_c=rng.uniform(14.5, 20.0))
    cup = CupPhysics(lamp_w=rng.uniform(0.55, 1.25))
    began = MONDAY - 3 * DAY
    world = World(where, sky, room, {"cup": VesselPhysics(cup, CystPhysics())}, seed=seed, begins=began)
    held = world.vessels["cup"].cup
    held.pour(250.0, 6.2, 20.0)
    water: Water = {}
    for at in range(began + STEP_S, until, STEP_S):
        world.advance(at)
        if at % DAY == 9 * HOUR:  # somebody tops it up
            held.pour(max(0.0, held.loss_ml), 0.0, 19.0)
        water[at] = held.water_c, held.salinity_g_per_kg
    return where, water


def _stated(water: Water, now: int, rng: random.Random) -> StatedWarmth:
    """As in `planned_lessons`."""
    day = max(at for at in water if at <= now and at % DAY == 13 * HOUR and (at - MONDAY) // DAY % 7 < 5)
    nights = [at for at in water if at <= now and at % DAY == 5 * HOUR]
    night = max([at for at in nights if (at - MONDAY) // DAY % 7 in (1, 2, 3, 4)] or nights)
    day_c, night_c = (float(round(water[at][0] + rng.gauss(0.0, 0.3))) for at in (day, night))
    return StatedWarmth(day_c, night_c if rng.random() < 0.6 else None)


def _hatched(cysts: CystPhysics, water: Water, set_at: int, seed: int) -> dict[float, float]:
    """When a tenth, half and nine tenths hatched of a batch set then, Unix s."""
    brood, found = Brood(cysts, RandomDraws(seed, "planned"), lit_at_set=True), {}
    for at in range(set_at, max(water), STEP_S):
        brood.step(STEP_S, *water[at], LUX)
        if at % 600 == 0:
            share = brood.census().hatched_fraction
            found |= {part: float(at) for part in (0.1, 0.5, 0.9) if part not in found and share >= part}
            if 0.9 in found:
                break
    return {part: found.get(part, float(max(water))) for part in (0.1, 0.5, 0.9)}
