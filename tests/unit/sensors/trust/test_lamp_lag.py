"""Warmed by a lamp as water is, or as a bare capsule: relaxations from plain physics, a reading a minute."""

from collections.abc import Callable

import pytest

from sensors.trust.lamp_lag import lamp_moved_slowly
from sensors.trust.room_lag import Sample
from tests.kit.temperatures import LAG_MIN, relaxing

TURNS_MIN = 25


def lit(at: int) -> bool:
    return at >= 60 * TURNS_MIN


def samples(course: Callable[[float], float], minutes: int = 95) -> list[Sample]:
    """25 minutes before the lamp turned, and so many after it."""
    return [
        Sample(60 * minute, course(max(0, minute - TURNS_MIN))) for minute in range(TURNS_MIN + minutes + 1)
    ]


def test_water_goes_on_warming_for_hours_after_its_lamp_went_on() -> None:
    assert lamp_moved_slowly(samples(relaxing(20.0, 23.5)), lit)
    assert lamp_moved_slowly(samples(relaxing(23.5, 20.0)), lambda at: not lit(at))


@pytest.mark.parametrize("lag_min", [1.0, 2.8, 8.0])
def test_a_bare_capsule_has_done_so_in_minutes(lag_min: float) -> None:
    assert not lamp_moved_slowly(samples(relaxing(20.0, 23.5, lag_min)), lit)


def test_a_room_that_was_warming_before_is_no_lamp() -> None:
    warming = [Sample(60 * minute, 18.0 + 0.02 * minute) for minute in range(TURNS_MIN + 96)]
    assert not lamp_moved_slowly(warming, lit)


def test_too_early_too_little_and_without_a_lamp_nothing_is_said() -> None:
    assert not lamp_moved_slowly(samples(relaxing(20.0, 23.5), minutes=80), lit)
    assert not lamp_moved_slowly(samples(relaxing(20.0, 21.2)), lit)  # 0.85 K by then, with a lag of 72 min
    assert not lamp_moved_slowly(samples(relaxing(20.0, 23.5, LAG_MIN)), None)
    assert not lamp_moved_slowly(samples(relaxing(20.0, 16.5)), lit)  # colder, when it went on
