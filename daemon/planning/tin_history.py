"""What each batch of a tin gave, by the measures of the trade, which are never mixed.

Hatching percentage: of 100 full cysts, how many hatched. Hatching efficiency: nauplii from a gram of product.
T10, T50, T90: hours from wetting to a tenth, half, nine tenths of those that will hatch; synchrony: T90 − T10
(Van Stappen in Lavens & Sorgeloos 1996 [R, secondary]). What was not counted is None.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, hypot

from daemon.care.deed import Deed
from daemon.estimates.hatch.observations import (
    ALIQUOT_LN_SD,
    COUNTS_TELL_S,
    DISPERSION,
    PINCH_BELOW_G,
    PINCH_LN_SD,
    WEIGHED_LN_SD,
)
from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import Z90, Estimate
from daemon.planning.hatched_by import OUT_ENOUGH
from daemon.planning.lot_share import CountedHatch, share_count
from daemon.planning.synchrony import synchrony_h
from daemon.science.confidence_intervals import MOST_COUNT, wilson
from daemon.science.counts import hatching_efficiency_per_g
from daemon.science.valid_range import OutOfRange
from daemon.seconds import HOUR_S

IN_LIST = 0.8  # every range in a list of tins: between p10 and p90


@dataclass(frozen=True, slots=True)
class BatchOfTin:
    """A batch as the care log tells of it: its `set`, the counts in it, and the mark of its vessel (mL).

    `cups` are how many alike stand for it; `believed` is what was believed of it last, by quantity; `out_at`
    what was believed, just before each count, of the share of the hatchable that had hatched (None: nothing).
    """

    id: int
    set: Deed
    cups: int
    mark_ml: float | None
    ended_at: int | None
    counts: tuple[Deed, ...]
    out_at: tuple[Estimate | None, ...]
    believed: Mapping[str, Estimate]


@dataclass(frozen=True, slots=True)
class CountedPercentage:
    """A hatching percentage as a fraction: what was counted, and its range by chance, 8 times in 10.

    `early`: some of the cysts that will hatch had not yet. Where the warmth is not known nobody can say, and
    it says nothing of the tin.
    """

    hatched: float
    of: float
    range: Estimate
    early: bool
    warmth_known: bool


@dataclass(frozen=True, slots=True)
class BatchGave:
    """What a batch gave. Hours are from `set`, as believed last; so is the share of all cysts that hatch,
    `believed_share`.
    """

    id: int
    vessel: str
    set_at: int
    ended_at: int | None
    cysts_g: float | None
    percentage: CountedPercentage | None
    efficiency_per_g: Estimate | None
    t10_h: Estimate | None
    t50_h: Estimate | None
    t90_h: Estimate | None
    synchrony_h: Estimate | None
    believed_share: Estimate | None


def batch_gave(batch: BatchOfTin) -> BatchGave:
    """By the last count of each sort; `cysts_g` is what all its cups got together."""
    t10, t50, t90 = (_hours(batch, quantity) for quantity in ("hatch_t10", "hatch_t50", "hatch_t90"))
    grams = batch.set.amount
    percentages = [found for found in map(_percentage, *_counted(batch)) if found is not None]
    efficiencies = [found for count in _counted(batch)[0] if (found := _efficiency(batch, count)) is not None]
    return BatchGave(
        id=batch.id,
        vessel=batch.set.vessel,
        set_at=batch.set.at,
        ended_at=batch.ended_at,
        cysts_g=None if grams is None else grams * batch.cups,
        percentage=percentages[-1] if percentages else None,
        efficiency_per_g=efficiencies[-1] if efficiencies else None,
        t10_h=t10,
        t50_h=t50,
        t90_h=t90,
        synchrony_h=None if t10 is None or t50 is None or t90 is None else synchrony_h(t10, t50, t90),
        believed_share=batch.believed.get("hatchable_share"),
    )


def counted_hatch(batch: BatchOfTin) -> CountedHatch | None:
    """What a batch says of its tin's share; None where no cysts were counted, or not known how far it was."""
    counts = tuple(
        share_count(min(count.amount or 0.0, of), of, out)
        for count, out in zip(*_counted(batch), strict=True)
        if (of := _of_cysts(count)) is not None and out is not None
    )
    return CountedHatch(batch.set.at, counts) if counts else None


def _counted(batch: BatchOfTin) -> tuple[list[Deed], list[Estimate | None]]:
    """Counts that tell of hatching; what is counted later says how many live."""
    pairs = [
        (count, out)
        for count, out in zip(batch.counts, batch.out_at, strict=True)
        if count.amount is not None and count.at - batch.set.at <= COUNTS_TELL_S
    ]
    return [count for count, _ in pairs], [out for _, out in pairs]


def _of_cysts(count: Deed) -> float | None:
    """Of how many cysts these were, one by one: not where an aliquot was drawn."""
    of = count.number("of_cysts")
    return None if of is None or of < 1.0 or count.number("volume_ml") is not None else of


def _percentage(count: Deed, out: Estimate | None) -> CountedPercentage | None:
    of = _of_cysts(count)
    if of is None:
        return None
    hatched = min(count.amount or 0.0, of)
    low, high = wilson(round(hatched), min(MOST_COUNT, round(of)), IN_LIST)
    middle = hatched / of
    spread = Estimate(min(low, middle), middle, max(high, middle))
    early = out is not None and out.p10 < OUT_ENOUGH
    return CountedPercentage(hatched, of, spread, early, warmth_known=out is not None)


def _efficiency(batch: BatchOfTin, count: Deed) -> Estimate | None:
    """From an aliquot of one cup; None where its volume, the cup's or the grams are not known."""
    aliquot_ml, grams = count.number("volume_ml"), batch.set.amount
    volume_ml = batch.set.number("volume_ml") or batch.mark_ml
    if not aliquot_ml or not volume_ml or not grams or count.amount is None:
        return None
    try:
        middle = hatching_efficiency_per_g(count.amount * max(1.0, volume_ml / aliquot_ml), grams)
    except OutOfRange:  # a slip of the pen: nobody weighs or draws so little
        return None
    weighed = PINCH_LN_SD if grams < PINCH_BELOW_G else WEIGHED_LN_SD
    drawn = ALIQUOT_LN_SD if aliquot_ml < volume_ml else 0.0
    factor = exp(Z90 * hypot(weighed, drawn, (DISPERSION / (count.amount + 0.5)) ** 0.5))
    return Estimate(middle / factor, middle, middle * factor)


def _hours(batch: BatchOfTin, quantity: str) -> Estimate | None:
    """None where it is not believed, or later than can be said."""
    at = batch.believed.get(quantity)
    if at is None or at.p50 - batch.set.at >= HATCH_HORIZON_S - HOUR_S:
        return None
    ends = [max(0.0, end - batch.set.at) / HOUR_S for end in (at.p10, at.p50, at.p90)]
    return Estimate(*ends)
