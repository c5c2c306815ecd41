"""The last day and week hour by hour, and what they say of the coming time: sums by hand."""

from math import exp, hypot, log

import pytest

from daemon.estimates.water.hourly_loss import ComingLoss, ComingWeek, RecentDay, RecentWeek

HOUR, DAY, WEEK = 3600, 86_400, 7 * 86_400
BEGAN = 1_800_000_000 // DAY * DAY


# The last day ---


def a_day(hours: int, per_hour: float = 2.0) -> RecentDay:
    """So many whole hours with as much in each, in halves."""
    recent = RecentDay()
    for half in range(2 * hours):
        recent.add(BEGAN + half * HOUR // 2, HOUR // 2, [per_hour / 2, 3 * per_hour / 2])
    return recent


def test_a_day_of_known_hours_is_told_as_it_was_by_column() -> None:
    assert a_day(24).per_day(BEGAN + 24 * HOUR - 1) == pytest.approx([48.0, 144.0])
    assert a_day(24).hours_known(BEGAN + 24 * HOUR - 1) == pytest.approx(24.0)


def test_a_few_hours_are_scaled_to_a_day_and_none_are_none() -> None:
    assert a_day(6).per_day(BEGAN + 6 * HOUR) == pytest.approx([48.0, 144.0])
    assert a_day(6).hours_known(BEGAN + 6 * HOUR) == pytest.approx(6.0)
    assert RecentDay().per_day(BEGAN) is None
    assert RecentDay().rates(BEGAN, 0) is None


def test_what_is_a_day_old_is_forgotten() -> None:
    recent = a_day(3)
    assert recent.hours_known(BEGAN + 25 * HOUR - 1) == pytest.approx(2.0)
    assert recent.hours_known(BEGAN + 24 * HOUR - 1) == pytest.approx(3.0)
    assert recent.per_day(BEGAN + 27 * HOUR) is None


def test_only_what_came_since_a_moment_is_asked_for() -> None:
    recent = a_day(3, per_hour=1.0)
    recent.add(BEGAN + 3 * HOUR, HOUR, [5.0, 0.0])
    found = recent.per_day(BEGAN + 4 * HOUR - 1, BEGAN + 2 * HOUR + 100)
    assert found == pytest.approx([(1.0 + 5.0) * 12, 3.0 * 12])


def test_an_hour_not_seen_goes_at_the_mean_of_those_that_were() -> None:
    recent = RecentDay()
    recent.add(BEGAN, HOUR, [3.6])
    recent.add(BEGAN + HOUR, HOUR // 2, [5.4])
    rates = recent.rates(BEGAN + 2 * HOUR - 1, 0)
    assert rates is not None
    assert rates[:3] == pytest.approx([0.001, 0.003, 9.0 / 5400])
    assert len(rates) == 24


# The week ---


def eight_days(today: float = 1.0) -> RecentWeek:
    """An hour of day d gave d + 1 an hour; the last day as many times more."""
    week = RecentWeek()
    for hour in range(8 * 24):
        week.add(BEGAN + hour * HOUR, HOUR, (hour // 24 + 1) * (today if hour >= 7 * 24 else 1.0))
    return week


NOW = BEGAN + 8 * DAY - 1
HOURS = NOW // HOUR


def test_a_coming_hour_is_like_that_of_a_week_ago_where_today_is() -> None:
    rate = eight_days().coming(NOW, [1.0 / HOUR] * 24)  # today as the same day a week ago: 1 an hour
    assert rate is not None
    for ahead in (1, 23, 24 + 1, 6 * 24):
        day_then = (7 * 24 + 23 + ahead - 168) // 24
        assert rate(HOURS + ahead) * HOUR == pytest.approx(day_then + 1)


# Today half as much again: that is kept with e-folding 52 h, and by a factor of two at most either way.
@pytest.mark.parametrize(("times", "kept"), [(1.5, 1.5), (0.6, 0.6), (9.0, 2.0), (0.1, 0.5)])
def test_how_today_differs_is_half_forgotten_in_36_hours(times: float, kept: float) -> None:
    rate = eight_days().coming(NOW, [times / HOUR] * 24)
    assert rate is not None
    for ahead in (1, 36, 100):
        day_then = (7 * 24 + 23 + ahead - 168) // 24
        expected = (day_then + 1) * exp(log(kept) * exp(-ahead / 52.0))
        assert rate(HOURS + ahead) * HOUR == pytest.approx(expected)


def test_a_week_that_was_not_seen_whole_says_nothing() -> None:
    week = RecentWeek()
    for hour in range(1, 8 * 24):
        week.add(BEGAN + hour * HOUR, HOUR, 1.0)
    assert week.coming(NOW, [1.0] * 24) is None
    dry = RecentWeek()
    for hour in range(8 * 24):
        dry.add(BEGAN + hour * HOUR, HOUR, 0.0)
    assert dry.coming(NOW, [1.0] * 24) is None
    assert RecentWeek().coming(NOW, [1.0] * 24) is None


def test_an_hour_that_was_silent_a_week_ago_goes_as_today() -> None:
    week = RecentWeek()
    for hour in range(8 * 24):
        if hour != 24 + 5:
            week.add(BEGAN + hour * HOUR, HOUR, 7.0)
    today = [0.001 * hour for hour in range(24)]
    rate = week.coming(NOW, today)
    assert rate is not None
    assert rate(HOURS + 6) == today[5]


def test_two_stretches_of_an_hour_count_together() -> None:
    week = RecentWeek()
    for half in range(16 * 24):
        week.add(BEGAN + half * HOUR // 2, HOUR // 2, 1.0 if half % 2 else 3.0)
    rate = week.coming(NOW, [4.0 / HOUR] * 24)
    assert rate is not None
    assert rate(HOURS + 30) * HOUR == pytest.approx(4.0)


# What comes ---


def test_coming_time_adds_up_hour_by_hour_and_repeats_after_a_week() -> None:
    now = BEGAN + 600
    week = ComingWeek(now, lambda hour: float(hour - BEGAN // HOUR))
    assert week.amount(now) == 0.0
    assert week.amount(now - 50) == 0.0
    assert week.amount(BEGAN + HOUR) == 0.0  # the hour under way, at 0
    assert week.amount(BEGAN + HOUR + 100) == pytest.approx(100.0)
    assert week.amount(BEGAN + 2 * HOUR) == pytest.approx(HOUR)
    assert week.amount(BEGAN + 3 * HOUR) == pytest.approx(3 * HOUR)
    whole = week.amount(now + WEEK)
    assert whole == pytest.approx(sum(range(168)) * HOUR + 168 * 600)
    assert week.amount(now + WEEK + 2 * HOUR) == pytest.approx(whole + week.amount(now + 2 * HOUR))


def coming(*rates: float, per_day: float = 10.0) -> ComingLoss:
    weeks = [ComingWeek(BEGAN, lambda _hour, rate=rate: rate / DAY) for rate in rates]
    return ComingLoss(BEGAN, weeks, per_day, 0.12)


def test_two_forecasts_are_halved_between_and_told_in_days_of_the_known_pace() -> None:
    assert coming(8.0, 16.0).days(BEGAN + 2 * DAY) == pytest.approx(2 * 12.0 / 10.0)
    assert coming(8.0).days(BEGAN - 5) == 0.0
    assert coming(8.0, per_day=0.0).days(BEGAN + 3 * DAY) == pytest.approx(3.0)


def test_forecasts_that_differ_are_less_sure() -> None:
    later = BEGAN + DAY
    assert coming(10.0, 10.0).share(later) == pytest.approx(0.12)
    assert coming(8.0, 16.0).share(later) == pytest.approx(hypot(0.12, 8.0 / 24.0))
    assert coming(0.0).share(later) == 0.12
    assert coming(8.0, 16.0).share(BEGAN) == coming(8.0, 16.0).share(BEGAN + 60)
