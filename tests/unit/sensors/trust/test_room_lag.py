"""Does it follow the room at once or with a cup's lag: courses made here by plain arithmetic."""

import math
from collections.abc import Callable
from statistics import linear_regression

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.trust.room_lag import Follows, Sample, follows, slope_to_room

LAG_S = 4320.0  # 250 mL, 1.2 h: handbook, Warmth [C]
BEGAN = 1_800_000_000


def turning(second: float) -> float:
    """A room that warms by 3 K and cools again within two hours."""
    return 20.0 + 1.5 * math.sin(2 * math.pi * second / 7200)


def in_air(room_c: Callable[[float], float], off_k: float = 0.7, wobble_k: float = 0.0) -> list[Sample]:
    """Two hours, a sample a minute: as warm as the room but for a constant."""
    return [
        Sample(
            BEGAN + second, room_c(second) + off_k + (wobble_k if second % 120 else -wobble_k), room_c(second)
        )
        for second in range(0, 7200, 60)
    ]


def in_water(
    room_c: Callable[[float], float], lag_s: float = LAG_S, added_k: float = 2.0, wobble_k: float = 0.0
) -> list[Sample]:
    """The same room over a cup, dT/dt = (room + added − T)/lag, in steps of a second (Euler)."""
    water_c, samples = room_c(0) + added_k, []
    for second in range(7200):
        if second % 60 == 0:
            wobble = wobble_k if second % 120 else -wobble_k
            samples.append(Sample(BEGAN + second, water_c + wobble, room_c(second)))
        water_c += (room_c(second) + added_k - water_c) / lag_s
    return samples


@pytest.mark.parametrize("off_k", [-2.0, 0.0, 0.7])
def test_what_goes_with_a_turning_room_at_once_is_air(off_k: float) -> None:
    assert follows(in_air(turning, off_k), LAG_S) is Follows.AIR


# Vessels differ: half the usual lag to a good twice of it is a vessel all the same. A room that turns by 12 K
# tells each of the lags that are tried from its neighbours.
@pytest.mark.parametrize("times", [0.5, 0.75, 1.0, 1.5, 2.2])
@pytest.mark.parametrize("added_k", [-1.0, 0.0, 3.0])
def test_what_goes_with_a_vessels_lag_is_water_whatever_lamp_and_evaporation_add(
    times: float, added_k: float
) -> None:
    def turning_far(second: float) -> float:
        return 20.0 + 4 * (turning(second) - 20.0)

    assert follows(in_water(turning_far, LAG_S * times, added_k), LAG_S) is Follows.WATER


def test_along_a_straight_slope_both_fit_and_nothing_is_said() -> None:
    def straight(second: float) -> float:
        return 20.0 + second / 3600

    assert follows(in_air(straight), LAG_S) is None
    assert follows(in_water(straight), LAG_S) is None


def test_in_a_room_that_rests_nothing_is_said() -> None:
    assert follows(in_air(lambda _second: 20.0), LAG_S) is None


# In air a probe is off the room's air by 0.12 K at most (two steps of a DS18B20, and air is not the same
# everywhere), root mean square; in water by half of that off a vessel's course. A wobble from one reading to
# the next is its own root mean square.
@pytest.mark.parametrize(("wobble_k", "found"), [(0.119, Follows.AIR), (0.121, None)])
def test_air_that_wobbles_by_more_than_two_steps_is_no_air(wobble_k: float, found: Follows | None) -> None:
    assert follows(in_air(turning, wobble_k=wobble_k), LAG_S) is found


@pytest.mark.parametrize(("wobble_k", "found"), [(0.055, Follows.WATER), (0.065, None)])
def test_water_that_wobbles_by_more_than_one_step_is_not_sure_to_be_water(
    wobble_k: float, found: Follows | None
) -> None:
    assert follows(in_water(turning, wobble_k=wobble_k), LAG_S) is found


# Water follows the room too, only late: where the room hardly turns, its course is off the room's by less
# than the 0.3 K that a probe in air never is.
def test_water_under_a_room_that_hardly_turns_is_not_told_from_air() -> None:
    assert follows(in_water(lambda second: 20.0 + (turning(second) - 20.0) / 8), LAG_S) is None


def test_ten_samples_with_the_room_known_are_needed() -> None:
    samples = in_air(turning)[::12]
    assert len(samples) == 10
    assert follows(samples, LAG_S) is Follows.AIR
    assert follows(samples[1:], LAG_S) is None
    unknown = [Sample(BEGAN + 30, 99.0), Sample(BEGAN + 90, -40.0)]
    assert follows([samples[0], *unknown, *samples[1:]], LAG_S) is Follows.AIR


@given(st.lists(st.tuples(st.integers(1, 600), st.floats(-5.0, 40.0), st.floats(-5.0, 40.0)), min_size=10))
def test_the_slope_against_the_room_is_that_of_a_regression_line(
    steps: list[tuple[int, float, float]],
) -> None:
    at, samples = 0, []
    for step, water_c, room_c in steps:
        at += step
        samples.append(Sample(at, water_c, room_c))
    expected = linear_regression([s.at for s in samples], [w - r for _, w, r in steps]).slope
    assert slope_to_room(samples) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_a_slope_needs_ten_samples_of_different_moments_with_the_room_known() -> None:
    samples = [Sample(60 * n, 20.0 + n, 20.0) for n in range(10)]
    assert slope_to_room(samples) == pytest.approx(1.0 / 60)
    assert slope_to_room(samples[1:]) is None
    assert slope_to_room([*samples[1:], Sample(600, 30.0)]) is None
    assert slope_to_room([Sample(60, 20.0 + n, 20.0) for n in range(10)]) is None
