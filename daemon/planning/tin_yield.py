"""What a tin's cysts come to: cysts in a gram, and the share of them that hatches, each with its range.

Ranges are combined over the whole of what is believed, never end by end: two slow tenths together are rarer
than a tenth.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import exp, hypot, log, sqrt

from daemon.estimates.hatch.hatchable_share import (
    CELLS,
    WITHIN_LOT_LOGIT_SD,
    Shares,
    normal,
    of_next,
    share_prior,
    shares,
)
from daemon.estimates.quantile import Z90, Estimate, Part, of_normals
from daemon.planning.lot_share import CountedHatch, lot_weights
from daemon.planning.tins import opened_days, plan_of
from daemon.science.counts import LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G, PINCH_CYSTS, PINCH_FACTOR
from daemon.science.normal import share_below
from daemon.science.strains import CYSTS_LN_SD, CYSTS_PER_G, STRAINS, UNKNOWN, Strain
from daemon.science.valid_range import within
from daemon.station import Station

LEAST_SHARE, MOST_SHARE = 0.01, 0.99
GIVEN_CYSTS_LN_SD = 0.05  # a number on the tin or one's own count of a weighed pinch, off by so much [P]
PINCH_LN_SD = log(PINCH_FACTOR) / Z90  # a third to three times, eight times in ten

# What is asked of a share: the middle of the answer, and how far off its logarithm is.
AtShare = Callable[[float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class TinYield:
    """Cysts in a gram as a lognormal, and the weights of the hatchable share of the next hatch.

    `tested` says whether anything was ever counted of it.
    """

    cysts_per_g: float
    cysts_ln_sd: float
    weights: Shares
    tested: bool = False

    def cysts_of(self, cysts_g: float) -> Estimate:
        """The cysts in so many grams."""
        return about(cysts_g * self.cysts_per_g, self.cysts_ln_sd)

    def animals_of_g(self, cysts_g: float) -> Estimate:
        """Animals that hatch from weighed cysts."""
        return self.animals_of_about(cysts_g * self.cysts_per_g, self.cysts_ln_sd)

    def animals_of_about(self, cysts: float, ln_sd: float) -> Estimate:
        """Animals that hatch from about so many cysts, of which ln is off by `ln_sd`."""
        return self._over_shares(lambda share: (cysts * share, hypot(ln_sd, _chance(1.0 / (cysts * share)))))

    def animals_of_counted(self, cysts: float) -> Estimate:
        """Animals that hatch from cysts that were counted; chance among them is drawn in."""
        return self._over_shares(lambda share: (cysts * share, _chance((1.0 - share) / (cysts * share))))

    def g_for_animals(self, animals: float) -> Estimate:
        """Grams after which at least so many animals hatch one time in ten, in two, nine times in ten.

        The way back from `animals_of_g`: the middle gram gives the middle number, to 5 % from 20 animals on.
        """
        chance = hypot(self.cysts_ln_sd, _chance(1.0 / animals))
        return self._over_shares(lambda share: (animals / (share * self.cysts_per_g), chance))

    def g_of_counted(self, cysts: float) -> Estimate:
        """What counted cysts weigh."""
        return about(cysts / self.cysts_per_g, self.cysts_ln_sd)

    def g_of_pinches(self, pinches: float) -> Estimate:
        """What so many pinches weigh."""
        return about(pinches * PINCH_CYSTS / self.cysts_per_g, hypot(PINCH_LN_SD, self.cysts_ln_sd))

    def _over_shares(self, at_share: AtShare) -> Estimate:
        parts = []
        for share, weight in zip(shares(), self.weights, strict=True):
            middle, ln_sd = at_share(share)
            parts.append(Part(weight, log(middle), ln_sd))
        return _of_logs(of_normals(parts))


def any_tin(opened_days: float = 0.0) -> TinYield:
    """A tin of which nothing is known but the days since it was opened."""
    return TinYield(CYSTS_PER_G, CYSTS_LN_SD, of_next(share_prior(opened_days)))


def given_tin(opened_days: float, cysts_per_g: float | None, hatchable_share: float | None) -> TinYield:
    """The same where somebody knows how many are in a gram, or what share (0.01–0.99) hatched in a test.

    Another hatch of the tin scatters about that share as hatches of one tin do. Raises OutOfRange.
    """
    tin = any_tin(opened_days)
    per_g, ln_sd, weights = tin.cysts_per_g, tin.cysts_ln_sd, tin.weights
    if cysts_per_g is not None:
        per_g = within("cysts per gram", cysts_per_g, LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G, "cysts/g")
        ln_sd = GIVEN_CYSTS_LN_SD
    if hatchable_share is not None:
        weights = _about(within("hatchable share", hatchable_share, LEAST_SHARE, MOST_SHARE))
    return TinYield(per_g, ln_sd, weights, tested=hatchable_share is not None)


def tin_of(
    station: Station | None,
    lot: str | None,
    at: int,
    cysts_per_g: float | None,
    hatchable_share: float | None,
    hatches: Sequence[CountedHatch] = (),
) -> TinYield:
    """A tin by its name, at a moment (Unix s), by what the station file says of it and what was counted.

    What is given counts before both. Raises OutOfRange.
    """
    days = 0.0
    if station is not None and lot:
        days = max(0.0, opened_days(station, lot, at) or 0.0)
        cysts_per_g = plan_of(station, lot).cysts_per_g if cysts_per_g is None else cysts_per_g
    tin = given_tin(days, cysts_per_g, hatchable_share)
    if hatchable_share is not None or not hatches:
        return tin
    return replace(tin, weights=lot_weights(hatches, at, days), tested=True)


def strain_of(station: Station | None, lot: str | None) -> Strain:
    """The strain that the station file gives a tin; "unknown" where it does not."""
    return UNKNOWN if station is None or not lot else STRAINS[plan_of(station, lot).strain]


def _about(share: float) -> Shares:
    """Weights of the next hatch where its tin has this share: normal in the logit, cut into cells."""
    middle = _logit(share)
    edges = [_logit(cell / CELLS) for cell in range(1, CELLS)]
    below = [0.0, *(share_below(edge, middle, WITHIN_LOT_LOGIT_SD) for edge in edges), 1.0]
    return normal([high - low for low, high in pairwise(below)])


def _logit(share: float) -> float:
    return log(share / (1.0 - share))


def about(middle: float, ln_sd: float) -> Estimate:
    """A lognormal: its middle, and how far its logarithm may be off."""
    away = exp(Z90 * ln_sd)
    return Estimate(middle / away, middle, middle * away)


def _of_logs(found: Estimate) -> Estimate:
    return Estimate(exp(found.p10), exp(found.p50), exp(found.p90))


def _chance(relative_variance: float) -> float:
    """How far chance puts off the logarithm of a number of animals; no more than one, of very few."""
    return sqrt(min(1.0, relative_variance))
