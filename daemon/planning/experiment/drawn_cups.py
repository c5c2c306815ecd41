"""Cups drawn by chance: how many cysts hatch in one, where cups of a level differ more than chance has it.

Beta-binomial: each cup has a share of its own. A cup is one draw from a table of all that can be, so that a
thousand experiments take a Pi seconds, not minutes.
"""

from bisect import bisect_right
from functools import lru_cache
from itertools import accumulate
from random import Random

_AS_BY_CHANCE = 1.0 + 1e-6  # a dispersion below that is chance alone


def drawn_cup(chance: Random, of: int, share: float, dispersion: float) -> int:
    """How many of `of` hatch in a cup, whose level has that share. Variance is `dispersion` times the
    binomial's."""
    return min(bisect_right(_at_most(of, share, dispersion), chance.random()), of)


@lru_cache(maxsize=8)  # a design has three shares; a table of a thousand cysts takes 32 kB
def _at_most(of: int, share: float, dispersion: float) -> list[float]:
    """The chance of at most 0, 1, … of `of`.

    α + β = (of − 1)/(dispersion − 1) − 1. By the ratio of one number's chance to the next one's, from the
    middle outwards (Johnson, Kemp & Kotz, *Univariate Discrete Distributions*, ch. 6) [M].
    """
    if not 0.0 < share < 1.0:
        return [float(share <= 0.0)] * of + [1.0]
    middle = round(of * share)
    weights = [0.0] * (of + 1)
    weights[middle] = 1.0
    for k in range(middle, of):
        weights[k + 1] = weights[k] * _ratio(k, of, share, dispersion)
    for k in range(middle - 1, -1, -1):
        weights[k] = weights[k + 1] / _ratio(k, of, share, dispersion)
    total = sum(weights)
    return [one / total for one in accumulate(weights)]


def _ratio(k: int, of: int, share: float, dispersion: float) -> float:
    """How many times as likely k + 1 are as k."""
    ways = (of - k) / (k + 1)
    if dispersion < _AS_BY_CHANCE:
        return ways * share / (1.0 - share)
    both = (of - 1) / (dispersion - 1.0) - 1.0
    return ways * (k + share * both) / (of - k - 1 + (1.0 - share) * both)
