"""The water of the coming hours: its middle path followed by hand, and what spreads the others."""

import math
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from statistics import NormalDist

import numpy as np
import pytest

from daemon.estimates.local_hour import LocalHour
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.estimates.warmth.forecast import (
    FALL_ORDER,
    NOT_KNOWN,
    NOW_ORDER,
    PROBE_ORDERS,
    RISE_ORDER,
    TO_COME,
    Now,
    WarmthForecast,
)
from daemon.estimates.warmth.normal_paths import HOURS_MOST, PATHS, by_hour, order
from daemon.estimates.warmth.room_pattern import RoomPattern
from daemon.estimates.warmth.room_state import slot

HOUR, DAY = 3600, 86_400
MONDAY = 1_800_230_400  # 2027-01-18, midnight UTC
CUP = CupHeat(1.2, 4.0, 0.0, -1.0, 0.5)


@dataclass(frozen=True)
class Calendar:
    """UTC, people every day or never, a lamp due between two hours of the day."""

    school: bool = True
    lamp: tuple[int, int] = (0, 0)

    def local(self, at: int) -> LocalHour:
        hour = at % DAY // HOUR
        return LocalHour(hour, self.school, self.lamp[0] <= hour < self.lamp[1])


@cache
def known_room(
    calendar: Calendar, at: int, around_c: float = 18.0, days: int = 8, last_c: float | None = None
) -> RoomPattern:
    """A room that was always as warm, but for its last hours where that is told."""
    room = RoomPattern()
    for hour in range(at // HOUR - 24 * days, at // HOUR):
        seen = last_c if last_c is not None and hour >= at // HOUR - 3 else around_c
        room.advance(hour, hour % 24)
        room.observe(slot(calendar, hour * HOUR), seen, 0.01)
    room.advance(at // HOUR, at // HOUR % 24)
    return room


def falling_room(calendar: Calendar, at: int, days: int) -> RoomPattern:
    """A room of 18 °C that falls by 0.2 K an hour from eight in the evening to five."""
    room = RoomPattern()
    for hour in range(at // HOUR - 24 * days, at // HOUR):
        since = (hour - 20) % 24
        room.advance(hour, hour % 24)
        room.observe(slot(calendar, hour * HOUR), 18.0 - 0.2 * since if since < 9 else 18.0, 0.01)
    room.advance(at // HOUR, at // HOUR % 24)
    return room


def now(at: int, **told: object) -> Now:
    return replace(Now(at, 18.0, 0.0, 18.0, 0.0, 0.0, 0.0, False), **told)  # type: ignore[arg-type]


def forecast(
    at: int,
    hours: int,
    calendar: Calendar | None = None,
    heat: CupHeat = CUP,
    room: RoomPattern | None = None,
    **told: object,
) -> WarmthForecast:
    calendar = calendar or Calendar()
    return WarmthForecast(
        now(at, **told), (room or known_room(calendar, at)).copy(), heat, calendar, at + hours * HOUR
    )


NIGHT = MONDAY + 22 * HOUR


def middle(found: WarmthForecast, at: int) -> float:
    return found.median_and_sd_c(at)[0]


def test_a_cup_in_a_steady_room_stays_and_one_that_is_warmer_comes_down_with_its_lag() -> None:
    assert middle(forecast(NIGHT, 8), NIGHT + 8 * HOUR) == pytest.approx(18.0, abs=0.15)
    warm = forecast(NIGHT, 8, water_c=26.0)
    for hours in (1, 2, 4):
        expected = 18.0 + 8.0 * math.exp(-hours / 1.2)
        assert middle(warm, NIGHT + hours * HOUR) == pytest.approx(expected, abs=0.15)


def test_between_whole_hours_it_goes_straight_and_before_now_it_is_what_it_is() -> None:
    warm = forecast(NIGHT, 8, water_c=26.0)
    half = 0.5 * (26.0 + middle(warm, NIGHT + HOUR))
    assert middle(warm, NIGHT + HOUR // 2) == pytest.approx(half, abs=0.05)
    assert middle(warm, NIGHT - 999) == 26.0
    assert middle(warm, NIGHT + 99 * DAY) == middle(warm, NIGHT + 8 * HOUR)


def test_a_forecast_from_the_middle_of_an_hour_reaches_the_hours_end_first() -> None:
    found = forecast(NIGHT + 1800, 3, water_c=26.0)
    assert middle(found, NIGHT + HOUR) == pytest.approx(18.0 + 8.0 * math.exp(-0.5 / 1.2), abs=0.15)


def test_it_goes_as_far_as_it_was_asked_and_no_further_than_eight_days() -> None:
    found = forecast(NIGHT, 30)
    assert found.reaches(NIGHT + 30 * HOUR)
    assert not found.reaches(NIGHT + 31 * HOUR + 1)
    week = forecast(NIGHT, 30 * 24)
    assert week.reaches(NIGHT + 99 * DAY)
    assert middle(week, NIGHT + 190 * HOUR) == middle(week, NIGHT + 99 * DAY)


# The lamp lifts by so many K while it is due; it is asked four times an hour.
def test_a_lamp_that_is_due_warms_the_cup() -> None:
    calendar = Calendar(lamp=(0, 6))
    found = forecast(NIGHT, 12, calendar)
    assert middle(found, NIGHT + 2 * HOUR) == pytest.approx(18.0, abs=0.15)
    assert middle(found, NIGHT + 4 * HOUR) == pytest.approx(18.0 + 4.0 * (1 - math.exp(-2 / 1.2)), abs=0.2)
    at_six = 18.0 + 4.0 * (1 - math.exp(-6 / 1.2))
    assert middle(found, NIGHT + 8 * HOUR) == pytest.approx(at_six, abs=0.2)
    assert middle(found, NIGHT + 10 * HOUR) == pytest.approx(
        18.0 + (at_six - 18.0) * math.exp(-2 / 1.2), abs=0.25
    )


# "A lamp that stays dark is taken to stay dark three times in four till people come": 35 of 47 paths.
def test_a_lamp_that_stayed_dark_stays_so_on_three_paths_of_four_until_people_come() -> None:
    calendar = Calendar(lamp=(0, 24))
    dark = forecast(NIGHT, 20, calendar, heat=replace(CUP, rise_k=9.0), dark=True, lit=0.0)
    row = sorted(dark._row(NIGHT + 6 * HOUR))
    assert sum(water_c > 22.5 for water_c in row) == 47 - 35
    mended = sorted(dark._row(NIGHT + 18 * HOUR))
    assert sum(water_c > 22.5 for water_c in mended) == 47
    empty = forecast(
        NIGHT, 20, Calendar(school=False, lamp=(0, 24)), heat=replace(CUP, rise_k=9.0), dark=True
    )
    assert sum(water_c > 22.5 for water_c in empty._row(NIGHT + 18 * HOUR)) == 47 - 35


def test_how_sure_the_lamps_rise_is_widens_what_its_switching_does() -> None:
    calendar = Calendar(lamp=(0, 24))
    unsure = replace(CUP, rise_sd_k=2.0)
    off = forecast(NIGHT, 8, calendar, heat=unsure, lit=0.0).median_and_sd_c(NIGHT + 8 * HOUR)[1]
    on = forecast(NIGHT, 8, calendar, heat=unsure, lit=1.0).median_and_sd_c(NIGHT + 8 * HOUR)[1]
    assert off > on + 0.8
    assert on == pytest.approx(forecast(NIGHT, 8, calendar, lit=1.0).median_and_sd_c(NIGHT + 8 * HOUR)[1])


# Beside what comes: the margin of the water now (nine in ten), and the probe's 0.2 °C in what is told.
def test_what_is_told_now_is_the_margin_of_the_water_and_the_probes_error() -> None:
    found = forecast(NIGHT, 4, margin_c=1.5).water_c_at(NIGHT)
    assert (found.p90 - found.p10) / 2 == pytest.approx(math.hypot(1.5, 0.2 * 1.2816), rel=0.1)
    assert forecast(NIGHT, 4, margin_c=1.5).median_and_sd_c(NIGHT)[1] == pytest.approx(1.5 / 1.2816, rel=0.1)
    sure = forecast(NIGHT, 4).water_c_at(NIGHT)
    assert (sure.p90 - sure.p10) / 2 == pytest.approx(0.2 * 1.2816, rel=0.1)


def test_the_coldest_and_the_hottest_are_those_of_each_path() -> None:
    found = forecast(NIGHT, 12, water_c=24.0)
    assert found.hottest(NIGHT, NIGHT + 12 * HOUR).p50 == pytest.approx(24.0, abs=0.15)
    assert found.coldest(NIGHT, NIGHT + 12 * HOUR).p50 < found.water_c_at(NIGHT + 12 * HOUR).p50
    assert found.coldest(NIGHT + HOUR, NIGHT).p50 == pytest.approx(found.water_c_at(NIGHT + HOUR).p50)


# How warm a room is at all is of all its hours: not knowing it spreads the coldest, but hardly cools it.
def test_the_coldest_of_an_unknown_room_is_hardly_colder_than_its_coldest_hour() -> None:
    empty = Calendar(school=False)
    found = forecast(MONDAY + 10 * HOUR, 62, empty, room=RoomPattern(), around_c=None)
    coldest = found.coldest(MONDAY + 34 * HOUR, MONDAY + 72 * HOUR)
    hours = [found.water_c_at(MONDAY + hour * HOUR) for hour in range(34, 73)]
    lean = min(hour.p50 for hour in hours) - coldest.p50
    assert 0.0 < lean < 0.15 * (coldest.p90 - coldest.p10)


@dataclass(frozen=True)
class FridaysCalendar(Calendar):
    """Without people on Saturday and Sunday."""

    def local(self, at: int) -> LocalHour:
        return replace(super().local(at), school_day=(at - MONDAY) // DAY % 7 < 5)


def test_the_range_of_the_night_before_a_weekend_reaches_down_further_than_up() -> None:
    calendar = FridaysCalendar()
    below, above = [], []
    for day in (3, 4):
        at = MONDAY + day * DAY + 16 * HOUR
        room = falling_room(calendar, at, days=day)
        night = forecast(at, 12, calendar, room=room).water_c_at(at + 12 * HOUR)
        below.append(night.p50 - night.p10)
        above.append(night.p90 - night.p50)
    assert below[1] > 1.2 * below[0]
    assert above[1] == pytest.approx(above[0], rel=0.15)


def test_further_ahead_is_less_sure() -> None:
    found = forecast(NIGHT, 60)
    spreads = [found.median_and_sd_c(NIGHT + hours * HOUR)[1] for hours in (1, 4, 12, 48)]
    assert spreads == sorted(spreads)
    assert 0.5 < spreads[-1] < 1.6, (
        "deviations of a day: 0.5 and 1.1 K; less, where a room is seen to be even"
    )


# A deviation goes on growing for some three hours as it moves, but not past the pattern.
def test_a_deviation_goes_on_as_it_moves_for_some_hours() -> None:
    room = known_room(Calendar(), NIGHT, last_c=17.0)
    still = forecast(NIGHT, 8, room=room, around_c=17.0)
    falling = forecast(NIGHT, 8, room=room, around_c=17.0, trend_k_per_h=-0.3)
    assert middle(falling, NIGHT + 6 * HOUR) < middle(still, NIGHT + 6 * HOUR) - 0.15
    rising = forecast(NIGHT, 8, room=room, around_c=17.0, trend_k_per_h=1.5)
    assert middle(still, NIGHT + 6 * HOUR) < middle(rising, NIGHT + 6 * HOUR) < 18.3


# So cold by chance, or as any cold is where the heating is out: 10 % of forecasts, up to 10 K, by Bayes. No
# slope is needed; but what rises fast and comes nearer to the pattern is mended.
@pytest.mark.parametrize(
    ("slope", "trend", "fails"),
    [(-0.5, -0.5, True), (-0.04, -0.5, True), (-0.5, 0.2, True), (0.1, 0.2, True), (0.5, 0.2, False)],
)
def test_a_room_far_below_its_pattern_has_no_heating_unless_it_is_mended(
    slope: float, trend: float, fails: bool
) -> None:
    room = known_room(Calendar(), NIGHT, last_c=14.0)
    found = forecast(
        NIGHT, 12, room=room, water_c=14.5, around_c=14.0, slope_k_per_h=slope, trend_k_per_h=trend
    )
    assert (found._failing > 0.5) is fails
    counted = [fall for fall in found._falls(6) if fall is not None]
    assert len(counted) == round(found._failing * 47)
    assert (middle(found, NIGHT + 12 * HOUR) < 13.5) is fails


# Newton: from 14 °C towards 5 °C with 40 h, so 14 − 9·(1 − e^(−6/40)) = 12.75 after six hours, and on.
def test_a_room_without_heating_cools_as_newton_has_it_and_ever_more_slowly() -> None:
    room = known_room(Calendar(), NIGHT, last_c=14.0)
    found = forecast(NIGHT, 2, room=room, around_c=14.0, slope_k_per_h=-0.2, trend_k_per_h=-0.2)
    means = []
    for ahead_h in (0, 6, 12, 60):
        counted = [fall for fall in found._falls(ahead_h) if fall is not None]
        means.append(sum(counted) / len(counted))
    assert means[0] == pytest.approx(14.0)
    assert means[1] == pytest.approx(14.0 - 9.0 * (1 - math.exp(-6 / 40)), abs=0.3)
    assert means[0] - means[1] > means[1] - means[2] > 0.0
    assert means[3] > 5.0


def test_a_room_that_often_differs_from_its_pattern_may_be_as_cold_by_chance() -> None:
    def failing(wanders_k: float) -> float:
        room, calendar = RoomPattern(), Calendar()
        for hour in range(NIGHT // HOUR - 24 * 12, NIGHT // HOUR):
            off_k = wanders_k * math.sin(2.0 * math.pi * (NIGHT // HOUR - hour) / 110.0)
            last_k = 2.5 if hour >= NIGHT // HOUR - 3 else 0.0
            room.advance(hour, hour % 24)
            room.observe(slot(calendar, hour * HOUR), 18.0 + off_k - last_k, 0.01)
        room.advance(NIGHT // HOUR, 22)
        return forecast(NIGHT, 2, room=room, around_c=15.5, slope_k_per_h=0.0)._failing

    assert failing(0.0) > 0.6
    assert failing(2.0) < 0.3


# "Where they rise after eleven by more than 0.6 K an hour, it is sun: it goes on for two hours and stays".
@pytest.mark.parametrize(
    ("hour", "slope", "sunny"),
    [(12, 0.7, True), (12, 0.6, False), (10, 2.0, False), (11, 0.7, True), (17, 0.7, True), (18, 2.0, False)],
)
def test_an_afternoon_that_rises_fast_is_sun(hour: int, slope: float, sunny: bool) -> None:
    at = MONDAY + hour * HOUR
    found = forecast(at, 6, around_c=21.0, slope_k_per_h=slope)
    assert (found._sun_goes_on(18.0, 14, 1) > 0.0) is sunny


def test_the_sun_goes_on_for_two_hours_and_stays_for_five() -> None:
    at = MONDAY + 12 * HOUR
    found = forecast(at, 6, around_c=21.0, slope_k_per_h=1.0)
    added = [found._sun_goes_on(18.0, 14, ahead_h) for ahead_h in range(7)]
    assert added == pytest.approx([3.0, 3.4, 3.8, 3.8, 3.8, 0.0, 0.0])
    assert found._sun_goes_on(99.0, 14, 1) == 0.0
    assert found._sun_goes_on(18.0, 19, 1) < 2.0, "late in the afternoon less of it reaches the window"


# The paths, which stand for chance ---


@pytest.mark.parametrize("number", [0, 1, 17, 401, 1000])
def test_an_order_is_the_middles_of_47_equal_shares_of_a_normal(number: int) -> None:
    middles = [NormalDist().inv_cdf((path + 0.5) / 47) for path in range(47)]
    assert sorted(order(number)) == pytest.approx(middles)


def test_the_orders_that_are_used_together_hardly_correlate() -> None:
    used = [NOT_KNOWN[0], NOT_KNOWN[0] + 1, TO_COME[0], TO_COME[0] + 1, RISE_ORDER, NOW_ORDER, FALL_ORDER]
    used.extend(PROBE_ORDERS)
    for a, b in combinations(used, 2):
        assert abs(np.corrcoef(order(a), order(b))[0, 1]) < 0.35, (a, b)
    many = [abs(np.corrcoef(order(n), order(n + 1))[0, 1]) for n in range(150)]
    assert float(np.mean(many)) < 0.2
    assert sum(value > 0.9 for value in many) <= 3


# By hand: `own` of the variance is a path's own for all hours, the rest fades with e-folding `fades_h`; so
# two hours apart by h correlate by own + (1 − own)·e^(−h/fades).
@pytest.mark.parametrize(("first", "own", "fades_h"), [NOT_KNOWN, TO_COME, (7, 0.0, 5.0)])
def test_the_paths_of_two_hours_are_as_alike_as_they_are_told_to_be(
    first: int, own: float, fades_h: float
) -> None:
    paths = np.array(by_hour(first, own, fades_h))
    assert paths.shape == (HOURS_MOST, PATHS) == (192, 47)
    assert float(np.mean(paths.var(axis=1))) == pytest.approx(1.0, abs=0.15)
    for apart in (1, 4, 12):
        alike = [np.corrcoef(paths[hour], paths[hour + apart])[0, 1] for hour in range(HOURS_MOST - apart)]
        assert float(np.mean(alike)) == pytest.approx(own + (1.0 - own) * np.exp(-apart / fades_h), abs=0.12)


def test_two_sets_of_different_orders_hardly_correlate() -> None:
    one, other = np.array(by_hour(*NOT_KNOWN)), np.array(by_hour(*TO_COME))
    alike = [np.corrcoef(one[hour], other[hour])[0, 1] for hour in range(HOURS_MOST)]
    assert abs(float(np.mean(alike))) < 0.3


# "Differs from day to day by half of itself": an afternoon 5 K above its morning and evening, some hours on.
def test_an_afternoons_sun_is_unsure_some_hours_ahead_and_not_at_once() -> None:
    calendar, room = Calendar(), RoomPattern()
    for hour in range(MONDAY // HOUR - 24 * 8, MONDAY // HOUR + 12):
        room.advance(hour, hour % 24)
        room.observe(slot(calendar, hour * HOUR), 23.0 if 11 <= hour % 24 <= 17 else 18.0, 0.01)
    noon = MONDAY + 12 * HOUR
    room.advance(noon // HOUR, 12)
    assert room.sun_part_k(slot(calendar, MONDAY + 14 * HOUR)) == pytest.approx(4.8, abs=0.3)
    found = forecast(noon, 30, room=room, water_c=23.0, around_c=23.0)
    at_once, tomorrow = found.median_and_sd_c(noon + HOUR)[1], found.median_and_sd_c(noon + 26 * HOUR)[1]
    assert at_once < 0.7
    assert tomorrow > 2.0
    calm = forecast(noon, 30, water_c=18.0).median_and_sd_c(noon + 26 * HOUR)[1]
    assert tomorrow > calm + 1.0


def test_a_room_as_warm_as_its_pattern_is_not_failing() -> None:
    room = known_room(Calendar(), NIGHT)
    found = forecast(NIGHT, 2, room=room, around_c=18.0, slope_k_per_h=-0.3, trend_k_per_h=0.0)
    assert found._failing < 0.1


# As cold by chance: a room seen for eight days hardly ever is, one whose pattern is not known yet may be.
def test_how_far_a_room_may_be_off_by_chance_counts_what_is_not_known_of_it() -> None:
    calendar = Calendar()
    place = slot(calendar, NIGHT)
    known = known_room(calendar, NIGHT, last_c=16.0)
    assert known.usual_deviation_k(place) < 1.2
    assert RoomPattern().usual_deviation_k(place) > 2.5
    assert forecast(NIGHT, 1, room=known, around_c=16.0)._failing > 0.5


# Half a kelvin below is chance: a course or two that fell would make every cool evening look a bit failed.
def test_a_heating_that_is_hardly_likely_out_cools_no_course() -> None:
    calendar = Calendar()
    cool = known_room(calendar, NIGHT, last_c=17.6)
    assert forecast(NIGHT, 1, room=cool, around_c=17.6)._failing == 0.0
