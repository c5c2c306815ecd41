"""Shares over replicate cups: the cup is the unit, not the cyst.

Cysts of one cup share its warmth, light and hand, so cups differ more than chance alone makes them. One cup a
treatment tells nothing about that (Hurlbert 1984, pseudoreplication) and gives no interval here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from daemon.science.confidence_intervals import CONFIDENCE, MOST_COUNT, clopper_pearson
from daemon.science.distributions import student_t_quantile
from daemon.science.valid_range import within

Cup = tuple[int, int]  # hatched, of so many


@dataclass(frozen=True)
class ShareOverCups:
    """A share over cups, its standard error between cups, and its 95 % interval."""

    share: float
    standard_error: float
    low: float
    high: float
    cups: int


def share_over_cups(cups: Sequence[Cup], confidence: float = CONFIDENCE) -> ShareOverCups:
    """Share hatched over replicate cups, with the spread between the cups in its interval; two cups or more.

    Ratio estimator: p = Σy/Σn with variance k/(k − 1)·Σ(y − p·n)²/(Σn)² (Cochran, *Sampling Techniques*,
    ch. 3 and 6) [M], but no less than the binomial p·(1 − p)/Σn: few cups may look alike by luck. The
    interval is Student's t with k − 1 degrees on the logit scale, so it stays within 0 and 1. Where all or
    none hatched there is no spread to see, and the exact interval of Clopper & Pearson stands in. Few cups of
    very unequal size cover a little too little.
    """
    hatched, total = _sums(cups, 2)
    share = hatched / total
    if hatched in (0, total):
        return ShareOverCups(share, 0.0, *clopper_pearson(hatched, total, confidence), len(cups))
    squares = sum((y - share * n) ** 2 for y, n in cups)
    between = sqrt(len(cups) / (len(cups) - 1) * squares) / total
    error = max(between, sqrt(share * (1.0 - share) / total))
    within("confidence", confidence, 0.5, 0.9999)
    reach = student_t_quantile((1.0 + confidence) / 2.0, len(cups) - 1) * error / (share * (1.0 - share))
    middle = log(share / (1.0 - share))
    return ShareOverCups(share, error, _logistic(middle - reach), _logistic(middle + reach), len(cups))


def dispersion(treatments: Sequence[Sequence[Cup]]) -> float:
    """How many times more the cups of like treatment differ than chance alone has it: Pearson's X² over df.

    1 for cups alike but for chance; Crowder's plates 1.86. Every treatment has its own share; df is cups less
    treatments (Crowder 1978, Applied Statistics 27:34–37) [M for the method].
    """
    pearson = sum(_pearson(cups) for cups in treatments)
    return pearson / within("cups beyond one a treatment", _degrees(treatments), 1, MOST_COUNT)


def deviance(treatments: Sequence[Sequence[Cup]]) -> tuple[float, int]:
    """Binomial deviance within treatments and its degrees of freedom: a second measure of the same."""
    within("cups beyond one a treatment", _degrees(treatments), 1, MOST_COUNT)
    total = 0.0
    for cups in treatments:
        hatched, all_cysts = _sums(cups, 1)
        share = hatched / all_cysts
        total += sum(2.0 * (_term(y, n * share) + _term(n - y, n * (1.0 - share))) for y, n in cups)
    return total, _degrees(treatments)


def _pearson(cups: Sequence[Cup]) -> float:
    hatched, total = _sums(cups, 1)
    share = hatched / total
    if hatched in (0, total):
        return 0.0
    return sum((y - n * share) ** 2 / (n * share * (1.0 - share)) for y, n in cups)


def _degrees(treatments: Sequence[Sequence[Cup]]) -> int:
    return sum(len(cups) for cups in treatments) - len(treatments)


def _term(seen: int, expected: float) -> float:
    return seen * log(seen / expected) if seen else 0.0


def _sums(cups: Sequence[Cup], least_cups: int) -> tuple[int, int]:
    within("cups", len(cups), least_cups, 10_000)
    for hatched, of in cups:
        within("cysts in a cup", of, 1, MOST_COUNT)
        within("hatched in a cup", hatched, 0, of)
    total = sum(of for _, of in cups)
    within("cysts in all cups", total, 1, MOST_COUNT)
    return sum(hatched for hatched, _ in cups), total


def _logistic(x: float) -> float:
    return 1.0 / (1.0 + exp(-x)) if x > -700.0 else 0.0
