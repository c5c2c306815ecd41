"""The grid of what is not known about evaporation: the cup's factor k, the law, a room's unmeasured humidity.

A node is ln k and a column: a law and a vapour pressure of the room (`laws`). Given a node the loss is a
plain sum, so its level error is carried along as a normal (`offset_ml`, `variance`) and only those three need
nodes. k is the factor with the water at the mark; below it the rim slows each node by its own level.
"""

from array import array
from collections.abc import Iterable, Sequence
from copy import copy
from math import exp, log, sqrt

from daemon.estimates.quantile import Estimate, of_points
from daemon.estimates.water.bubbling import bubbling_of
from daemon.estimates.water.laws import COLUMNS, LAW_PRIOR, VAPOUR_PA, VAPOURS
from daemon.estimates.water.level import Level, censored, joined, met
from daemon.estimates.water.rim_shelter import RIM_SD_SHARE, rim_of
from daemon.science.evaporation import (
    K_DRIFT_PER_SQRT_DAY,
    ROOM_VAPOUR_MEAN_PA,
    ROOM_VAPOUR_SD_PA,
    k_prior_median,
)
from daemon.station import Vessel

LN_K_STEP = 0.12
K_EACH_SIDE = 19  # steps: 2.24, four and a half sd of the prior

# Of a room's 300 Pa of humidity 240 are its own and 180 the weather's. The weather's is half forgotten in
# three and a half days, the room's is not [P]: of what was learned of both, 180²/300² of 0.2 go in a day [C].
VAPOUR_FORGOTTEN_PER_DAY = 0.07
# A fan is switched on, a lamp moved: once in 60 days; or the cup is put back elsewhere, once in 20 times that
# a hand is on it [P]. By a factor of up to about 2 either way: by Rohwer's law the 1 to 2 m/s of a desk fan
# make 1.6 to 2.2 times the loss of still air [C]; that is nine such changes in ten.
JUMPS_PER_DAY = 1.0 / 60.0
JUMPS_PER_HANDLING = 0.05
JUMP_LN_SD = 0.45
WANDER_SD_SHARE = 0.2  # of a day's evaporation: draughts and what a probe cannot see, each day anew [P]


class EvaporationGrid:
    """Weights over nodes, and each node's level: the loss below the mark in mL."""

    def __init__(self, vessel: Vessel) -> None:
        self._rim, self._mark_ml = rim_of(vessel), vessel.mark_ml
        bubbling = bubbling_of(vessel)
        self._surface_share = 1.0 - bubbling.share  # a pump knows no draughts, and pumps on where it stands
        self._middle = log(k_prior_median(vessel.rim_above_water_cm))
        steps = range(-K_EACH_SIDE, K_EACH_SIDE + 1)
        self._ln_k = tuple(self._middle + i * LN_K_STEP for i in steps)
        self.k = tuple(exp(ln_k) for ln_k in self._ln_k)
        self._vapour_prior = scaled([_bell((e - ROOM_VAPOUR_MEAN_PA) / ROOM_VAPOUR_SD_PA) for e in VAPOUR_PA])
        factors = scaled([_bell(i * LN_K_STEP / bubbling.ln_sd) for i in steps])
        self.weight = _packed(f * law * v for f in factors for law in LAW_PRIOR for v in self._vapour_prior)
        self.stand_at(0.0, 0.0)

    def copy(self) -> "EvaporationGrid":
        """A copy that goes its own way."""
        twin = copy(self)
        twin.weight = self.weight[:]
        twin.offset_ml, twin.variance = self.offset_ml[:], self.variance[:]
        return twin

    def mean_ml(self) -> float:
        """The mean of the level over all nodes."""
        return sum(w * loss for w, loss in zip(self.weight, self.offset_ml, strict=True))

    def mean_k(self) -> float:
        """The mean of k over all nodes."""
        return sum(k * sum(self.weight[i * COLUMNS : (i + 1) * COLUMNS]) for i, k in enumerate(self.k))

    def k_believed(self) -> Estimate:
        """k, whatever the room's vapour pressure."""
        rows = (self.weight[first : first + COLUMNS] for first in range(0, len(self.weight), COLUMNS))
        return of_points(zip(self.k, map(sum, rows), strict=True))

    def stand_at(self, loss_ml: float, sd_ml: float) -> None:
        """Every node's level becomes the same."""
        self.offset_ml = _packed([loss_ml]) * len(self.weight)
        self.variance = _packed([sd_ml * sd_ml]) * len(self.weight)

    def shift(self, ml: float, sd_ml: float) -> None:
        """So much water left by hand (negative: came).

        There is no less than none, and no more than to the rim.
        """
        rim_ml = -self._rim.most_above_ml
        self.offset_ml = _packed(max(rim_ml, min(self._mark_ml, loss + ml)) for loss in self.offset_ml)
        self.variance = _packed(v + sd_ml * sd_ml for v in self.variance)

    def evaporate(self, ml: list[float], variance: list[float]) -> None:
        """Evaporation at k = 1 at the mark, by column, mL, and what it adds to the variance there.

        At most about a day at a time: its wandering is then independent of the next day's.
        """
        if not any(ml):
            return
        per_ml, least, node = self._rim.per_ml, self._rim.least, 0
        rim_guess = 0.5 * RIM_SD_SHARE * per_ml
        wander = self._surface_share * WANDER_SD_SHARE
        columns = [(m, v + (wander * m) ** 2) for m, v in zip(ml, variance, strict=True)]
        for k in self.k:
            for at_one, square in columns:
                # Written out, not through `Rim`: every node passes here.
                open_ml, loss_ml = k * at_one, self.offset_ml[node]
                began = max(least, 1.0 + per_ml * loss_ml)
                ended = sqrt(began * began + 2.0 * per_ml * open_ml)
                sunk_ml = min(self._mark_ml, loss_ml + (ended - began) / per_ml)
                by_rim = rim_guess * (sunk_ml * sunk_ml - loss_ml * loss_ml)
                spread = began * began * self.variance[node] + k * k * square + by_rim * by_rim
                self.offset_ml[node], self.variance[node] = sunk_ml, spread / (ended * ended)
                node += 1

    def observe_level(
        self, recorded_ml: float, loss_ml: float, fill_sd_ml: float, recorded_sd_ml: float, wrong_share: float
    ) -> None:
        """Filling by `recorded_ml` brought the water to `loss_ml` below the mark, as well as an eye can tell.

        See `level.met`; `wrong_share` is how often what was recorded is wrong altogether.
        """
        fill, recorded = fill_sd_ml * fill_sd_ml, recorded_sd_ml * recorded_sd_ml
        wrong = wrong_share / (0.25 * self._mark_ml)
        for node, weight in enumerate(self.weight):
            book = (self.offset_ml[node] - recorded_ml, self.variance[node] + recorded)
            fit, self.offset_ml[node], self.variance[node] = met(
                book, loss_ml, fill, 1.0 - wrong_share, wrong
            )
            self.weight[node] = weight * fit
        self.weight = _packed(scaled(self.weight))

    def observe_side(
        self,
        line_ml: float,
        sd_ml: float,
        *,
        above: bool,
        wrong_share: float,
        otherwise: tuple[float, float] | None,
    ) -> None:
        """The water stands above (else below) a line; see `level.censored`."""
        levels = zip(self.weight, self.offset_ml, self.variance, strict=True)
        self.become(
            [
                censored(level, line_ml, sd_ml, above=above, wrong_share=wrong_share, otherwise=otherwise)
                for level in levels
            ]
        )

    def become(self, levels: list[Level]) -> None:
        """Other weights and levels for every node, as an observation leaves them; scaled here.

        An observation that fits nowhere changes nothing.
        """
        if sum(weight for weight, _, _ in levels) > 0.0:
            self.weight = _packed(scaled([weight for weight, _, _ in levels]))
            self.offset_ml = _packed(offset for _, offset, _ in levels)
            self.variance = _packed(variance for _, _, variance in levels)

    def drift(self, days: float, *, handled: bool) -> None:
        """What may have changed by now: k wanders, rarely jumps, and a little of the humidity is forgotten.

        `handled` says whether somebody had the vessel in hand at the beginning of that time.
        """
        self._jump(min(0.5, JUMPS_PER_DAY * days + (JUMPS_PER_HANDLING if handled else 0.0)))
        drift_sd = self._surface_share * K_DRIFT_PER_SQRT_DAY
        self._wander(min(0.5, drift_sd * drift_sd * days / (2.0 * LN_K_STEP**2)))
        self._forget_vapour(1.0 - exp(-VAPOUR_FORGOTTEN_PER_DAY * days))

    def _wander(self, moved: float) -> None:
        """A share goes to either neighbour; a node's level becomes the mean of what it is mixed from."""
        last, stay = len(self.weight) - 1, 1.0 - 2.0 * moved
        levels = list(zip(self.weight, self.offset_ml, self.variance, strict=True))
        mixed = []
        for node in range(last + 1):
            below = node - COLUMNS if node >= COLUMNS else node
            above = node + COLUMNS if node + COLUMNS <= last else node
            mixed.append(
                joined([_of(moved, levels[below]), _of(stay, levels[node]), _of(moved, levels[above])])
            )
        self.become(mixed)

    def _jump(self, share: float) -> None:
        """A share of every column's weight goes anywhere around the mean of ln k."""
        levels = list(zip(self.weight, self.offset_ml, self.variance, strict=True))
        by_k = [sum(self.weight[i * COLUMNS : (i + 1) * COLUMNS]) for i in range(len(self.k))]
        mean = sum(w * ln_k for w, ln_k in zip(by_k, self._ln_k, strict=True))
        landing = scaled([_bell((ln_k - mean) / (self._surface_share * JUMP_LN_SD)) for ln_k in self._ln_k])
        columns = [joined(levels[j::COLUMNS]) for j in range(COLUMNS)]
        self.become(
            [
                joined(
                    [_of(1.0 - share, level), _of(share * landing[node // COLUMNS], columns[node % COLUMNS])]
                )
                for node, level in enumerate(levels)
            ]
        )

    def _forget_vapour(self, forgotten: float) -> None:
        """A share of every k's and law's weight goes back to the prior over vapour pressures."""
        mixed = []
        levels = list(zip(self.weight, self.offset_ml, self.variance, strict=True))
        for first in range(0, len(levels), VAPOURS):
            row = levels[first : first + VAPOURS]
            pooled = joined(row)
            for level, prior in zip(row, self._vapour_prior, strict=True):
                mixed.append(joined([_of(1.0 - forgotten, level), _of(forgotten * prior, pooled)]))
        self.become(mixed)


def _of(share: float, level: Level) -> Level:
    return (share * level[0], level[1], level[2])


def _packed(values: Iterable[float]) -> "array[float]":
    """What is kept of every node: a list and its numbers would take four times the memory."""
    return array("d", values)


def _bell(z: float) -> float:
    return exp(-0.5 * z * z)


def scaled(weights: Sequence[float]) -> list[float]:
    """The same weights with a sum of 1."""
    total = sum(weights)
    return [w / total for w in weights]
