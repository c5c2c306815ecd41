"""A tin of cysts: what is known of it, what was taken from it, what it gave."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import CountedHatch, counted_shares, disagreeing, lot_share, of_test
from daemon.planning.tin_history import BatchGave, BatchOfTin, batch_gave, counted_hatch
from daemon.planning.tin_test import KeptTest, is_doubted
from daemon.planning.tin_trend import TinTrend, tin_trend
from daemon.science.strains import STRAINS, UNKNOWN
from daemon.station import LotPlan, Station


@dataclass(frozen=True, slots=True)
class Tin:
    """What a tin gave.

    `used_g` is over all batches whose grams are known (`unweighed` are those that are not), `left_g` what is
    left of its mass where that is known. `share` of all cysts may be expected to hatch in the next batch;
    `disagree` are the lowest and the highest counted where counts disagree, None where they do not.
    """

    plan: LotPlan
    opened_days: float | None
    used_g: float
    unweighed: int
    left_g: float | None
    batches: tuple[BatchGave, ...]
    tests: tuple[KeptTest, ...]
    share: Estimate
    trend: TinTrend | None
    disagree: tuple[float, float] | None


def tin(
    plan: LotPlan,
    batches: Sequence[BatchOfTin],
    tests: Sequence[KeptTest],
    at: int,
    opened_days: float | None,
) -> Tin:
    """By its batches in the order of setting, and the tests that were kept; `at` is now (Unix s)."""
    gave = tuple(map(batch_gave, batches))
    used_g = sum(one.cysts_g for one in gave if one.cysts_g is not None)
    hatches = hatches_of(plan, batches, tests)
    return Tin(
        plan=plan,
        opened_days=opened_days,
        used_g=used_g,
        unweighed=sum(one.cysts_g is None for one in gave),
        left_g=None if plan.mass_g is None else max(0.0, plan.mass_g - used_g),
        batches=gave,
        tests=tuple(tests),
        share=lot_share(hatches, at, max(0.0, opened_days or 0.0)),
        trend=tin_trend(counted_shares(hatches)),
        disagree=disagreeing(hatches, at),
    )


def hatches_of(plan: LotPlan, batches: Sequence[BatchOfTin], tests: Sequence[KeptTest]) -> list[CountedHatch]:
    """All that was counted of a tin, batches and tests, in the order of time; no test that is doubted."""
    counted = [found for batch in batches if (found := counted_hatch(batch)) is not None]
    strain = STRAINS[plan.strain]
    tested = [of_test(one.test, strain, one.at) for one in tests if not is_doubted(one.test)]
    return sorted([*counted, *tested], key=lambda hatch: hatch.set_at)


def opened_days(station: Station, lot: str, at: int) -> float | None:
    """For how many days a tin has been open at a moment (Unix s); None where the file does not say."""
    opened = plan_of(station, lot).opened
    return None if opened is None else float((datetime.fromtimestamp(at, UTC).date() - opened).days)


def plan_of(station: Station, lot: str) -> LotPlan:
    """A tin as the station file has it; one that it does not name is of unknown strain."""
    return next((one for one in station.lots if one.id == lot), LotPlan(lot, UNKNOWN.name, None))
