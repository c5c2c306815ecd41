"""Cones in `other_physics` whose tin hatched once before in a watched cup, and what came of them. Test-only.

A seed is a room, a cup under its lamp, a lot, and a cone that is set of the same lot a week later. Its
heater holds what it should to 0.3 K, its brine is mixed to 5 %, and two hatches of a lot differ by 5 % (all
as an sd).
"""

import random
from dataclasses import dataclass
from math import exp

from daemon.planning.cone import ConeHatch, SeenTin
from daemon.planning.hatched_by import start_of
from daemon.planning.start_ground import learned_lot
from daemon.science.brine import salinity_in_a_litre
from daemon.science.strains import UNKNOWN
from tests.kit.other_physics import Lot
from tests.kit.planned_lessons import known_tin


@dataclass(frozen=True, slots=True)
class SetCone:
    """What was promised with the tin's earlier hatch and without; when half and nine in ten were out, h."""

    with_it: ConeHatch
    without: ConeHatch
    half_h: float
    opens_h: float


def set_cone(seed: int) -> SetCone:
    """Plans a cone, and follows what comes."""
    rng, lot, learned = random.Random(f"cone of a tin {seed}"), Lot(seed), known_tin(seed)
    assert learned.hatches_seen == 1
    water_c, salt_g_per_l = float(rng.randint(23, 29)), rng.uniform(20.0, 33.0)
    tin = SeenTin(learned_lot(learned), learned.hatches_seen)
    pace = lot.pace(water_c + rng.gauss(0.0, 0.3), salinity_in_a_litre(salt_g_per_l * rng.gauss(1.0, 0.05)))
    t50_h = lot.t50_h * exp(rng.gauss(0.0, 0.05)) / pace
    return SetCone(
        ConeHatch(water_c, salt_g_per_l, tin.start),
        ConeHatch(water_c, salt_g_per_l, start_of(UNKNOWN)),
        t50_h,
        t50_h * _times_t50(lot, 0.9),
    )


def _times_t50(lot: Lot, share: float) -> float:
    low, high = 0.1, 20.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if lot.share(middle) < share else (low, middle)
    return high
