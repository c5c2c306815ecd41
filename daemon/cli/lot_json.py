"""What `naupliad lot` prints for programs."""

from typing import Any

from daemon.estimates.quantile import Estimate
from daemon.hours import local_time
from daemon.planning.tin_history import BatchGave
from daemon.planning.tin_test import KeptTest, TinTest, TinVerdict, times_that_tell
from daemon.planning.tins import Tin
from daemon.science.strains import Strain
from daemon.station import Station


def test_as_json(test: TinTest, found: TinVerdict, strain: Strain) -> dict[str, Any]:
    """A test and what it says."""
    answer: dict[str, Any] = {
        "put": test.put,
        "hatched": test.hatched,
        "umbrella": test.umbrella,
        "full_left": test.full_left,
        "share": found.share,
        "low": found.low,
        "high": found.high,
        "verdict": found.verdict,
        "count_more": found.count_more,
        "doubted": found.doubted,
        "cysts_for_20": None
        if found.cysts_a_cup is None
        else dict(zip(("low", "likely", "high"), found.cysts_a_cup, strict=True)),
    }
    trade = found.percentage
    answer["hatching_fraction"] = trade and {"share": trade.middle, "low": trade.low, "high": trade.high}
    if found.waiting is None:
        answer["enough_h"] = {f"{water_c:g}": round(h, 1) for water_c, h in times_that_tell(strain).items()}
        return answer
    waiting = found.waiting
    return answer | {
        "hours": test.hours,
        "water_c": test.water_c,
        "out": _ends(waiting.out),
        "share_in_the_end": None if waiting.long_enough else _ends(waiting.in_the_end),
        "enough_h": None if waiting.enough_h is None else round(waiting.enough_h, 1),
        "long_enough": waiting.long_enough,
    }


def _ends(estimate: Estimate) -> dict[str, float]:
    return {"p10": estimate.p10, "p50": estimate.p50, "p90": estimate.p90}


def tin_as_json(station: Station, one: Tin) -> dict[str, Any]:
    """A tin with its tests and batches."""
    plan, trend = one.plan, one.trend
    return {
        "lot": plan.id,
        "strain": plan.strain,
        "opened": None if plan.opened is None else plan.opened.isoformat(),
        "stored": plan.stored or None,
        "cysts_per_g": plan.cysts_per_g,
        "mass_g": plan.mass_g,
        "used_g": one.used_g,
        "batches_unweighed": one.unweighed,
        "left_g": one.left_g,
        "hatchable_share": _ends(one.share),
        "trend": None
        if trend is None
        else {"first": trend.first, "last": trend.last, "counts": trend.counts, "falls": trend.falls},
        "disagree": None if one.disagree is None else dict(zip(("low", "high"), one.disagree, strict=True)),
        "tests": [_kept_as_json(station, kept) for kept in one.tests],
        "batches": [_batch_as_json(station, batch) for batch in one.batches],
    }


def _kept_as_json(station: Station, one: KeptTest) -> dict[str, Any]:
    test = one.test
    return {
        "id": one.id,
        "at": local_time(one.at, station.timezone).isoformat(),
        "put": test.put,
        "hatched": test.hatched,
        "hours": test.hours,
        "water_c": test.water_c,
        "umbrella": test.umbrella,
        "full_left": test.full_left,
    }


def _batch_as_json(station: Station, one: BatchGave) -> dict[str, Any]:
    counted = one.percentage
    return {
        "batch": one.id,
        "vessel": one.vessel,
        "set_at": local_time(one.set_at, station.timezone).isoformat(),
        "ended_at": None if one.ended_at is None else local_time(one.ended_at, station.timezone).isoformat(),
        "cysts_g": one.cysts_g,
        "hatching_fraction": None
        if counted is None
        else {
            "hatched": counted.hatched,
            "of": counted.of,
            "early": counted.early,
            "warmth_known": counted.warmth_known,
            **_ends(counted.range),
        },
        "efficiency_per_g": one.efficiency_per_g and _ends(one.efficiency_per_g),
        "t10_h": one.t10_h and _ends(one.t10_h),
        "t50_h": one.t50_h and _ends(one.t50_h),
        "t90_h": one.t90_h and _ends(one.t90_h),
        "synchrony_h": one.synchrony_h and _ends(one.synchrony_h),
        "hatchable_share": one.believed_share and _ends(one.believed_share),
    }
