"""How many of a tin's cysts the next hatch of it may be expected to give, by all that was counted of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from daemon.estimates.hatch.grid import SWANSON
from daemon.estimates.hatch.hatchable_share import (
    CELLS,
    WITHIN_LOT_LOGIT_SD,
    Shares,
    aged,
    normal,
    of_lot,
    of_next,
    share_prior,
    shares,
)
from daemon.estimates.hatch.observations import count_of_counted
from daemon.estimates.quantile import SHARES, Estimate
from daemon.planning.hatched_by import OUT_ENOUGH, long_enough_h, out_points
from daemon.planning.tin_test import TinTest
from daemon.planning.tin_trend import CountedShare, tin_trend
from daemon.science.strains import Strain
from daemon.seconds import DAY_S

# How far hatches of one tin lie apart in the logit, and how many tins are so: most as the beliefs have it;
# in some, cysts from the top and from the bottom, or dishes, differ far more. What was counted decides [P].
SCATTERS = ((WITHIN_LOT_LOGIT_SD, 0.9), (0.8, 0.07), (1.6, 0.03))
# So sure that a tin's hatches scatter more than is usual: then it is said. Of steady tins with the worst
# scatter we tried at most one in a hundred is ever called so in ten looks [C: test_lot_share.py].
DISAGREES = 0.75
NEWEST = 2  # what a falling tin gave before says nothing of what it gives next [our judgement]


@dataclass(frozen=True, slots=True)
class ShareCount:
    """`hatched` animals of `of` cysts that were counted. `out` is what was believed then of the share of the
    hatchable that had hatched, as shares with weights; `all_out` says that it was nearly all, sure enough."""

    hatched: float
    of: float
    out: tuple[tuple[float, float], ...]
    all_out: bool


@dataclass(frozen=True, slots=True)
class CountedHatch:
    """One hatch of a tin, a batch or a test, set at a moment (Unix s), and what was counted in it."""

    set_at: int
    counts: tuple[ShareCount, ...]


def lot_share(hatches: Sequence[CountedHatch], at: int, opened_days: float = 0.0) -> Estimate:
    """The share of all cysts that will hatch in the next hatch of a tin, in three quantiles (0 to 1).

    `hatches` are those of this tin in which cysts were counted, kept tests among them: `daemon.store.tins`
    reads them, and its `known_share` calls this. `at` is now (Unix s), `opened_days` how long the tin is
    open. Without any hatch it is what 15 commercial lots have. Hatches of one tin scatter, by how much the
    counts themselves tell (`SCATTERS`): the more they disagree, the wider the range. What is old counts less.
    A count before all were out counts for what it tells. Of a tin that falls off the newest two count alone.
    """
    return _of_cells(lot_weights(hatches, at, opened_days))


def lot_weights(hatches: Sequence[CountedHatch], at: int, opened_days: float = 0.0) -> Shares:
    """The same as weights of the cells of `hatchable_share.shares()`, for who draws them into something."""
    by_scatter = _by_scatter(hatches, at, opened_days)
    nexts = [(weight, of_next(lot, logit_sd)) for logit_sd, weight, lot in by_scatter]
    return normal([sum(weight * next_[cell] for weight, next_ in nexts) for cell in range(CELLS)])


def disagreeing(hatches: Sequence[CountedHatch], at: int) -> tuple[float, float] | None:
    """The lowest and the highest share that was counted, where counts differ by more than chance and the
    usual scatter explain, and not because the tin falls off; else None. `at` is now (Unix s)."""
    counted = counted_shares(hatches)
    by_scatter = _by_scatter(hatches, at, 0.0)
    if len(counted) < 2 or _falls(counted) or sum(weight for _, weight, _ in by_scatter[1:]) < DISAGREES:
        return None
    parts = [one.hatched / one.of for one in counted]
    return min(parts), max(parts)


def _by_scatter(
    hatches: Sequence[CountedHatch], at: int, opened_days: float
) -> list[tuple[float, float, Shares]]:
    """For each scatter (logit) how likely it is, and what is believed of the tin's share where it holds."""
    in_order = sorted(hatches, key=lambda hatch: hatch.set_at)
    used = in_order[-NEWEST:] if _falls(counted_shares(in_order)) else in_order
    fits = [
        ([_fit(hatch, share) for share in shares()], max(0.0, (at - hatch.set_at) / DAY_S)) for hatch in used
    ]
    found = []
    for logit_sd, common in SCATTERS:
        log_weight, believed = log(common), normal(share_prior(opened_days))
        for fit, days in fits:
            said = aged(of_lot(fit, logit_sd), days)
            both = [a * b for a, b in zip(believed, said, strict=True)]
            log_weight += log(max(sum(both), 1e-300))
            believed = normal(both)
        found.append((logit_sd, log_weight, believed))
    best = max(log_weight for _, log_weight, _ in found)
    total = sum(exp(log_weight - best) for _, log_weight, _ in found)
    return [(logit_sd, exp(log_weight - best) / total, lot) for logit_sd, log_weight, lot in found]


def _falls(counted: Sequence[CountedShare]) -> bool:
    trend = tin_trend(counted)
    return trend is not None and trend.falls


def _of_cells(weights: Shares) -> Estimate:
    """The quantiles, with each cell's weight even over its width: a third of tins lies in the last one."""
    found: list[float] = []
    below = 0.0
    for cell, weight in enumerate(weights):
        while len(found) < len(SHARES) and weight > 0.0 and below + weight >= SHARES[len(found)]:
            found.append((cell + (SHARES[len(found)] - below) / weight) / CELLS)
        below += weight
    found += [1.0] * (len(SHARES) - len(found))  # where rounding left the sum short
    return Estimate(*found)


def counted_shares(hatches: Sequence[CountedHatch]) -> list[CountedShare]:
    """The last count of each hatch that was counted when all were out."""
    found = []
    for hatch in hatches:
        done = [count for count in hatch.counts if count.all_out]
        if done:
            found.append(CountedShare(hatch.set_at, done[-1].hatched, done[-1].of))
    return found


def share_count(hatched: float, of: float, out: Estimate) -> ShareCount:
    """A count of a batch, by what was believed of it just before."""
    points = zip((out.p10, out.p50, out.p90), SWANSON, strict=True)
    return ShareCount(hatched, of, tuple(points), out.p10 >= OUT_ENOUGH)


def of_test(test: TinTest, strain: Strain, at: int) -> CountedHatch:
    """A test that was counted at a moment (Unix s) as a hatch; one without hours was long enough.

    Where some were in the umbrella stage not all were out.
    """
    none_to_come = not test.on_their_way
    if test.hours is None or test.water_c is None:
        return CountedHatch(at, (ShareCount(test.hatched, test.put, ((1.0, 1.0),), all_out=none_to_come),))
    out = out_points(test.hours, test.water_c, strain)
    enough_h = long_enough_h(test.water_c, strain)
    all_out = none_to_come and enough_h is not None and test.hours >= enough_h
    return CountedHatch(at, (ShareCount(test.hatched, test.put, out, all_out),))


def _fit(hatch: CountedHatch, share: float) -> float:
    fit = 1.0
    for count in hatch.counts:
        law = count_of_counted(count.hatched, count.of)
        fit *= sum(weight * law(share * part) for part, weight in count.out)
    return fit
