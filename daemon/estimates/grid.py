"""The grid of what is not known about evaporation: the cup's factor k, and a room's unmeasured humidity.

A node is one pair (ln k, vapour pressure of the room). Given a node the loss is a plain sum, so its level
error is carried along as a normal (`offset_ml`, `variance`) and only k and the vapour pressure need nodes.
"""

from copy import copy
from math import exp, log

from daemon.science.evaporation import (
    K_DRIFT_PER_SQRT_DAY,
    K_PRIOR_LN_SD,
    ROOM_VAPOUR_LEAST_PA,
    ROOM_VAPOUR_MEAN_PA,
    ROOM_VAPOUR_MOST_PA,
    ROOM_VAPOUR_SD_PA,
    k_prior_median,
)

LN_K_STEP = 0.08
K_EACH_SIDE = 28  # steps: 2.24, four and a half sd of the prior
VAPOURS = 9
VAPOUR_STEP_PA = (ROOM_VAPOUR_MOST_PA - ROOM_VAPOUR_LEAST_PA) / (VAPOURS - 1)
VAPOUR_PA = tuple(ROOM_VAPOUR_LEAST_PA + j * VAPOUR_STEP_PA for j in range(VAPOURS))
REFERENCE = VAPOURS // 2  # the node whose path of evaporation gives the shape of a day

# A room's humidity follows the weather: half forgotten in three and a half days [P].
VAPOUR_FORGOTTEN_PER_DAY = 0.2
STUDENT_DF = 4.0  # a slip of the hand or the pen now and then

Level = tuple[float, float, float]  # weight, mL below the mark, its variance


class EvaporationGrid:
    """Weights over nodes, and each node's level: the loss below the mark in mL."""

    def __init__(self, rim_above_water_cm: float) -> None:
        middle = log(k_prior_median(rim_above_water_cm))
        steps = range(-K_EACH_SIDE, K_EACH_SIDE + 1)
        self.k = tuple(exp(middle + i * LN_K_STEP) for i in steps)
        self._vapour_prior = _scaled(
            [_bell((e - ROOM_VAPOUR_MEAN_PA) / ROOM_VAPOUR_SD_PA) for e in VAPOUR_PA]
        )
        factors = _scaled([_bell(i * LN_K_STEP / K_PRIOR_LN_SD) for i in steps])
        self.weight = [f * v for f in factors for v in self._vapour_prior]
        self.offset_ml = [0.0] * len(self.weight)
        self.variance = [0.0] * len(self.weight)

    def copy(self) -> "EvaporationGrid":
        """A copy that goes its own way."""
        twin = copy(self)
        twin.weight = list(self.weight)
        twin.offset_ml, twin.variance = list(self.offset_ml), list(self.variance)
        return twin

    def stand_at(self, loss_ml: float, sd_ml: float) -> None:
        """Every node's level becomes the same."""
        self.offset_ml = [loss_ml] * len(self.weight)
        self.variance = [sd_ml * sd_ml] * len(self.weight)

    def shift(self, ml: float, sd_ml: float) -> None:
        """So much water left by hand (negative: came)."""
        self.offset_ml = [loss + ml for loss in self.offset_ml]
        self.variance = [v + sd_ml * sd_ml for v in self.variance]

    def evaporate(self, ml: list[float], spread_ml: list[float]) -> None:
        """Evaporation at k = 1 by vapour node, mL, and its own uncertainty (sd)."""
        node = 0
        for k in self.k:
            for j in range(VAPOURS):
                self.offset_ml[node] += k * ml[j]
                self.variance[node] += (k * spread_ml[j]) ** 2
                node += 1

    def observe_level(self, told_ml: float, loss_ml: float, fill_sd_ml: float, told_sd_ml: float) -> None:
        """Filling by `told_ml` brought the water to `loss_ml` below the mark, as well as an eye can tell.

        Every node weighs by how well its own bookkeeping agrees (Student t), and its level becomes the
        bookkeeping and the mark joined by their precisions; bookkeeping that disagrees counts for less.
        """
        fill, told = fill_sd_ml * fill_sd_ml, told_sd_ml * told_sd_ml
        for node, weight in enumerate(self.weight):
            book_ml = self.offset_ml[node] - told_ml
            book = self.variance[node] + told
            square = (book_ml - loss_ml) ** 2 / (book + fill)
            fit: float = (1.0 + square / STUDENT_DF) ** (-(STUDENT_DF + 1.0) / 2.0)
            self.weight[node] = weight * fit / (book + fill) ** 0.5
            trust = min(1.0, (STUDENT_DF + 1.0) / (STUDENT_DF + square))
            book /= trust * trust
            self.offset_ml[node] = (loss_ml * book + book_ml * fill) / (book + fill)
            self.variance[node] = book * fill / (book + fill)
        self.weight = _scaled(self.weight)

    def weigh(self, likelihood: list[float]) -> None:
        """Another observation: a likelihood for every node. One that fits nowhere changes nothing."""
        weighed = [w * f for w, f in zip(self.weight, likelihood, strict=True)]
        if sum(weighed) > 0.0:
            self.weight = _scaled(weighed)

    def drift(self, days: float) -> None:
        """k wanders, and the room's humidity is forgotten a little. At most some days at a time."""
        moved = min(0.5, K_DRIFT_PER_SQRT_DAY**2 * days / (2.0 * LN_K_STEP**2))
        self._mix_factors(moved)
        self._mix_vapours(1.0 - exp(-VAPOUR_FORGOTTEN_PER_DAY * days))

    def _mix_factors(self, moved: float) -> None:
        """A share goes to either neighbour; a node's level becomes the mean of what it is mixed from."""
        last, stay = len(self.weight) - 1, 1.0 - 2.0 * moved
        weight, offset, variance = self.weight, self.offset_ml, self.variance
        mixed = []
        for node in range(last + 1):
            below = node - VAPOURS if node >= VAPOURS else node
            above = node + VAPOURS if node + VAPOURS <= last else node
            parts = (
                (moved * weight[below], below),
                (stay * weight[node], node),
                (moved * weight[above], above),
            )
            mixed.append(_joined([(w, offset[n], variance[n]) for w, n in parts]))
        self._become(mixed)

    def _mix_vapours(self, forgotten: float) -> None:
        """A share of every k's weight goes back to the prior over vapour pressures."""
        mixed = []
        nodes = list(zip(self.weight, self.offset_ml, self.variance, strict=True))
        for first in range(0, len(nodes), VAPOURS):
            row = nodes[first : first + VAPOURS]
            pooled = _joined(row)
            for (weight, offset, variance), prior in zip(row, self._vapour_prior, strict=True):
                back = (forgotten * prior * pooled[0], pooled[1], pooled[2])
                mixed.append(_joined([((1.0 - forgotten) * weight, offset, variance), back]))
        self._become(mixed)

    def _become(self, mixed: list[Level]) -> None:
        self.weight = _scaled([weight for weight, _, _ in mixed])
        self.offset_ml = [offset for _, offset, _ in mixed]
        self.variance = [variance for _, _, variance in mixed]


def _joined(parts: list[Level]) -> Level:
    """One level for several: their weight together, mean and variance of the mixture."""
    total = mean = 0.0
    for weight, offset, _ in parts:
        total += weight
        mean += weight * offset
    if total <= 0.0:
        return (0.0, parts[0][1], parts[0][2])
    mean /= total
    square = 0.0
    for weight, offset, variance in parts:
        square += weight * (variance + (offset - mean) * (offset - mean))
    return (total, mean, square / total)


def _bell(z: float) -> float:
    return exp(-0.5 * z * z)


def _scaled(weights: list[float]) -> list[float]:
    total = sum(weights)
    return [w / total for w in weights]
