"""The grid of what is not known about a hatch: the lot's speed and evenness, and the temperature law.

A node is a pair (T50 at 25 °C, synchrony). A path is one way in which the recorded temperatures may have
counted: three slopes of the temperature law times three readings of what was not measured or not known.
"""

from collections.abc import Callable, Sequence
from copy import copy
from functools import cache
from math import exp, log

from daemon.estimates.quantile import normal_cdf
from daemon.science.hatching import (
    SYNCHRONY_LN_SD,
    SYNCHRONY_MEDIAN,
    T50_LN_SD,
    T50_MEDIAN_H,
    dose_at_share,
    hatched_share,
)

T50_EACH_SIDE, T50_STEP = 17, 0.18  # steps of so many sd: three to either side
SYNCHRONY_EACH_SIDE, SYNCHRONY_STEP = 3, 0.75
SYNCHRONIES = 2 * SYNCHRONY_EACH_SIDE + 1

# The temperature law's slope: pace to these powers, and where in its margin an unknown pace lay. Each is
# the 10, 50 and 90 % point of what is believed, with the weights (Swanson's rule) that keep the variance.
SLOPES = (0.8, 1.0, 1.2)
MARGINS = (-1, 0, 1)
SWANSON = (0.3, 0.4, 0.3)
PATHS = tuple((slope, margin) for slope in SLOPES for margin in MARGINS)
PATH_WEIGHT = tuple(a * b for a in SWANSON for b in SWANSON)

# "First swimmer": somebody sees the first animals when one or two in a hundred are out [P]; with a tenth
# out most would speak of a hatch, not of the first.
FIRST_SHARE, FIRST_LN_SD = 0.015, 0.8
NO_LONGER_FIRST = 0.25
# A share judged by eye, and how often it is judged of the wrong thing (all cysts, shells) [P].
LOOK_SD, LOOK_WRONG = 0.15, 0.03
WITHIN_LOT_LN_SD = 0.10  # two hatches of one lot under one law: hydration, light, air differ [P]


def _t50_z(i: int) -> float:
    return (i - T50_EACH_SIDE) * T50_STEP


def _synchrony_z(i: int) -> float:
    return (i - SYNCHRONY_EACH_SIDE) * SYNCHRONY_STEP


@cache
def nodes() -> tuple[tuple[float, float], ...]:
    """Every node's T50 (h at 25 °C) and synchrony."""
    return tuple(
        (
            T50_MEDIAN_H * exp(T50_LN_SD * _t50_z(i)),
            SYNCHRONY_MEDIAN * exp(SYNCHRONY_LN_SD * _synchrony_z(j)),
        )
        for i in range(2 * T50_EACH_SIDE + 1)
        for j in range(SYNCHRONIES)
    )


@cache
def doses_for(share: float) -> tuple[tuple[float, int], ...]:
    """The dose at which `share` of the hatchable has hatched, with its node, by rising dose."""
    return tuple(sorted((dose_at_share(share, t50, s), n) for n, (t50, s) in enumerate(nodes())))


@cache
def prior() -> tuple[float, ...]:
    """Weights of the nodes before anything is known of the lot."""
    weights = [
        exp(-0.5 * (_t50_z(i) ** 2 + _synchrony_z(j) ** 2))
        for i in range(2 * T50_EACH_SIDE + 1)
        for j in range(SYNCHRONIES)
    ]
    total = sum(weights)
    return tuple(w / total for w in weights)


class HatchGrid:
    """Weights over paths and nodes."""

    def __init__(self, node_weights: Sequence[float]) -> None:
        self.weight = [[p * w for w in node_weights] for p in PATH_WEIGHT]

    def copy(self) -> "HatchGrid":
        """A copy that goes its own way."""
        twin = copy(self)
        twin.weight = [list(row) for row in self.weight]
        return twin

    def node_weights(self) -> list[float]:
        """What is believed of the lot, over the nodes."""
        return [sum(column) for column in zip(*self.weight, strict=True)]

    def see_share(self, doses: Sequence[float], seen: float) -> None:
        """Somebody judged the share hatched at these doses (one a path)."""

        def fit(path: int, t50: float, synchrony: float) -> float:
            z = (seen - hatched_share(doses[path], t50, synchrony)) / LOOK_SD
            return LOOK_WRONG + exp(-0.5 * z * z)

        self._weigh(fit)

    def see_first(self, doses: Sequence[float], looked: Sequence[float]) -> None:
        """The first swimmers are there at these doses, and were not at the last look's."""

        def fit(path: int, t50: float, synchrony: float) -> float:
            now = hatched_share(doses[path], t50, synchrony)
            then = hatched_share(looked[path], t50, synchrony)
            still_first = 1.0 / (1.0 + (now / NO_LONGER_FIRST) ** 4)
            return LOOK_WRONG * LOOK_WRONG + (_noticed(now) - _noticed(then)) * still_first

        self._weigh(fit)

    def _weigh(self, fit: Callable[[int, float, float], float]) -> None:
        for path, row in enumerate(self.weight):
            for node, (t50, synchrony) in enumerate(nodes()):
                row[node] *= fit(path, t50, synchrony)
        total = sum(map(sum, self.weight))
        self.weight = [[w / total for w in row] for row in self.weight]


def _noticed(share: float) -> float:
    """How likely the first swimmers have been noticed with `share` of the hatchable out."""
    return normal_cdf((log(share) - log(FIRST_SHARE)) / FIRST_LN_SD) if share > 0.0 else 0.0


def next_of_lot(node_weights: Sequence[float]) -> list[float]:
    """What is believed of the next hatch of a lot: its T50 may differ from this one's a little."""
    width = WITHIN_LOT_LN_SD / (T50_LN_SD * T50_STEP)
    bell = [exp(-0.5 * (d / width) ** 2) for d in range(2 * T50_EACH_SIDE + 1)]
    rows = range(2 * T50_EACH_SIDE + 1)
    spread = [
        sum(node_weights[k * SYNCHRONIES + j] * bell[abs(i - k)] for k in rows)
        for i in rows
        for j in range(SYNCHRONIES)
    ]
    total = sum(spread)
    return [w / total for w in spread]
