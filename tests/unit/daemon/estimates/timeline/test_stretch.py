"""Measures of the room between their samples, and pieces of time gathered into one stretch."""

import pytest

from daemon.estimates.timeline.stretch import OpenStretch, Series, Stretch

HELD = 7200


def series(*samples: tuple[int, float]) -> Series:
    found = Series(HELD)
    for at, value in samples:
        found.add(at, value, thinned=False)
    return found


def test_between_two_samples_a_measure_goes_straight() -> None:
    room = series((1000, 20.0), (2000, 22.0), (2500, 21.0))
    assert [room.value(at) for at in (1000, 1250, 2000, 2400, 2500)] == pytest.approx(
        [20.0, 20.5, 22.0, 21.2, 21.0]
    )


@pytest.mark.parametrize(("at", "value"), [(1000 - HELD, 20.0), (2000 + HELD, 22.0)])
def test_before_the_first_and_after_the_last_it_is_held_for_so_long(at: int, value: float) -> None:
    room = series((1000, 20.0), (2000, 22.0))
    assert room.value(at) == value
    assert room.value(at - 1 if at < 1000 else at + 1) is None
    assert Series(HELD).value(at) is None


def test_between_samples_too_far_apart_it_was_not_measured_though_it_has_a_value() -> None:
    room = series((0, 20.0), (HELD + 1, 22.0), (2 * HELD + 1, 24.0))
    assert room.value(HELD // 2) is not None
    assert room.measured(HELD // 2) is None
    assert room.measured(HELD + 1) == 22.0
    assert room.measured(HELD + 1 + HELD // 2) == pytest.approx(23.0)
    assert room.measured(-5) == room.value(-5) == 20.0


def test_what_was_dealt_with_is_forgotten_but_for_the_last_sample() -> None:
    room = series((0, 20.0), (600, 22.0))
    twin = room.copy()
    room.forget()
    assert room.value(300) == 22.0
    assert twin.value(300) == 21.0


def test_in_a_long_wait_samples_that_come_within_half_an_hour_take_each_others_place() -> None:
    room = Series(HELD)
    for at, value in ((0, 1.0), (60, 2.0), (1799, 3.0)):
        room.add(at, value, thinned=True)
    assert room.value(60) == pytest.approx(1.0 + 2.0 * 60 / 1799)
    assert room.value(1799) == 3.0
    room.add(1800, 4.0, thinned=True)
    assert (room.value(1799), room.value(1800)) == (3.0, 4.0)
    dense = series((0, 1.0), (60, 2.0), (120, 3.0))
    assert dense.value(60) == 2.0


def test_a_stretch_has_the_means_of_its_pieces_by_their_length() -> None:
    gathered = OpenStretch()
    assert gathered.close() == []
    gathered.add(0, 100, 20.0, 18.0, 40.0, None)
    gathered.add(100, 400, 24.0, None, 60.0, 2.0)
    [stretch] = gathered.close()
    assert stretch == Stretch(0, 400, 23.0, 23.0, 23.0, 18.0, 55.0, 2.0)
    assert stretch.hours == pytest.approx(1 / 9)
    gathered.add(400, 500, 10.0, 11.0, None, 0.5)
    assert (
        gathered.copy().close() == gathered.close() == [Stretch(400, 500, 10.0, 10.0, 10.0, 11.0, None, 0.5)]
    )
    assert gathered.close() == []
