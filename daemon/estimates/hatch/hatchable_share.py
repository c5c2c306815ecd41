"""How many of a lot's cysts will hatch at all: a grid over the share, and what counts say about it.

The prior is that of `hatch_needs`, from 15 commercial lots. A tin that is opened takes up moisture and
hatches worse, how much nobody can tell: every year takes a third of the way to "any share alike" [P].
"""

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from math import exp, log

from daemon.estimates.quantile import Estimate, of_points
from daemon.science.hatch_needs import share_of_lots_below

CELLS = 40
AGED_PER_YEAR = 1.0 / 3.0
YEAR_DAYS = 365.25
WITHIN_LOT_LOGIT_SD = 0.35  # two hatches of one lot: light, oxygen, crowding [P]

Shares = tuple[float, ...]


@cache
def shares() -> Shares:
    """The middle of every cell."""
    return tuple((cell + 0.5) / CELLS for cell in range(CELLS))


def share_prior(opened_days: float = 0.0) -> Shares:
    """Weights of the cells for a lot that was opened so many days ago."""
    below = [share_of_lots_below(edge / CELLS) for edge in range(CELLS + 1)]
    return aged([high - low for low, high in pairwise(below)], opened_days)


def aged(weights: Sequence[float], days: float) -> Shares:
    """What is left of a lot's weights so many days later."""
    lost = 1.0 - (1.0 - AGED_PER_YEAR) ** (max(0.0, days) / YEAR_DAYS)
    even = lost * sum(weights) / len(weights)
    return tuple((1.0 - lost) * weight + even for weight in weights)


@cache
def _kernel(logit_sd: float) -> tuple[Shares, ...]:
    """Row by row: how likely a hatch has each share where the lot has the row's."""
    logits = [log(h / (1.0 - h)) for h in shares()]
    rows = []
    for middle in logits:
        # Cells are even in the share: weigh by the logit's slope.
        bell = [
            exp(-0.5 * ((x - middle) / logit_sd) ** 2) / (h * (1.0 - h))
            for x, h in zip(logits, shares(), strict=True)
        ]
        total = sum(bell)
        rows.append(tuple(b / total for b in bell))
    return tuple(rows)


def of_lot(evidence: Sequence[float], logit_sd: float = WITHIN_LOT_LOGIT_SD) -> Shares:
    """What evidence about one hatch's share says about the lot's, where its hatches scatter so."""
    return tuple(sum(k * e for k, e in zip(row, evidence, strict=True)) for row in _kernel(logit_sd))


def of_next(lot: Sequence[float], logit_sd: float = WITHIN_LOT_LOGIT_SD) -> Shares:
    """What is believed of a hatch's share where so much is believed of the lot's."""
    columns = zip(*_kernel(logit_sd), strict=True)
    return normal(tuple(sum(k * w for k, w in zip(column, lot, strict=True)) for column in columns))


def normal(weights: Sequence[float]) -> Shares:
    """The same weights with the sum 1; all alike where nothing is left of them."""
    total = sum(weights)
    if not total > 0.0:
        return (1.0 / len(weights),) * len(weights)
    return tuple(w / total for w in weights)


def three_points(weights: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """The share in three points with their weights (Swanson's rule), for where little hangs on it."""
    found = estimate(weights)
    return (found.p10, 0.3), (found.p50, 0.4), (found.p90, 0.3)


def estimate(weights: Sequence[float]) -> Estimate:
    """The quantiles of the share."""
    return of_points(zip(shares(), weights, strict=True))
