"""Stuck, or only still? The figures are those of docs/explanation/trust.md, *Stuck*."""

import pytest

from sensors.trust.standstill import Standstill
from sensors.trust.water_limits import WaterLimits

CUP = WaterLimits(250.0)  # lag 1.2 h: handbook, Warmth [C]
BEGAN = 1_800_000_000


def still(
    minutes: int, room_c: float | None = 20.0, neighbour_c: float | None = None, every_min: int = 1
) -> Standstill:
    """So long one value, while the room went from 20 °C to `room_c`, a neighbour from 22 °C to its own."""
    first = {} if neighbour_c is None else {"other": 22.0}
    run = Standstill(21.0, BEGAN, None if room_c is None else 20.0, first)
    for minute in range(every_min, minutes + 1, every_min):
        told = {} if neighbour_c is None else {"other": neighbour_c}
        run.repeat(BEGAN + 60 * minute, room_c, told, CUP)
    return run


# By hand: a vessel of twice the lag (2.4 h) follows a step of the room by 1 − e^(−t/2.4 h). 40 min: 0.2425 of
# it, so 0.35 K of a step of 1.443 K; the minute's steps (Euler) make that 0.2434 and 1.438 K.
@pytest.mark.parametrize(("step_k", "stuck"), [(1.42, False), (1.46, True), (-1.42, False), (-1.46, True)])
def test_a_probe_is_stuck_when_a_vessel_twice_as_slow_would_have_moved_by_a_third_of_a_degree(
    step_k: float, stuck: bool
) -> None:
    assert still(40, 20.0 + step_k).must_have_moved is stuck


def test_nobody_is_called_stuck_within_half_an_hour() -> None:
    run = still(29, 60.0)
    for second, stuck in ((1799, False), (1800, True)):
        run.repeat(BEGAN + second, 60.0, {}, CUP)
        assert run.must_have_moved is stuck


def test_nobody_is_called_stuck_by_fewer_than_ten_equal_readings() -> None:
    assert not still(40, 60.0, every_min=5).must_have_moved  # the first and eight more
    assert still(45, 60.0, every_min=5).must_have_moved


@pytest.mark.parametrize(("neighbour_c", "stuck"), [(22.75, True), (22.6875, False), (21.25, True)])
def test_a_like_vessel_that_moved_by_three_quarters_of_a_degree_shows_it_after_an_hour(
    neighbour_c: float, stuck: bool
) -> None:
    run = still(59, None, neighbour_c)
    run.repeat(BEGAN + 3599, None, {"other": neighbour_c}, CUP)
    assert not run.must_have_moved
    run.repeat(BEGAN + 3600, None, {"other": neighbour_c}, CUP)
    assert run.must_have_moved is stuck


def test_a_room_or_a_neighbour_first_seen_later_is_followed_from_then_on() -> None:
    run = Standstill(21.0, BEGAN, None, {})
    for minute in range(1, 121):
        run.repeat(BEGAN + 60 * minute, 30.0, {"other": 30.0}, CUP)
    assert run.followed_k == 0.0
    assert not run.must_have_moved
    run.repeat(BEGAN + 60 * 121, 30.0, {"other": 30.75}, CUP)
    assert run.must_have_moved


def test_a_long_silence_lets_the_vessel_arrive_and_not_go_beyond() -> None:
    run = Standstill(21.0, BEGAN, 20.0, {})
    run.repeat(BEGAN + 10 * 86_400, 23.0, {}, CUP)
    assert run.followed_k == 3.0


def test_the_first_repeat_is_remembered() -> None:
    assert still(0).repeated_at is None
    assert still(5).repeated_at == BEGAN + 60
    assert still(5).count == 6


def test_a_value_that_stood_a_day_is_doubtful_and_nine_readings_are_no_standing() -> None:
    assert not still(60).doubtful(BEGAN + 86_399)
    assert still(60).doubtful(BEGAN + 86_400)
    assert not still(8).doubtful(BEGAN + 86_400)
    assert still(9).doubtful(BEGAN + 86_400)
