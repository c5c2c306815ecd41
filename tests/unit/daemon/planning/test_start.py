"""When to set: options while somebody is there, best first, with chances that hold together."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.hours import is_attended, local_time
from daemon.planning.planned_hatch import beyond
from daemon.planning.start import NEARLY, StartPlan
from tests.kit import starts
from tests.kit.starts import MONDAY, NEVER_EMPTY, NOW, ROOM, WEDNESDAY, at, plan
from tests.kit.station import station

HOUR = 3600


def holds_together(found: StartPlan, where=ROOM, now: int = NOW) -> None:  # type: ignore[no-untyped-def]
    shares = [one.share_in_lesson for one in found.options]
    assert shares == sorted(shares, reverse=True)
    assert found.never_c is None or not found.options
    for one in found.options:
        assert not beyond(one.set_at, one.t50.p50)
        assert 0.0 <= one.share_in_lesson <= 1.0
        assert is_attended(where, one.set_at)
        assert now <= one.set_at < found.lesson[1]
        assert one.good_from <= one.set_at <= one.good_until
        assert is_attended(where, one.good_until)
        for moments in (one.t10, one.t50, one.t90):
            assert one.set_at <= moments.p10 <= moments.p50 <= moments.p90
        for early, late in ((one.t10, one.t50), (one.t50, one.t90)):
            assert early.p10 <= late.p10
            assert early.p50 <= late.p50
            assert early.p90 <= late.p90
    if found.hedge is not None:
        # The best option may be a little less likely than another of its day with less to see.
        assert shares[0] < found.hedge.share_in_lesson <= min(1.0, 2.0 * shares[0] / NEARLY + 1e-9)
        assert all(is_attended(where, moment) for moment in found.hedge.set_at)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(5.0, 34.0),
    st.none() | st.floats(0.0, 6.0),
    st.integers(2, 24 * 9),
    st.sampled_from((1, 2, 4, 8)),
)
def test_whatever_is_wanted_the_options_hold_together(
    day_c: float, colder_k: float | None, ahead_h: int, half_hours: int
) -> None:
    lesson = NOW + ahead_h * HOUR, NOW + ahead_h * HOUR + half_hours * HOUR // 2
    night_c = None if colder_k is None else day_c - colder_k
    holds_together(plan(day_c=day_c, night_c=night_c, lesson=lesson))


def test_the_warmer_the_water_the_later_it_is_set() -> None:
    best = [
        plan(day_c=water_c, night_c=water_c, where=NEVER_EMPTY).options[0].set_at
        for water_c in (18.0, 20.0, 22.0, 24.0, 26.0)
    ]
    assert best == sorted(set(best))


@pytest.mark.parametrize("night_c", [None, 8.0])
def test_water_in_which_they_never_hatch_has_no_time_to_set(night_c: float | None) -> None:
    """Base temperature 9.07 °C, Yanchi Lake: see daemon.science.hatching."""
    found = plan(day_c=8.0, night_c=night_c)
    assert (found.options, found.hedge, found.unattended) == ((), None, 0.0)
    assert found.never_c is not None
    assert found.if_warm is not None
    assert found.if_warm > 0.05
    assert plan(day_c=15.0, night_c=15.0).never_c is None


def test_of_nearly_equal_moments_the_one_with_more_to_see_is_best_and_as_good_is_so_in_both() -> None:
    hatch = starts.ground().hatch
    best = plan().options[0]

    def chances(moment: int) -> tuple[float, float]:
        return hatch.chance_within(WEDNESDAY, moment), hatch.under_way(WEDNESDAY, moment)

    day = range(at("2027-03-09T08:00"), at("2027-03-09T15:01"), HOUR // 2)
    most = max(chances(moment)[0] for moment in day)
    near = [moment for moment in day if chances(moment)[0] >= 0.95 * most]
    seen = max(chances(moment)[1] for moment in near)
    assert best.set_at == next(moment for moment in near if chances(moment)[1] == seen)
    for moment in range(best.good_from, best.good_until + 1, HOUR // 2):
        assert chances(moment)[0] >= 0.85 * most
        assert chances(moment)[1] >= 0.9 * seen
    assert best.good_until < at("2027-03-09T13:30")  # 0.40 under way instead of 0.52


def test_a_longer_lesson_is_met_more_often() -> None:
    middle = sum(WEDNESDAY) // 2
    shares = [
        plan(lesson=(middle - half * HOUR, middle + half * HOUR)).options[0].share_in_lesson
        for half in (1, 2, 4)
    ]
    assert shares == sorted(shares)
    assert shares[-1] > 3.0 * shares[0]


def test_of_one_day_only_the_best_moment_is_an_option_and_says_how_long_it_is_as_good() -> None:
    found = plan()
    days = [local_time(one.set_at, ROOM.timezone).date() for one in found.options]
    assert len(days) == len(set(days))
    best = found.options[0]
    assert best.good_until - best.good_from >= HOUR


def test_the_chance_of_two_cups_is_that_of_both_stretches_without_counting_any_twice() -> None:
    hatch = starts.ground().hatch
    one, other = at("2027-03-09T09:00"), at("2027-03-09T09:30")
    alone = hatch.chance_within(WEDNESDAY, one)
    assert hatch.chance_within(WEDNESDAY, one, one) == pytest.approx(alone)
    both = hatch.chance_within(WEDNESDAY, one, other)
    assert alone < both < alone + hatch.chance_within(WEDNESDAY, other)
    far = at("2027-03-08T09:00")
    apart = hatch.chance_within(WEDNESDAY, one, far)
    assert apart == pytest.approx(alone + hatch.chance_within(WEDNESDAY, far), abs=0.002)


def test_where_nobody_is_there_before_the_lesson_there_is_no_option() -> None:
    saturday = at("2027-03-06T09:00")
    found = plan(lesson=(saturday + 20 * HOUR, saturday + 22 * HOUR), now=saturday)
    assert (found.options, found.hedge) == ((), None)


def test_nothing_is_set_on_days_away() -> None:
    where = station(away=["2027-03-08/2027-03-09"])
    assert local_time(plan().options[0].set_at, ROOM.timezone).date().day in (8, 9)
    for one in plan(where=where).options:
        assert local_time(one.set_at, where.timezone).date().day not in (8, 9)


# Clocks go forward in Lisbon on 28 March 2027 at 01:00, and back on 31 October at 02:00 [M].
@pytest.mark.parametrize("monday", ["2027-03-29", "2027-11-01"])
def test_where_the_clocks_change_set_times_stand_on_the_clocks_half_hours(monday: str) -> None:
    where = station(attended=["Mon-Sun 08:00-15:30"])
    lesson = at(f"{monday}T10:00", where), at(f"{monday}T11:30", where)
    now = lesson[0] - 6 * 24 * HOUR
    found = plan(lesson=lesson, now=now, where=where)
    holds_together(found, where, now)
    for one in found.options:
        assert local_time(one.set_at, where.timezone).minute in (0, 30)
    elsewhere = plan(
        lesson=tuple(moment + 14 * 24 * HOUR for moment in lesson), now=now + 14 * 24 * HOUR, where=where
    )
    # The same lesson two weeks on, without a change: the same number of hours, not the same clock.
    ahead = [(one.lesson[0] - one.options[0].set_at) / HOUR for one in (found, elsewhere)]
    assert ahead[0] == pytest.approx(ahead[1], abs=1.51)


def test_a_known_tin_and_a_warm_place_are_weighed_where_the_chance_is_low() -> None:
    found = plan(day_c=20.0, night_c=16.0)
    assert found.if_known is not None
    assert found.if_warm is not None
    assert found.if_known > found.options[0].share_in_lesson
    assert found.if_warm > found.options[0].share_in_lesson


def test_on_a_monday_somebody_who_came_at_any_hour_would_meet_it_more_often() -> None:
    found = plan(lesson=MONDAY)
    best = found.options[0].share_in_lesson if found.options else 0.0
    assert found.unattended > 3.0 * best
    assert timedelta(seconds=found.lesson[0] - NOW) > timedelta(days=7)
