"""A level that is believed, what an observation of it does to that belief, and the pace at which it sinks.

A level is a weight, a mean (mL below the mark) and a variance. An observation says how well a level fits it
and what the level is afterwards; that it was recorded wrong altogether, or not at all, is always among the
explanations, so that one slip of the pen cannot undo what many fillings taught.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log, sqrt

from daemon.estimates.quantile import normal_cdf

STUDENT_DF = 4.0  # a slip of the hand now and then
STUDENT_AT_0 = 0.375  # the density of Student's t with 4 degrees of freedom at its middle
PACES = 48
LEAST_WEIGHT = 1e-6  # of the whole: what is believed less than that moves no quantile shown, and is left out
LEAST_ML_PER_DAY = 1e-3

Level = tuple[float, float, float]


def joined(parts: list[Level]) -> Level:
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


def met(book: tuple[float, float], seen_ml: float, seen: float, right: float, wrong: float) -> Level:
    """Bookkeeping (mean, variance) meets a level that was seen at `seen_ml` with variance `seen`.

    `right` is the weight of "what was recorded is right": the fit is then Student's t, and the level becomes
    bookkeeping and sight joined by their precisions, where bookkeeping that disagrees counts for less.
    `wrong` is the density of what else might have been recorded: then only the sight counts.
    """
    book_ml, variance = book
    whole = variance + seen
    square = (book_ml - seen_ml) ** 2 / whole
    fit = right * STUDENT_AT_0 * (1.0 + square / STUDENT_DF) ** -2.5 / sqrt(whole)
    trust = min(1.0, (STUDENT_DF + 1.0) / (STUDENT_DF + square))
    variance /= trust * trust
    whole = variance + seen
    mean, after = (seen_ml * variance + book_ml * seen) / whole, variance * seen / whole
    share = fit / (fit + wrong)
    apart = mean - seen_ml
    return (
        fit + wrong,
        share * mean + (1.0 - share) * seen_ml,
        share * after + (1.0 - share) * seen + share * (1.0 - share) * apart * apart,
    )


def censored(
    level: Level,
    line_ml: float,
    sd_ml: float,
    *,
    above: bool,
    wrong_share: float,
    otherwise: tuple[float, float] | None,
) -> Level:
    """A level of which is known that it stands above (else below) a line that is known to `sd_ml`.

    The normal is cut there, its mean and variance kept. `wrong_share` is how often that misleads: the level
    is then `otherwise` (mean, variance), or as it was where that is None.
    """
    weight, mean, variance = level
    whole = sqrt(variance + sd_ml * sd_ml)
    z = (line_ml - mean) / whole if above else (mean - line_ml) / whole
    inside = normal_cdf(z)
    wrong = (wrong_share, *((mean, variance) if otherwise is None else otherwise))
    if inside < 1e-12:
        return (weight * wrong_share, wrong[1], wrong[2])
    hazard = 0.3989422804 * exp(-0.5 * z * z) / inside
    moved = variance / whole * hazard
    left = max(0.02, 1.0 - variance / (whole * whole) * hazard * (hazard + z)) * variance
    cut = ((1.0 - wrong_share) * inside, mean - moved if above else mean + moved, left)
    found = joined([cut, wrong])
    return (weight * found[0], found[1], found[2])


@dataclass(frozen=True, slots=True)
class PacedLevel:
    """A part of the belief: level (mL below the mark, with its variance) and pace of loss, mL a day.

    `ahead_ml_per_day` is what a day like the last would take with the water at the mark,
    `lately_ml_per_day` what the last day took where the water stood.
    """

    weight: float
    loss_ml: float
    variance: float
    ahead_ml_per_day: float
    lately_ml_per_day: float


def pooled(nodes: Iterable[PacedLevel]) -> tuple[PacedLevel, ...]:
    """Nodes with about the same pace joined, keeping mean and variance of the level.

    Level and pace are believed together (a fast cup is a low cup), and stay together here.
    """
    some = list(nodes)
    paces = [log(max(LEAST_ML_PER_DAY, n.ahead_ml_per_day)) for n in some]
    low = min(paces)
    width = (max(paces) - low) / PACES
    if width <= 0.0:
        return (_paced(some),)
    bins: list[list[PacedLevel]] = [[] for _ in range(PACES)]
    for node, pace in zip(some, paces, strict=True):
        bins[min(PACES - 1, int((pace - low) / width))].append(node)
    return tuple(_paced(nodes) for nodes in bins if nodes)


def _paced(nodes: list[PacedLevel]) -> PacedLevel:
    weight = sum(n.weight for n in nodes)
    loss_ml = sum(n.weight * n.loss_ml for n in nodes) / weight
    square = sum(n.weight * (n.variance + (n.loss_ml - loss_ml) ** 2) for n in nodes)
    ahead = sum(n.weight * n.ahead_ml_per_day for n in nodes) / weight
    lately = sum(n.weight * n.lately_ml_per_day for n in nodes) / weight
    return PacedLevel(weight, loss_ml, square / weight, ahead, lately)
