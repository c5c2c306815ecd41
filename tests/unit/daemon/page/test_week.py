"""The week ahead: who comes when, and water and food on days on which somebody does."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.page.week import DAYS, Visit, feed_days, fill_days, visits_of
from daemon.seconds import DAY_S, HOUR_S
from reports.records import BrineDue, Range, RangePoint, VesselNight
from tests.kit.report_samples import at_hour, vessel
from tests.kit.station import station

FRIDAY = date(2027, 1, 15)
AT = int(datetime(2027, 1, 15, 9, 0, tzinfo=UTC).timestamp())  # Lisbon: the same hour


def night(loss_ml: float, ml_per_day: float, low_ml: float = 40.0) -> VesselNight:
    """A vessel as believed now; one time in ten it is worse, and that is what counts."""
    return vessel(
        "tray",
        loss_ml=(RangePoint(at_hour(0), Range(loss_ml - 5, loss_ml - 2, loss_ml)),),
        loss_ml_per_day=Range(ml_per_day / 3, ml_per_day / 2, ml_per_day),
        low_ml=low_ml,
        brine=None,
    )


def school_visits(first: date = FRIDAY) -> list[Visit]:
    return visits_of(station(), AT, first)


def test_at_a_school_somebody_comes_on_school_days_and_the_monday_after_is_known() -> None:
    assert [visit.day for visit in school_visits()] == [0, 3, 4, 5, 6, 7]
    assert school_visits()[0] == Visit(0, AT, AT + 6 * HOUR_S + HOUR_S // 2)  # up to 15:30


def test_days_away_are_no_visits() -> None:
    away = station(away=["2027-01-18/2027-01-20"])
    assert [visit.day for visit in visits_of(away, AT, FRIDAY)] == [0, 6, 7]


def test_days_before_the_week_count_too_since_water_leaves_on_them() -> None:
    assert [visit.day for visit in school_visits(FRIDAY + timedelta(days=3))] == [-3, 0, 1, 2, 3, 4, 7]


def test_where_somebody_always_is_there_is_a_visit_a_day() -> None:
    always = station(attended=())
    assert [visit.day for visit in visits_of(always, AT, FRIDAY)] == list(range(DAYS + 1))


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "Pacific/Auckland", "America/Lima"])
def test_over_a_change_of_clocks_each_day_is_one_visit(zone: str) -> None:
    """In Lisbon the clocks change on Sunday 28 March 2027 (IANA tz database)."""
    at = int(datetime(2027, 3, 26, 12, 0, tzinfo=UTC).timestamp())
    first = datetime.fromtimestamp(at, station(zone=zone).timezone).date()
    visits = visits_of(station(zone=zone, attended=()), at, first)
    assert [visit.day for visit in visits] == list(range(DAYS + 1))
    assert all(before.ended <= after.began for before, after in pairwise(visits))


def test_before_a_weekend_whatever_is_missing_is_filled_and_after_it_what_left() -> None:
    assert fill_days(night(10.0, 5.0), school_visits(), AT) == [0]
    assert fill_days(night(10.0, 16.0), school_visits(), AT) == [0, 3, 5]
    assert fill_days(night(-20.0, 1.0), school_visits(), AT) == []


def test_nothing_is_filled_with_plain_water_where_brine_is_due_or_the_water_is_not_known() -> None:
    for unknown in ({"brine": BrineDue(30.0, 25.0)}, {"loss_ml": ()}, {"loss_ml_per_day": None}):
        assert fill_days(replace(night(30.0, 16.0), **unknown), school_visits(), AT) == []


@given(st.floats(-30.0, 39.0), st.floats(0.0, 12.0), st.sampled_from([("Mon-Fri 08:00-15:30",), ()]))
def test_who_fills_on_those_days_keeps_the_water_above_the_low_mark(
    loss_ml: float, ml_per_day: float, attended: tuple[str, ...]
) -> None:
    """Also where as much evaporates as one time in ten; 12 mL a day is less than a weekend takes from 40."""
    visits = visits_of(station(attended=attended), AT, FRIDAY)
    days = fill_days(night(loss_ml, ml_per_day), visits, AT)
    level_ml, since = loss_ml, AT
    for visit in visits:
        level_ml += ml_per_day * (visit.ended - since) / DAY_S
        since = visit.ended
        # On the first day nobody could have come sooner.
        assert level_ml < 40.0 + 1e-6 or visit is visits[0]
        if visit.day in days:
            level_ml = 0.0


@given(st.floats(AT - 5 * DAY_S, AT + 9 * DAY_S))
def test_feeds_are_never_too_early_nor_too_near_each_other(due: float) -> None:
    """Common practice, no source: once or twice a week."""
    visits = school_visits()
    days = feed_days(due, visits)
    assert len([day for day in days if day < DAYS]) <= 2
    assert all(after - before >= 3 for before, after in pairwise(days))
    assert all(visit.ended > due for visit in visits if visit.day in days)
    if due <= visits[0].began:
        assert days[0] == visits[0].day
