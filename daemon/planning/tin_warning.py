"""What a plan must say of the tin it is made with: it falls off, its counts disagree, or too few hatch."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from daemon.planning.lot_share import CountedHatch, counted_shares, disagreeing
from daemon.planning.tin_test import WILL_DO
from daemon.planning.tin_trend import tin_trend
from daemon.science.confidence_intervals import MOST_COUNT, wilson


@dataclass(frozen=True, slots=True)
class TinWarning:
    """`falls`: from the first share to the last; `disagree`: from the lowest to the highest; `too few`: the
    newest count says to get another tin, both shares are its own. Of so many `counts`."""

    kind: Literal["falls", "disagree", "too few"]
    begins: float
    ends: float
    counts: int


def tin_warning(hatches: Sequence[CountedHatch]) -> TinWarning | None:
    """By all that was counted of a tin; None where nothing speaks against it."""
    counted = sorted(counted_shares(hatches), key=lambda one: one.at)
    if not counted:
        return None
    trend = tin_trend(counted)
    if trend is not None and trend.falls:
        return TinWarning("falls", trend.first, trend.last, trend.counts)
    if (ends := disagreeing(hatches)) is not None:
        return TinWarning("disagree", *ends, len(counted))
    last = counted[-1]
    hatched, of = min(last.hatched, last.of), max(1, min(MOST_COUNT, round(last.of)))
    if wilson(min(of, round(hatched)), of)[1] >= WILL_DO:
        return None
    return TinWarning("too few", hatched / last.of, hatched / last.of, len(counted))
