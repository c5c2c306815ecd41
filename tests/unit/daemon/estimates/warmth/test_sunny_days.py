"""Sunny days: what some of them say of the next, and how forecasts of heat hold where sun comes and goes."""

import math
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.estimates.local_hour import PlainCalendar
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.belief import WarmthBelief
from daemon.estimates.warmth.sunny_days import LEAST_K, SunnyDays, SunToday, as_seen, drawn, sun_k
from tests.kit.sunny_days import sunny_room

SUNNY = {hour: 20.0 + (8.0 if 10 <= hour <= 17 else 0.0) for hour in range(24)}
GREY = dict.fromkeys(range(24), 20.0)


def lived(*days: dict[int, float]) -> SunnyDays:
    """Each whole day, and the first hour of the next."""
    found = SunnyDays()
    for day in days:
        for hour, around_c in day.items():
            found = found.with_hour(hour, around_c)
    return found.with_hour(0, 20.0)


def test_a_days_sun_is_how_far_it_stands_out_of_its_own_morning_and_evening() -> None:
    assert sun_k(SUNNY) == pytest.approx(8.0, rel=0.1)
    assert sun_k({hour: c + 5.0 for hour, c in SUNNY.items()}) == sun_k(SUNNY), "a warmer room is no sun"
    assert sun_k(GREY) == 0.0
    assert sun_k({hour: 20.0 - hour for hour in range(24)}) == pytest.approx(0.5, abs=0.6)
    assert sun_k({hour: c for hour, c in SUNNY.items() if hour > 12}) is None


def test_two_sunny_days_do_not_make_the_third_one_sure() -> None:
    shares = lived(SUNNY, SUNNY).shares(8.0)
    low, middle, high = drawn(shares, (0.1, 0.5, 0.9))
    assert low < 0.2
    assert middle > 0.8
    assert high == pytest.approx(1.1, abs=0.15)


def test_a_grey_day_after_sunny_ones_makes_another_grey_one_likelier() -> None:
    def grey(*days: dict[int, float]) -> float:
        shares = lived(*days).shares(8.0)
        return sum(w for share, w in shares if share < 0.3) / sum(w for _, w in shares)

    assert grey(SUNNY, SUNNY) < grey(GREY, SUNNY) < grey(SUNNY, GREY) < grey(GREY, GREY)


SHARES = [(0.0, 0.8), (0.5, 0.4), (1.0, 2.0), (1.1, 1.0)]


def test_what_was_seen_of_today_says_which_day_it_is() -> None:
    assert as_seen(SHARES, SunToday(0.0, 0.7, 0.7)) == SHARES, "before the sun is up nothing was seen"
    assert as_seen(SHARES, SunToday(0.0, 0.8, 0.7)) == SHARES
    grey = drawn(as_seen(SHARES, SunToday(-0.9, 0.1, 0.7)), (0.1, 0.5, 0.9))
    sunny = drawn(as_seen(SHARES, SunToday(0.0, 0.1, 0.7)), (0.1, 0.5, 0.9))
    assert -0.01 < grey[0] < grey[2] < 0.3
    assert 0.75 < sunny[0] < sunny[2] < 1.25
    unsure = drawn(as_seen(SHARES, SunToday(-0.3, 0.5, 0.7)), (0.1, 0.5, 0.9))
    assert unsure[0] < 0.3
    assert unsure[2] > 1.0


# By hand, of one day drawn (0.5, sd 0.2) and a look that says 0.9 with sd 0.2: between them, and surer by √2.
def test_a_day_drawn_and_what_was_seen_are_weighed_by_how_sure_they_are() -> None:
    look_var, unseen_var = 0.2**2, 0.7**2
    var = 1.0 / (1.0 / look_var + 1.0 / unseen_var)
    found = as_seen([(0.5, 3.0)], SunToday(-0.1 * var / look_var, math.sqrt(var), 0.7))
    assert fmean(share for share, _ in found) == pytest.approx(0.7)
    spread = fmean((share - 0.7) ** 2 for share, _ in found)
    assert spread == pytest.approx(0.2**2 / 2.0, rel=0.02)
    assert sum(weight for _, weight in found) == pytest.approx(3.0)


@given(st.floats(-1.0, 3.0), st.floats(0.02, 0.9), st.floats(0.1, 0.9))
def test_whatever_was_seen_shares_stay_sorted_and_bounded(middle: float, sd: float, unseen_sd: float) -> None:
    found = as_seen(SHARES, SunToday(middle, sd, unseen_sd))
    assert found == sorted(found)
    assert all(0.0 <= share <= 2.5 and weight >= 0.0 for share, weight in found)
    assert sum(weight for _, weight in found) > 0.0


def test_without_a_day_or_without_sun_nothing_is_said() -> None:
    assert SunnyDays().shares(8.0) == []
    assert lived(SUNNY).shares(0.9 * LEAST_K) == []


@given(st.lists(st.tuples(st.integers(0, 23), st.floats(-5.0, 60.0)), max_size=150), st.floats(0.0, 20.0))
def test_whatever_comes_shares_are_sorted_and_bounded(hours: list[tuple[int, float]], usual_k: float) -> None:
    days = SunnyDays()
    for hour, around_c in hours:
        days = days.with_hour(hour, around_c)
    shares = days.shares(usual_k)
    assert shares == sorted(shares)
    assert all(share >= 0.0 and weight > 0.0 for share, weight in shares)
    if shares:
        levels = [0.01, 0.3, 0.5, 0.7, 0.99]
        assert drawn(shares, levels) == sorted(drawn(shares, levels))


def test_forecasts_of_heat_hold_where_sunny_and_grey_days_come_in_any_order() -> None:
    """Four rooms of other physics, two weeks each; the many are tests/bench/heat.py's.

    A forecast that takes two sunny days for the rule held 0.67 of the hottest 16 hours there, and foresaw
    heat in vain on more than a quarter of the days on which it foresaw any.
    """
    rooms = [sunny_room(seed, 10) for seed in range(4)]
    asked = [one for records, _ in rooms for one in records if one.hours == 16]
    held = sum(one.low_c <= one.truth_c <= one.high_c for one in asked) / len(asked)
    assert held > 0.62
    early = [one for one in asked if 6 <= one.clock_h <= 8 and one.clear < 0.3 and one.clear_before > 0.7]
    assert sum(one.truth_c < one.low_c for one in early) / len(early) < 0.45, "a grey day after a sunny one"
    days = [day for _, found in rooms for day in found]
    warned = [day for day in days if day.warned_h is not None]
    assert sum(day.passed_h is None for day in warned) < 0.34 * len(warned)
    passed = [day for day in days if day.passed_h is not None]
    assert sum(day.warned_h is not None for day in passed) > 0.6 * len(passed)


# What surrounds a cup in a room that stands level, and on whose window the sun shines from nine to four ---

STEP_S, DAY_H, MONDAY = 600, 24, 1_800_230_400  # 2027-01-18, midnight UTC


class Sill:
    """A cup of 1.2 h in it; it is watched as days come, sunny by so many K or grey."""

    def __init__(self, level_c: float = 23.9) -> None:
        self.level_c, self.at, self.water_c = level_c, MONDAY, level_c
        self.belief = WarmthBelief(250.0, PlainCalendar())

    def live(self, sun_k: float, hours: int = DAY_H) -> None:
        for _ in range(hours * 3600 // STEP_S):
            clock_h = self.at % 86_400 / 3600
            shines = max(0.0, math.sin(math.pi * (clock_h - 9.0) / 7.0)) if 9.0 <= clock_h <= 16.0 else 0.0
            around_c = self.level_c + sun_k * shines
            self.water_c = around_c + (self.water_c - around_c) * math.exp(-STEP_S / 3600 / 1.2)
            warm_c = self.water_c
            self.belief.feed_stretch(
                Stretch(self.at, self.at + STEP_S, warm_c, warm_c, warm_c, None, None, None)
            )
            self.at += STEP_S

    def coldest_p90_c(self) -> float:
        found = self.belief.coldest_next_16h()
        assert found is not None
        return found.p90


@pytest.mark.parametrize("asked_h", [10, 11, 12, 14])
def test_a_sun_that_stays_away_by_day_makes_no_night_cold(asked_h: int) -> None:
    """Sun on three afternoons, then grey days: at noon of the third, "about 15 degrees, nine in ten sure"."""
    sill = Sill()
    for shines_k in (13.0, 13.0, 13.0, 0.0, 0.0):
        sill.live(shines_k)
    sill.live(0.0, asked_h)
    found = sill.belief.coldest_next_16h()
    assert found is not None
    assert found.p90 == pytest.approx(23.9, abs=0.4)
    assert found.p50 > 22.9


def test_a_sun_that_shines_by_day_makes_no_night_warm() -> None:
    sill = Sill()
    for shines_k in (13.0, 0.0, 13.0, 0.0, 0.0):
        sill.live(shines_k)
    sill.live(13.0, 14)
    night = sill.belief.water_c_at(sill.at + 10 * 3600)
    assert night is not None
    assert night.p50 == pytest.approx(23.9, abs=0.8)


@settings(max_examples=15)
@given(st.lists(st.sampled_from((0.0, 3.0, 8.0, 14.0)), min_size=2, max_size=5), st.integers(10, 15))
def test_whatever_days_went_before_a_grey_one_is_never_surely_cold(suns: list[float], asked_h: int) -> None:
    """The water never is below the room: nine in ten are never sure of a kelvin less."""
    sill = Sill()
    for shines_k in suns:
        sill.live(shines_k)
    sill.live(0.0, asked_h)
    assert sill.coldest_p90_c() > 22.9


def test_a_room_that_cools_on_a_grey_day_is_found_by_the_evening() -> None:
    """As above, but the heating stops at eight in the morning: the room falls by half a kelvin an hour."""
    sill = Sill()
    for shines_k in (13.0, 13.0, 0.0):
        sill.live(shines_k)
    sill.live(0.0, 8)
    for _ in range(10):
        sill.level_c -= 0.5
        sill.live(0.0, 1)
    found = sill.belief.coldest_next_16h()
    assert found is not None
    assert found.p50 < sill.level_c - 1.5
    assert found.p90 < sill.level_c + 0.3
