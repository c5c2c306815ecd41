"""Whether a tin falls off: fewer hatch from batch to batch, and neither chance nor cups explain it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

from daemon.estimates.hatch.hatchable_share import WITHIN_LOT_LOGIT_SD
from daemon.estimates.hatch.observations import DISPERSION
from daemon.seconds import DAY_S

LEAST_COUNTS = 3
# How far down the slope must lie, in its standard errors. A list is looked at after every batch, so a steady
# tin has many chances to look worse: with this, some four steady tins in a hundred are ever called so in ten
# looks, where five are allowed [C: tests/unit/daemon/planning/test_tin_trend.py].
FALLS_Z = 2.2


@dataclass(frozen=True, slots=True)
class CountedShare:
    """`hatched` of `of` cysts at a moment (Unix s), counted when all were out."""

    at: int
    hatched: float
    of: float


@dataclass(frozen=True, slots=True)
class TinTrend:
    """What the `first` and the `last` count of a tin found, as shares (0 to 1); how many counts there are;
    and whether the line through them falls by more than chance and the spread between cups explain."""

    first: float
    last: float
    counts: int
    falls: bool


def tin_trend(counted: Sequence[CountedShare]) -> TinTrend | None:
    """By a line through the logits of the shares over time, each weighed by its own variance.

    That is of a count (binomial, times the dispersion of replicate cups) and between hatches of a tin. Where
    counts lie further from the line than that explains, its error grows with them (Birge 1932 [M]). None for
    fewer than three counts, or where all are of one day.
    """
    if len(counted) < LEAST_COUNTS:
        return None
    begun = min(one.at for one in counted)
    days = [(one.at - begun) / DAY_S for one in counted]
    if max(days) < 1.0:
        return None
    logits = [_logit(one) for one in counted]
    weights = [1.0 / _variance(one) for one in counted]
    total = sum(weights)
    middle = sum(w * x for w, x in zip(weights, days, strict=True)) / total
    level = sum(w * y for w, y in zip(weights, logits, strict=True)) / total
    across = sum(w * (x - middle) ** 2 for w, x in zip(weights, days, strict=True))
    slope = sum(w * (x - middle) * y for w, x, y in zip(weights, days, logits, strict=True)) / across
    line = [level + slope * (x - middle) for x in days]
    off = sum(w * (y - fit) ** 2 for w, y, fit in zip(weights, logits, line, strict=True))
    error = sqrt(max(1.0, off / (len(counted) - 2)) / across)
    in_order = sorted(counted, key=lambda one: one.at)
    return TinTrend(
        first=in_order[0].hatched / in_order[0].of,
        last=in_order[-1].hatched / in_order[-1].of,
        counts=len(counted),
        falls=slope / error < -FALLS_Z,
    )


def _logit(one: CountedShare) -> float:
    """With half an animal added to either side, so that none and all have one (Haldane, Anscombe [M])."""
    return log((one.hatched + 0.5) / (max(0.0, one.of - one.hatched) + 0.5))


def _variance(one: CountedShare) -> float:
    of_count = 1.0 / (one.hatched + 0.5) + 1.0 / (max(0.0, one.of - one.hatched) + 0.5)
    return DISPERSION * of_count + WITHIN_LOT_LOGIT_SD**2
