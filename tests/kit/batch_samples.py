"""A batch of our own making for the tests of its report: a winter night's vessel, told as a whole batch."""

from dataclasses import replace

from reports.batch.records import (
    Account,
    ColdNights,
    HatchTimes,
    PlannedBatch,
    SeenHatch,
    Taught,
    ToldBatch,
    WaterSpent,
)
from reports.records import Range, TimeRange
from tests.kit.report_samples import at_hour, here, night, vessel

TIMES = HatchTimes(*(TimeRange(at_hour(h), at_hour(h + 2), at_hour(h + 5)) for h in (12, 15, 18)))


def batch(*, named=None, recorded=None, **changed):
    """A batch that was watched and looked at; `named` changes its vessel, `recorded` its record."""
    given = {
        "record": night(vessel(**(named or {})), **(recorded or {})),
        "planned": PlannedBatch(0.05, 25.0, 250.0, "blue tin", True, 250.0),
        "ended_at": at_hour(24),
        "expected": TIMES,
        "believed": TIMES,
        "hatchable": Range(0.4, 0.6, 0.8),
        "looks": (SeenHatch(at_hour(20), "hatched", "62 % hatched", 0.62),),
        "water": WaterSpent(Range(11.0, 16.0, 23.0), 1.0, 21.0, 0.0),
        "learned": (
            Taught("k", Range(0.4, 0.65, 1.1), Range(0.5, 0.6, 0.7)),
            Taught("t50_h_at_25_c", Range(14.0, 19.0, 27.0), Range(16.0, 18.0, 20.0)),
            Taught("lamp_rise_k", Range(1.0, 4.0, 7.0), Range(4.0, 5.0, 6.0)),
        ),
        "nights_before": None,
        "nights": ColdNights(3, 18.4, 21.0),
    }
    return ToldBatch(**{**given, **changed})


def account(*batches, language="en", unit="C"):
    """A report of these, told in a language and a unit."""
    told = tuple(
        replace(one, record=replace(one.record, unit=unit, language=language))
        for one in batches or (batch(),)
    )
    return Account(replace(here(unit), language=language), told)
