"""The first weekend of a room that is kept warm by night: as other days, or set back from Friday on.

A night that lies level tells of a heating that holds it. Whether that rests on weekends no week before the
first one tells, and in between lies nothing: so two explanations stand side by side (Gaussian sum, Alspach &
Sorenson 1972 [M]), each on its own paths of a forecast, until a first Friday evening says which.
"""

from math import exp

from daemon.estimates.warmth.normal_paths import PATHS, order
from daemon.estimates.warmth.room_state import Slot, idle

# Level to this slope at the night's end, and no deeper than this below the mean of evening and morning, each
# with how sharp [P].
LEVEL_K_PER_H, SHARP_K_PER_H = -0.04, 0.012
SHALLOW_K, SHARP_K = 0.7, 0.12
# Of such rooms so many are set back, by so much on the days without people and a share of it in the night
# before; the others differ from their other days by so much [P].
SET_BACK, SET_BACK_K, SET_BACK_SD, SET_BACK_LEAST_K, FRIDAY_SHARE, OWN_SD = 0.5, 3.5, 1.2, 0.5, 0.5, 0.25
SET_BACK_ORDER = 977


def kept_warm(slope_k_per_h: float, depth_k: float) -> float:
    """How likely a heating holds the nights, by how they fall when they end and how deep they are, K."""
    level = _share((slope_k_per_h - LEVEL_K_PER_H) / SHARP_K_PER_H)
    return level * _share((SHALLOW_K - depth_k) / SHARP_K)


def set_back_k(warm: float) -> list[float | None]:
    """By path: how far its first weekend lies below other days, K; None where the pattern alone counts."""
    others, both = round(warm * (1.0 - SET_BACK) * PATHS), round(warm * PATHS)
    found: list[float | None] = []
    for path, z in enumerate(order(SET_BACK_ORDER)):
        place = path * 31 % PATHS
        if place < others:
            found.append(OWN_SD * z)
        elif place < both:
            found.append(max(SET_BACK_LEAST_K, SET_BACK_K + SET_BACK_SD * z))
        else:
            found.append(None)
    return found


def set_back(
    apart: list[float], depths_k: list[float | None], off_k: float, surer: list[float], place: Slot
) -> list[float]:
    """By path, how far it lies from the pattern's middle in an hour of the weekend or of the night before.

    `apart` is so by the pattern alone, `off_k` other days' middle, `surer` what is better known of those.
    """
    share = _share_of_depth(place)
    return [
        k if depth is None else k + off_k - share * depth - less
        for k, depth, less in zip(apart, depths_k, surer, strict=True)
    ]


def _share_of_depth(place: Slot) -> float:
    """How much of it is there in a slot of the weekend, or of the night before."""
    return FRIDAY_SHARE * place.eve if place.school_day else idle(place.hour)


def _share(log_odds: float) -> float:
    return 1.0 / (1.0 + exp(-min(40.0, max(-40.0, log_odds))))
