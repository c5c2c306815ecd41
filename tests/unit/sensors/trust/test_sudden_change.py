"""Poured, or out of the water? One sudden change at a time, on courses made here by plain arithmetic.

The cup is the handbook's (Warmth: 250 mL, 1.2 h), a bare capsule has a lag of minutes. What is asked of the
shapes, and after how long, stands in docs/explanation/trust.md.
"""

import math
from collections.abc import Callable

import pytest

from sensors.trust.room_lag import Sample
from sensors.trust.sudden_change import ChangeCause, SuddenChange, quick, unrest_k2
from sensors.trust.water_limits import WaterLimits

CUP = WaterLimits(250.0)
LAG_MIN = 72.0
Course = Callable[[float], float]


def samples(*readings: tuple[int, float]) -> list[Sample]:
    return [Sample(at, water_c) for at, water_c in readings]


def going_to(rest_c: float, start_c: float, lag_min: float) -> Course:
    return lambda minutes: rest_c + (start_c - rest_c) * math.exp(-minutes / lag_min)


class Watching:
    """A quiet hour at `before_c`, then a course, sample by sample, until it is clear what that was."""

    def __init__(
        self, before_c: float, course: Course, *, room_c: float | None = None, every_s: int = 60
    ) -> None:
        self.track = [Sample(at, before_c, room_c) for at in range(-3600, 1, every_s)]
        self.course, self.room_c, self.every_s = course, room_c, every_s
        self._next()
        while not quick(self.track):
            self._next()
        self.change = SuddenChange(self.track, CUP)

    def _next(self) -> Sample:
        at = self.track[-1].at + self.every_s
        self.track.append(Sample(at, self.course(at / 60), self.room_c))
        return self.track[-1]

    def verdict(self, minutes: int = 180) -> tuple[ChangeCause, float] | None:
        """What it was, and how many minutes after it began that was clear."""
        while self.track[-1].at < minutes * 60:
            newest = self._next()
            found = self.change.take(newest, moved_quickly=quick(self.track, self.change.quick_k()))
            if found is not None:
                return found, newest.at / 60
        return None


# Quick ---


@pytest.mark.parametrize(("step_k", "moved"), [(0.4375, True), (-0.4375, True), (0.375, False)])
def test_two_fifths_of_a_degree_are_quick_and_three_eighths_are_not(step_k: float, moved: bool) -> None:
    assert quick(samples((0, 20.0), (60, 20.0 + step_k))) is moved


@pytest.mark.parametrize(("earlier", "moved"), [(60, True), (59, False)])
def test_quick_is_within_three_minutes(earlier: int, moved: bool) -> None:
    assert quick(samples((earlier, 20.0), (180, 20.5), (240, 20.5))) is moved


def test_the_last_sample_is_compared_however_long_ago_it_was_and_the_one_before_is_not() -> None:
    assert quick(samples((0, 20.0), (5000, 20.5)))
    assert not quick(samples((0, 20.0), (60, 20.4), (5000, 20.5)))
    assert not quick(samples((0, 20.0)))


def test_a_vessel_that_goes_back_from_a_large_step_is_calm_though_it_moves() -> None:
    # By hand: back from 10 K with 1.2 h it moves 10·180/4320 = 0.417 K in three minutes; twice that, and 0.4.
    change = SuddenChange(samples((0, 24.0), (60, 24.0), (120, 14.0)), CUP)
    assert change.quick_k() == pytest.approx(0.4 + 2 * 0.4167, abs=0.001)


# Unrest ---


def test_unrest_is_the_mean_square_of_second_differences() -> None:
    zigzag = samples(*((60 * n, 20.0 + 0.25 * (n % 2)) for n in range(12)))
    assert unrest_k2(zigzag) == pytest.approx(0.25)  # each is ±0.5
    one_off = samples(*((60 * n, 20.0 + (n == 5)) for n in range(12)))
    assert unrest_k2(one_off) == pytest.approx((1 + 4 + 1) / 10)


def test_a_slope_is_no_unrest_and_eleven_samples_tell_none() -> None:
    slope = samples(*((60 * n, 20.0 + 0.125 * n) for n in range(12)))
    assert unrest_k2(slope) == 0.0
    assert unrest_k2(slope[:11]) is None


# When it began ---


def test_a_change_began_with_the_first_sample_that_went_with_it() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 24.0), (120, 23.9375), (180, 22.0)), CUP)
    assert change.before == Sample(120, 23.9375)
    assert change.began_at == 180
    assert change.size_k == pytest.approx(-1.9375)


def test_a_slow_change_began_where_four_fifths_of_it_were_still_to_come() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 23.8125), (120, 23.6875), (180, 23.0)), CUP)
    assert change.before == Sample(60, 23.8125)  # 0.8125 of 1.0
    assert change.began_at == 120


def test_how_far_it_went_counts_for_twenty_minutes() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 23.0)), CUP)
    change.take(Sample(1200, 22.0), moved_quickly=True)
    assert change.size_k == -2.0
    change.take(Sample(1260, 20.0), moved_quickly=True)
    assert change.size_k == -2.0


# Shape ---


def shape(*water_c: float, every_s: int = 60) -> bool:
    """Whether the change of these readings, after some at 20 °C, is sharp."""
    track = samples(*((every_s * n, value) for n, value in enumerate((20.0, 20.0, 20.0, *water_c))))
    place = next(n for n in range(2, len(track) + 1) if quick(track[:n]))
    change = SuddenChange(track[:place], CUP)
    for sample in track[place:]:
        change.take(sample, moved_quickly=True)
    return change.sharp


# A capsule with a lag of 1.2 min shows 1 − e^(−1/1.2) = 0.57 of its change after a minute, 0.81 after two.
@pytest.mark.parametrize("lag_min", [1.2, 2.0, 2.8])
def test_a_bare_capsules_change_is_not_sharp_and_poured_waters_is(lag_min: float) -> None:
    bare = going_to(16.0, 20.0, lag_min)
    assert not shape(*(bare(minute) for minute in range(1, 8)))
    assert shape(*[16.0] * 7)


@pytest.mark.parametrize(("first", "sharp"), [(23.0, True), (22.9375, False)])
def test_three_quarters_between_two_readings_are_sharp(first: float, sharp: bool) -> None:
    assert shape(first, 23.25, 23.5, 23.75, 24.0) is sharp


@pytest.mark.parametrize(("second", "sharp"), [(23.625, True), (23.5625, False)])
def test_nine_tenths_between_three_readings_are_sharp_as_one_fell_into_the_pouring(
    second: float, sharp: bool
) -> None:
    assert shape(22.0, second, 23.75, 24.0) is sharp


def test_pour_after_pour_with_calm_between_is_sharp_and_a_staircase_without_is_not() -> None:
    assert shape(21.0, 21.0, 22.0, 22.0, 23.0, 23.0)
    assert shape(20.5, 21.0, 21.0, 21.5, 22.0, 22.0)
    assert not shape(21.0, 21.5, 22.0, 22.0, 22.5, 22.5)
    assert not shape(20.75, 21.5, 22.0, 22.5, 23.0, 23.5)


# What it was ---


# "After ten minutes of calm they are believed": with a lamp's or the vessel's own slow change going on.
@pytest.mark.parametrize("room_c", [None, 22.0])
@pytest.mark.parametrize("to_c", [20.0, 22.0, 26.0])
def test_poured_water_is_known_after_ten_minutes_of_calm(to_c: float, room_c: float | None) -> None:
    watching = Watching(24.0, going_to(24.0, to_c, LAG_MIN), room_c=room_c)
    found = watching.verdict()
    assert found is not None
    assert found[0] is ChangeCause.POURED
    assert 10 <= found[1] <= 14
    assert watching.change.began_at == 60


# A wet capsule: towards the wet bulb, some minutes, and back to the air faster than any cup.
@pytest.mark.parametrize("lag_min", [1.2, 2.0, 2.8])
@pytest.mark.parametrize("air_c", [19.0, 24.0, 25.0])
def test_a_wet_capsule_that_dips_and_comes_back_is_in_air(lag_min: float, air_c: float) -> None:
    dip = going_to(air_c - 3.0, 24.0, lag_min)
    back = going_to(air_c, dip(7), lag_min)
    found = Watching(24.0, lambda m: dip(m) if m < 7 else back(m - 7)).verdict()
    assert found is not None
    assert found[0] is ChangeCause.AIR
    assert found[1] <= 20


# A dry one keeps its new distance to the room, where water would go back: known by 25 minutes of calm.
def test_a_dry_capsule_that_keeps_its_distance_to_the_room_is_in_air() -> None:
    found = Watching(24.0, going_to(21.0, 24.0, 2.0), room_c=20.0).verdict()
    assert found is not None
    assert found[0] is ChangeCause.AIR
    assert 25 <= found[1] <= 45


# Without a room probe only a step of two degrees or more is told from a room that warms.
@pytest.mark.parametrize(("to_c", "verdict"), [(21.5, ChangeCause.AIR), (22.5, ChangeCause.UNKNOWN)])
def test_without_a_room_probe_a_smaller_dry_step_is_not_known(to_c: float, verdict: ChangeCause) -> None:
    found = Watching(24.0, going_to(to_c, 24.0, 2.0)).verdict()
    assert found is not None
    assert found[0] is verdict


# With one, half a degree is enough to say so.
@pytest.mark.parametrize(("step_k", "verdict"), [(0.55, ChangeCause.AIR), (0.45, ChangeCause.UNKNOWN)])
def test_with_a_room_probe_half_a_degree_is_told(step_k: float, verdict: ChangeCause) -> None:
    found = Watching(24.0, going_to(24.0 - step_k, 24.0, 1.0), room_c=20.0).verdict()
    assert found is not None
    assert found[0] is verdict


def test_a_slow_change_that_nothing_explains_is_given_up_after_an_hour_of_calm() -> None:
    found = Watching(24.0, going_to(22.5, 24.0, 2.0)).verdict()
    assert found is not None
    assert found[0] is ChangeCause.UNKNOWN
    assert 60 <= found[1] <= 70


# A pour that mixes slowly is no sharp change; that it goes back as water does shows what it was.
@pytest.mark.parametrize(
    ("back_lag_min", "poured"), [(LAG_MIN, True), (1.7 * LAG_MIN, True), (5 * LAG_MIN, False)]
)
def test_a_badly_mixed_pour_is_known_by_going_back_as_water_does(back_lag_min: float, poured: bool) -> None:
    mixing, back = going_to(22.8, 24.0, 1.5), going_to(24.0, 22.82, back_lag_min)
    found = Watching(24.0, lambda m: mixing(m) if m < 6 else back(m - 6), room_c=22.0).verdict()
    assert found is not None
    assert (found[0] is ChangeCause.POURED) is poured


# Draughts: as warm as the water, but restless as it was not before.
@pytest.mark.parametrize(("draught_k", "verdict"), [(0.1, ChangeCause.AIR), (0.02, ChangeCause.UNKNOWN)])
def test_a_capsule_that_feels_draughts_is_in_air(draught_k: float, verdict: ChangeCause) -> None:
    calm = going_to(23.2, 24.0, 1.5)
    found = Watching(24.0, lambda m: calm(m) + draught_k * (-1) ** int(m) * (m > 3)).verdict()
    assert found is not None
    assert found[0] is verdict


def test_nothing_is_said_within_four_minutes() -> None:
    watching = Watching(24.0, lambda m: 20.0 if m < 3 else 24.0)
    assert watching.verdict(4) is None


# Read every three minutes a change has no shape: what stays calm for ten minutes is taken for poured.
def test_a_change_between_readings_far_apart_has_no_shape() -> None:
    found = Watching(24.0, going_to(20.0, 24.0, 3.0), every_s=180).verdict()
    assert found is not None
    assert found[0] is ChangeCause.POURED
    found = Watching(24.0, going_to(20.0, 24.0, 3.0), every_s=120).verdict()
    assert found is not None
    assert found[0] is not ChangeCause.POURED


# A lamp switched on just after a cold pour warms a cup by at most 15 K in its lag: no way back from a dip.
def test_a_lamp_switched_on_after_a_cold_pour_makes_no_air_of_it() -> None:
    found = Watching(24.0, lambda m: 22.0 if m < 5 else going_to(22.0 + 15.0, 22.0, LAG_MIN)(m - 5)).verdict()
    assert found is None or found[0] is not ChangeCause.AIR


# To the second, whatever the rhythm of the readings ---


def test_a_limit_itself_is_quick() -> None:
    assert quick(samples((0, 20.0), (60, 20.5)), 0.5)
    assert not quick(samples((0, 20.0), (60, 20.4375)), 0.5)


def test_a_change_began_after_the_last_sample_from_which_four_fifths_were_to_come() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 23.75), (120, 22.75)), CUP)
    assert change.before == Sample(60, 23.75)  # 1.0 of 1.25


def test_the_shape_is_that_of_eight_minutes() -> None:
    slope = [20.5 + 0.5 * minute for minute in range(7)]
    assert shape(*slope, 40.0)  # the eighth minute: 16.5 of 20
    assert not shape(*slope, 24.0, 40.0)


def test_ten_minutes_of_calm_are_six_hundred_seconds() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 24.0), (120, 20.0)), CUP)
    for at in (180, 240, 300, 360, 719):
        assert change.take(Sample(at, 20.0), moved_quickly=False) is None
    assert change.take(Sample(720, 20.0), moved_quickly=False) is ChangeCause.POURED


def dried() -> SuddenChange:
    """A dry probe's slow change within six minutes, with the room known; its last quick sample is at 360."""
    track = [Sample(at, 24.0, 20.0) for at in range(-1200, 1, 60)]
    change = SuddenChange([*track, Sample(60, 23.25, 20.0)], CUP)
    for at, water_c in ((120, 22.5), (180, 22.0), (240, 21.75), (300, 21.5), (360, 21.5)):
        assert change.take(Sample(at, water_c, 20.0), moved_quickly=True) is None
    return change


def test_a_distance_to_the_room_is_kept_when_it_was_so_for_25_minutes_of_calm() -> None:
    change = dried()
    for at in (420, *range(660, 2101, 60), 2159):  # calm from five minutes after the last quick sample on
        assert change.take(Sample(at, 21.5, 20.0), moved_quickly=False) is None
    assert change.take(Sample(2160, 21.5, 20.0), moved_quickly=False) is ChangeCause.AIR


def test_an_hour_of_calm_is_3600_seconds() -> None:
    change = SuddenChange(samples((0, 24.0), (60, 24.0), (120, 23.25)), CUP)
    for at, water_c in ((180, 22.875), (240, 22.75), (300, 22.6875)):
        change.take(Sample(at, water_c), moved_quickly=True)
    for at in (*range(360, 3900, 60), 3899):
        assert change.take(Sample(at, 22.6875), moved_quickly=False) is None
    assert change.take(Sample(3900, 22.6875), moved_quickly=False) is ChangeCause.UNKNOWN


def test_nothing_is_said_of_fewer_than_four_samples_after_it() -> None:
    change = SuddenChange(samples((0, 24.0), (90, 22.0)), CUP)
    assert change.take(Sample(180, 20.5), moved_quickly=True) is None
    assert change.take(Sample(270, 22.5), moved_quickly=True) is None
    assert change.take(Sample(360, 23.5), moved_quickly=True) is ChangeCause.AIR
