"""A bare thermometer capsule in the simulated room: what a probe says that came out of its cup.

A steel capsule of 6 mm by 50 mm holds some 5 J/K, so in still air it follows within one to three minutes. It
comes out wet: until the film has dried it is cooled towards the wet bulb. Light that falls on it warms it
above the air. All figures are estimates for such a capsule, no source, drawn anew for each fall.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from daemon.play.world.air import saturated_pa, vapour_pa
from daemon.play.world.cup import CupSurroundings
from daemon.play.world.random_draws import RandomDraws

# 100 W/m² on a steel cylinder: one half absorbed, by 1/π of its side, given off at 13 W/(m²·K) in still air.
LIT_K_PER_W_M2 = 0.5 / math.pi / 13.0
# The same under water, given off at 300 W/(m²·K).
SUNK_K_PER_W_M2 = 0.5 / math.pi / 300.0
_GAMMA_PA_PER_K = 85.0  # psychrometer constant, 66 ventilated; still air and radiation raise it
_DRAUGHT_K = {True: 0.15, False: 0.04}  # air at one place of a room wanders so: by day, by night
_DRAUGHT_MIN = 2.0
_DRIES_MIN = 2.0
_DRAUGHTS = 8


@dataclass(frozen=True, slots=True)
class Fall:
    """How a capsule left the water: when (Unix s), how warm, its lag, how wet and for how long."""

    at: int
    water_c: float
    lag_min: float
    wet_share: float
    wet_min: float


def fall(at: int, water_c: float, draws: RandomDraws) -> Fall:
    """A fall at `at`; how wet and how quick the capsule is, is chance."""
    lag_min = 1.2 + 1.6 * draws.uniform()
    return Fall(at, water_c, lag_min, 0.3 + 0.5 * draws.uniform(), 4.0 + 10.0 * draws.uniform())


def bare_c(fell: Fall, at: int, lately: Sequence[CupSurroundings], light_w_m2: Sequence[float]) -> float:
    """What the capsule has come to at `at`, after the last minutes of air and light, the newest last.

    Older minutes than these no longer matter: they are several times its lag.
    """
    keep = math.exp(-1.0 / fell.lag_min)
    since_min = max(0, (at - fell.at) // 60)
    felt_c = fell.water_c if since_min <= len(lately) else None
    for back in range(min(since_min, len(lately)) - 1, -1, -1):
        around, light = lately[-1 - back], light_w_m2[-1 - back]
        there = around.air_c + light * LIT_K_PER_W_M2 - _wet(fell, since_min - back) * wet_bulb_drop_k(around)
        felt_c = there if felt_c is None else there + keep * (felt_c - there)
    return fell.water_c if felt_c is None else felt_c


def _wet(fell: Fall, minutes: float) -> float:
    """How much of the wet bulb is felt so long after the fall."""
    dried_min = max(0.0, minutes - fell.wet_min)
    return fell.wet_share * math.exp(-dried_min / _DRIES_MIN) if dried_min < 10 * _DRIES_MIN else 0.0


def wet_bulb_drop_k(around: CupSurroundings) -> float:
    """How far a wet body in still air stands below it, K (psychrometer equation, by bisection)."""
    room_pa = vapour_pa(around.vapour, around.air_c)
    low, high = 0.0, 25.0
    for _ in range(20):
        drop = (low + high) / 2
        lacking = saturated_pa(around.air_c - drop) - room_pa - _GAMMA_PA_PER_K * drop
        low, high = (drop, high) if lacking > 0 else (low, drop)
    return low


def draught_k(seed: int, probe: str, at: int, *, by_day: bool) -> float:
    """The air's own fluctuation at the capsule, with the capsule's lag; the same at the same minute."""
    minute = at // 60
    weights = [math.exp(-back / _DRAUGHT_MIN) for back in range(_DRAUGHTS)]
    draws = [RandomDraws(seed, f"{probe} draught {minute - back}").normal() for back in range(_DRAUGHTS)]
    norm = math.sqrt(sum(weight * weight for weight in weights))
    return _DRAUGHT_K[by_day] * sum(w * d for w, d in zip(weights, draws, strict=True)) / norm
