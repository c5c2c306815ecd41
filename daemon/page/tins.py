"""Tins as the reports want them: for the page, and for the command that says the same."""

from daemon.estimates.quantile import Estimate
from daemon.letters.conversions import as_range, local
from daemon.planning.tin_history import IN_LIST, BatchGave
from daemon.planning.tin_test import (
    UMBRELLA_H,
    KeptTest,
    TinTest,
    TinVerdict,
    is_doubted,
    percentage_of,
    times_that_tell,
)
from daemon.planning.tins import Tin, opened_days, plan_of
from daemon.science.counts import IntervalEstimate
from daemon.science.strains import STRAINS, Strain
from daemon.station import Station
from reports.page.tins.records import TinBatch, TinRecord, TinTested
from reports.page.tins.viability import SaidTest
from reports.records import Range


def said_test(test: TinTest, judged: TinVerdict, strain: Strain, language: str, unit: str) -> SaidTest:
    """A test and what was judged of it; `unit` is "C" or "F"."""
    waiting = judged.waiting
    return SaidTest(
        language=language,
        unit=unit,
        put=test.put,
        hatched=test.hatched,
        share=judged.share,
        low=judged.low,
        high=judged.high,
        verdict=judged.verdict.replace(" ", "-"),
        count_more=judged.count_more,
        cysts_a_cup=judged.cysts_a_cup,
        umbrella=test.on_their_way,
        umbrella_h=UMBRELLA_H,
        full=test.hatched + test.on_their_way + (test.full_left or 0),
        percentage=_interval(judged.percentage),
        doubted=judged.doubted,
        hours=test.hours,
        water_c=test.water_c,
        out=_known(waiting.out if waiting else None),
        in_the_end=_known(waiting.in_the_end if waiting and not waiting.long_enough else None),
        enough_h=waiting.enough_h if waiting else None,
        times=() if waiting else tuple(times_that_tell(strain).items()),
    )


def given_lot(station: Station, lot: str, at: int) -> tuple[Strain, float]:
    """A tin's strain, and for how many days it has been open; of one that the file does not name, unknown."""
    return STRAINS[plan_of(station, lot).strain], max(0.0, opened_days(station, lot, at) or 0.0)


def tin_record(station: Station, one: Tin) -> TinRecord:
    """A tin for the reports."""
    trend = one.trend
    return TinRecord(
        id=one.plan.id,
        opened=one.plan.opened,
        stored=one.plan.stored.replace(" ", "-"),
        used_g=one.used_g,
        unweighed=one.unweighed,
        left_g=one.left_g,
        share=as_range(one.share),
        line=None if trend is None else (trend.first, trend.last, trend.counts),
        falls=trend is not None and trend.falls,
        disagree=one.disagree,
        batches=tuple(_batch(station, batch) for batch in one.batches),
        tests=tuple(_kept(station, kept) for kept in one.tests),
    )


def _kept(station: Station, one: KeptTest) -> TinTested:
    test = one.test
    return TinTested(
        one.id,
        local(station, one.at),
        test.put,
        test.hatched,
        test.hours or 0.0,
        test.water_c or 0.0,
        test.on_their_way,
        _interval(percentage_of(test, IN_LIST)),
        doubted=is_doubted(test),
    )


def _batch(station: Station, one: BatchGave) -> TinBatch:
    vessel, counted = station.vessel(one.vessel), one.percentage
    return TinBatch(
        vessel=one.vessel,
        count=1 if vessel is None else vessel.count,
        set_at=local(station, one.set_at),
        cysts_g=one.cysts_g,
        percentage=_known(counted.range if counted else None),
        hatched=counted.hatched if counted else 0.0,
        of=counted.of if counted else 0.0,
        early=counted is not None and counted.early,
        warmth_known=counted is None or counted.warmth_known,
        efficiency_per_g=_known(one.efficiency_per_g),
        t10_h=_known(one.t10_h),
        t50_h=_known(one.t50_h),
        t90_h=_known(one.t90_h),
        synchrony_h=_known(one.synchrony_h),
        believed=_known(one.believed_share),
    )


def _interval(found: IntervalEstimate | None) -> Range | None:
    return None if found is None else Range(found.low, found.middle, found.high)


def _known(estimate: Estimate | None) -> Range | None:
    return None if estimate is None else as_range(estimate)
