"""The grid of what is not known about a hatch: the lot's speed and evenness, and the temperature law.

A node is a pair (T50 at 25 °C, synchrony). A path is one way in which the recorded temperatures may have
counted: three slopes of the temperature law times three readings of what was not measured or not known.
The grid holds what was seen in one hatch as a likelihood, apart from any prior, and never changes: a look
makes a new one. How many hatch at all is drawn in only where counts ask for it.
"""

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise
from math import exp, log, prod, sqrt

from daemon.estimates.hatch import hatchable_share
from daemon.science.hatching import (
    SYNCHRONY_MEDIAN,
    T50_LN_SD,
    T50_MEDIAN_H,
    dose_at_share,
    hatched_share,
)
from daemon.science.strains import Strain

T50_EACH_SIDE, T50_STEP = 15, 0.2  # steps of so many sd: three to either side
# By this factor: 0.21 to 1.39, from the evenest product to lots that hatch over more than a day.
SYNCHRONIES_BELOW, SYNCHRONIES_ABOVE, SYNCHRONY_FACTOR = 2, 5, 1.31
SPEEDS = 2 * T50_EACH_SIDE + 1
SYNCHRONIES = SYNCHRONIES_BELOW + 1 + SYNCHRONIES_ABOVE
NODES = SPEEDS * SYNCHRONIES

# The temperature law's slope: pace to these powers, and where in its margin an unknown pace lay. Each is
# the 10, 50 and 90 % point of what is believed, with the weights (Swanson's rule) that keep the variance.
SLOPES = (0.8, 1.0, 1.2)
MARGINS = (-1, 0, 1)
SWANSON = (0.3, 0.4, 0.3)
PATHS = tuple((slope, margin) for slope in SLOPES for margin in MARGINS)
PATH_WEIGHT = tuple(a * b for a in SWANSON for b in SWANSON)

WITHIN_LOT_LN_SD = 0.05  # two hatches of one lot under one law: hydration, light, air differ [P]
SHARE_STEPS = 32  # hatched shares are kept apart so finely where counts are weighed

Nodes = Sequence[float]  # what is kept is an array: a look at a hatch is 2200 numbers, kept while it runs
Doses = tuple[float, ...]
Key = tuple[int, ...]
Edge = tuple[float, int | None, int | None]  # a dose, the node below it and the one above
Count = tuple[tuple[float, ...], Callable[[float], float]]  # a dose a path; the fit by the share of all


def _t50_z(i: int) -> float:
    return (i - T50_EACH_SIDE) * T50_STEP


@cache
def nodes() -> tuple[tuple[float, float], ...]:
    """Every node's T50 (h at 25 °C) and synchrony."""
    return tuple(
        (
            T50_MEDIAN_H * exp(T50_LN_SD * _t50_z(i)),
            SYNCHRONY_MEDIAN * SYNCHRONY_FACTOR ** (j - SYNCHRONIES_BELOW),
        )
        for i in range(SPEEDS)
        for j in range(SYNCHRONIES)
    )


@cache
def edges_for(share: float) -> tuple[Edge, ...]:
    """Where nodes meet on the line of doses at which `share` of the hatchable has hatched, by rising dose.

    A node's weight lies evenly between its two edges, half a step of T50 to either side.
    """
    half = exp(0.5 * T50_LN_SD * T50_STEP)
    edges: list[Edge] = []
    for j in range(SYNCHRONIES):
        row = range(j, NODES, SYNCHRONIES)
        doses = [dose_at_share(share, *nodes()[node]) for node in row]
        edges.append((doses[0] / half, None, row[0]))
        edges += [(dose * half, *pair) for dose, pair in zip(doses, pairwise(row), strict=False)]
        edges.append((doses[-1] * half, row[-1], None))
    return tuple(sorted(edges, key=lambda edge: edge[0]))


@cache
def densities_for(share: float) -> Nodes:
    """How thick a node's weight lies there, as 1/h."""
    half = exp(0.5 * T50_LN_SD * T50_STEP)
    return tuple(1.0 / (dose_at_share(share, *node) * (half - 1.0 / half)) for node in nodes())


@cache
def lot_prior(strain: Strain) -> Nodes:
    """Weights of the nodes for a lot of that strain: what two hatches of it share."""
    of_lot = sqrt(max(0.05**2, strain.t50_ln_sd**2 - WITHIN_LOT_LN_SD**2))
    weights = []
    for t50, synchrony in nodes():
        z = log(t50 / strain.t50_median_h) / of_lot
        weights.append(exp(-0.5 * z * z) * strain.synchrony_weight(synchrony))
    total = sum(weights)
    return tuple(w / total for w in weights)


@cache
def _bell() -> tuple[float, ...]:
    width = WITHIN_LOT_LN_SD / (T50_LN_SD * T50_STEP)
    bell = [exp(-0.5 * (d / width) ** 2) for d in range(SPEEDS)]
    total = bell[0] + 2.0 * sum(bell[1:])
    return tuple(b / total for b in bell)


def scattered(node_values: Sequence[float]) -> Nodes:
    """From one hatch to its lot or back: T50 may differ by the scatter within a lot."""
    bell, spread = _bell(), [0.0] * NODES
    for i in range(SPEEDS):
        for k in range(max(0, i - 8), min(SPEEDS, i + 9)):
            factor = bell[abs(i - k)]
            for j in range(SYNCHRONIES):
                spread[i * SYNCHRONIES + j] += factor * node_values[k * SYNCHRONIES + j]
    return tuple(spread)


@dataclass(frozen=True, slots=True)
class Start:
    """What is believed of a hatch before anything was seen in it: nodes for each slope, and the share."""

    nodes: tuple[Nodes, ...]
    shares: hatchable_share.Shares


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What one hatch says: a likelihood over the nodes for each slope, and over the hatchable share.

    Like a grid it is equal to itself alone, so that starts can be looked up by those it was learned from.
    """

    nodes: tuple[Nodes, ...]
    shares: hatchable_share.Shares


class HatchGrid:
    """What was seen in one hatch, by path and node."""

    def __init__(self, seen: tuple[Nodes, ...] | None = None, counts: tuple[Count, ...] = ()) -> None:
        self._seen = seen
        self._counts = counts

    def see(self, doses: Sequence[Doses], fit: Callable[..., float]) -> "HatchGrid":
        """A look; `fit` says how likely it is by the shares hatched at each of a path's `doses`."""
        fits: dict[Doses, list[float]] = {}
        for some in doses:
            if some not in fits:
                fits[some] = [fit(*(hatched_share(dose, *node) for dose in some)) for node in nodes()]
        rows = [fits[some] for some in doses]
        if self._seen is not None:
            rows = [
                [a * b for a, b in zip(*pair, strict=True)] for pair in zip(self._seen, rows, strict=True)
            ]
        most = max(map(max, rows))
        return HatchGrid(tuple(array("d", (f / most for f in row)) for row in rows), self._counts)

    def count(self, doses: Sequence[float], fit: Callable[[float], float]) -> "HatchGrid":
        """Animals were counted at these doses (one a path); `fit` by the share of all cysts hatched."""
        return HatchGrid(self._seen, (*self._counts, (tuple(doses), fit)))

    def believed(self, start: Start) -> tuple[list[list[float]], hatchable_share.Shares]:
        """Weights of the nodes by path, and of the hatchable share."""
        rows = [
            [PATH_WEIGHT[path] * w for w in start.nodes[path // len(MARGINS)]] for path in range(len(PATHS))
        ]
        if self._seen is not None:
            rows = [
                [a * b for a, b in zip(*pair, strict=True)] for pair in zip(rows, self._seen, strict=True)
            ]
        rows, shares = self._with_counts(rows, start.shares)
        total = sum(map(sum, rows))
        return [[w / total for w in row] for row in rows], hatchable_share.normal(shares)

    def evidence(self, start: Start) -> Evidence:
        """What this hatch says of its lot; `start` is what would be believed without any hatch of it."""
        flat = [[PATH_WEIGHT[path]] * NODES for path in range(len(PATHS))]
        if self._seen is not None:
            flat = [
                [a * b for a, b in zip(*pair, strict=True)] for pair in zip(flat, self._seen, strict=True)
            ]
        rows, _ = self._with_counts(flat, start.shares)
        by_slope = [
            [sum(column) for column in zip(*rows[at : at + len(MARGINS)], strict=True)]
            for at in range(0, len(PATHS), len(MARGINS))
        ]
        spread = [scattered(row) for row in by_slope]
        most = max(map(max, spread))
        _, shares = self.believed(start)
        said = [after / before for after, before in zip(shares, start.shares, strict=True)]
        return Evidence(
            tuple(array("d", (v / most for v in row)) for row in spread), hatchable_share.of_lot(said)
        )

    def rest(self) -> None:
        """Drop what is worked out of the counts (160 kB) until somebody asks again: a later look was made."""
        for worked_out in ("_keys", "_fits"):
            vars(self).pop(worked_out, None)

    def _with_counts(
        self, rows: list[list[float]], shares: hatchable_share.Shares
    ) -> tuple[list[list[float]], hatchable_share.Shares]:
        """Rows weighed by the counts, and what they leave of the share; nodes that fit alike go together."""
        if not self._counts:
            return rows, shares
        total: dict[Key, float] = {}
        for row, row_keys in zip(rows, self._keys, strict=True):
            for weight, key in zip(row, row_keys, strict=True):
                total[key] = total.get(key, 0.0) + weight
        left = {key: [p * f for p, f in zip(shares, self._fits[key], strict=True)] for key in total}
        factor = {key: sum(held) for key, held in left.items()}
        weighed = [
            [w * factor[key] for w, key in zip(row, row_keys, strict=True)]
            for row, row_keys in zip(rows, self._keys, strict=True)
        ]
        scaled = [[total[key] * f for f in held] for key, held in left.items()]
        return weighed, tuple(map(sum, zip(*scaled, strict=True)))

    @cached_property
    def _keys(self) -> list[list[Key]]:
        """For every path and node, the step of the share hatched at each count."""
        found: dict[Doses, list[Key]] = {}
        paths = []
        for path in range(len(PATHS)):
            doses = tuple(count[0][path] for count in self._counts)
            if doses not in found:
                found[doses] = [
                    tuple(round(SHARE_STEPS * hatched_share(dose, *node)) for dose in doses)
                    for node in nodes()
                ]
            paths.append(found[doses])
        return paths

    @cached_property
    def _fits(self) -> dict[Key, list[float]]:
        """How likely the counts are by the hatchable share, for every key."""
        by_step = [
            [
                [fit(step / SHARE_STEPS * share) for share in hatchable_share.shares()]
                for step in range(SHARE_STEPS + 1)
            ]
            for _, fit in self._counts
        ]
        return {
            key: [
                prod(column)
                for column in zip(*(some[step] for some, step in zip(by_step, key, strict=True)), strict=True)
            ]
            for key in {key for row in self._keys for key in row}
        }
