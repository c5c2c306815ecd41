"""Counts: nauplii in a sample, hatching percentage and efficiency, cysts by weight.

Definitions: Van Stappen in Lavens & Sorgeloos 1996 (FAO Fisheries Technical Paper 361, ch. 4), as repeated in
Asem 2013 [R, secondary].
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from daemon.science.confidence_intervals import CONFIDENCE, MOST_COUNT, poisson_exact, wilson
from daemon.science.strains import CYSTS_PER_G
from daemon.science.valid_range import within

GOOD_NAUPLII_PER_G = (200_000.0, 300_000.0)  # a good product (Treece 2000, SRAC 702) [R]
DRY_CYST_UG = 3.64  # Clegg 1974 [R]
LEAST_CYSTS_PER_G = 100_000.0  # of anything sold as cysts: bounds to refuse a slip of the pen [our judgement]
MOST_CYSTS_PER_G = 500_000.0
PINCH_CYSTS = 20_000.0  # "a pinch" [P]; by weight a culinary pinch would be more
PINCH_FACTOR = 3.0  # so a third to three times


@dataclass(frozen=True)
class IntervalEstimate:
    """A number with its 95 % interval."""

    middle: float
    low: float
    high: float


def animals_per_ml(counts: Sequence[int], aliquot_ml: float) -> IntervalEstimate:
    """Concentration from aliquots of `aliquot_ml` mL each: all animals over all volume.

    The interval is Garwood's exact one for the sum (a Poisson count; roughly count ± 2·√count), made wider by
    √dispersion where the aliquots differ more than chance has it: the cup was not well mixed.
    """
    volume_ml = within("aliquot", aliquot_ml, 1e-4, 1e5, "mL") * within("aliquots", len(counts), 1, 10_000)
    total = sum(int(within("count", count, 0, MOST_COUNT)) for count in counts)
    low, high = poisson_exact(total)
    wider = sqrt(max(1.0, dispersion_of_counts(counts))) if len(counts) > 1 else 1.0
    return IntervalEstimate(
        middle=total / volume_ml,
        low=max(0.0, total - wider * (total - low)) / volume_ml,
        high=(total + wider * (high - total)) / volume_ml,
    )


def dispersion_of_counts(counts: Sequence[int]) -> float:
    """Variance over mean of like aliquots (Fisher's index): 1 when well mixed, more when not.

    1 also where no aliquot had an animal.
    """
    within("aliquots", len(counts), 2, 10_000)
    mean = sum(counts) / len(counts)
    if mean == 0.0:
        return 1.0
    return sum((count - mean) ** 2 for count in counts) / (len(counts) - 1) / mean


def animals_in(concentration: IntervalEstimate, volume_ml: float, counted: int = 0) -> IntervalEstimate:
    """Animals in the whole vessel of so many mL; `counted` are in it for sure."""
    within("volume", volume_ml, 0.0, 1e8, "mL")
    per_ml = (concentration.middle, concentration.low, concentration.high)
    return IntervalEstimate(*(max(float(counted), x * volume_ml) for x in per_ml))


def hatching_fraction(
    nauplii: int, umbrella: int, unhatched: int, confidence: float = CONFIDENCE
) -> IntervalEstimate:
    """Hatching percentage as a fraction: N/(N + U + E), of *full* cysts, with Wilson's interval.

    U counts those in the umbrella stage, E unhatched embryos (shells bleached away to see them). Empty
    shells do not count. Counted too early it is too low: the late ones are still in E.
    """
    for what, count in (("nauplii", nauplii), ("umbrella", umbrella), ("unhatched", unhatched)):
        within(what, count, 0, MOST_COUNT)
    full = nauplii + umbrella + unhatched
    return IntervalEstimate(
        nauplii / within("full cysts", full, 1, MOST_COUNT), *wilson(nauplii, full, confidence)
    )


def hatching_efficiency_per_g(nauplii: float, cysts_g: float) -> float:
    """Hatching efficiency: nauplii from a gram of product."""
    return within("nauplii", nauplii, 0.0, 1e12) / within("cysts", cysts_g, 1e-6, 1e6, "g")


def expected_efficiency_per_g(hatching_fraction: float, cysts_per_g: float = CYSTS_PER_G) -> float:
    """What efficiency follows from hatching fraction and cysts a gram: their product."""
    within("cysts per gram", cysts_per_g, LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G, "cysts/g")
    return within("hatching fraction", hatching_fraction, 0.0, 1.0) * cysts_per_g


def cysts_in_mg(cysts_mg: float, cysts_per_g: float = CYSTS_PER_G) -> float:
    """Cysts in so many milligrams; 250 a milligram unless the product's own number is given."""
    within("cysts per gram", cysts_per_g, LEAST_CYSTS_PER_G, MOST_CYSTS_PER_G, "cysts/g")
    return within("cysts", cysts_mg, 0.0, 1e9, "mg") * cysts_per_g / 1000.0


def cysts_in_pinches(pinches: float) -> IntervalEstimate:
    """Cysts in so many pinches: 20,000 each [P], anything from a third to three times that."""
    middle = within("pinches", pinches, 0.0, 1000.0) * PINCH_CYSTS
    return IntervalEstimate(middle, middle / PINCH_FACTOR, middle * PINCH_FACTOR)
