"""The grid's belief about water in fewer parts, for asking it many questions."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import log

MEMBERS = 48
LEAST_WEIGHT = 1e-6  # of the whole: what is believed less than that moves no quantile shown, and is left out
LEAST_ML_PER_DAY = 1e-3


@dataclass(frozen=True, slots=True)
class Member:
    """A part of the belief: level (mL below the mark, with its variance) and pace of loss, mL a day.

    `ahead_ml_per_day` is what a day like the last would take with the water at the mark,
    `lately_ml_per_day` what the last day took where the water stood.
    """

    weight: float
    loss_ml: float
    variance: float
    ahead_ml_per_day: float
    lately_ml_per_day: float


def pooled(nodes: Iterable[Member]) -> tuple[Member, ...]:
    """Nodes with about the same pace joined, keeping mean and variance of the level.

    Level and pace are believed together (a fast cup is a low cup), and stay together here.
    """
    some = list(nodes)
    paces = [log(max(LEAST_ML_PER_DAY, n.ahead_ml_per_day)) for n in some]
    low = min(paces)
    width = (max(paces) - low) / MEMBERS
    if width <= 0.0:
        return (_joined(some),)
    bins: list[list[Member]] = [[] for _ in range(MEMBERS)]
    for node, pace in zip(some, paces, strict=True):
        bins[min(MEMBERS - 1, int((pace - low) / width))].append(node)
    return tuple(_joined(nodes) for nodes in bins if nodes)


def _joined(nodes: list[Member]) -> Member:
    weight = sum(n.weight for n in nodes)
    loss_ml = sum(n.weight * n.loss_ml for n in nodes) / weight
    square = sum(n.weight * (n.variance + (n.loss_ml - loss_ml) ** 2) for n in nodes)
    ahead = sum(n.weight * n.ahead_ml_per_day for n in nodes) / weight
    lately = sum(n.weight * n.lately_ml_per_day for n in nodes) / weight
    return Member(weight, loss_ml, square / weight, ahead, lately)
