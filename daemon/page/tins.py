"""Tins as the reports want them: for the page, and for the command that says the same."""

from datetime import UTC, datetime

from daemon.estimates.quantile import Estimate
from daemon.planning.tin_test import TinTest, TinVerdict, times_that_tell
from daemon.science.strains import STRAINS, UNKNOWN, Strain
from daemon.station import Station
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
        hours=test.hours,
        water_c=test.water_c,
        out=_range(waiting.out) if waiting else None,
        in_the_end=_range(waiting.in_the_end) if waiting else None,
        enough_h=waiting.enough_h if waiting else None,
        times=() if waiting else tuple(times_that_tell(strain).items()),
    )


def given_lot(station: Station, lot: str | None, now: int) -> tuple[Strain, float]:
    """A tin's strain, and for how many days it has been open; of one that the file does not name, unknown."""
    plan = next((one for one in station.lots if one.id == lot), None)
    if plan is None:
        return UNKNOWN, 0.0
    days = 0 if plan.opened is None else (datetime.fromtimestamp(now, UTC).date() - plan.opened).days
    return STRAINS[plan.strain], float(max(0, days))


def _range(estimate: Estimate) -> Range:
    return Range(estimate.p10, estimate.p50, estimate.p90)
