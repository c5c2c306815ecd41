"""Half hours of a cup, with the water's slope in each."""

import pytest

from daemon.estimates.local_hour import LocalHour
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.cup_heat import HalfHour
from daemon.estimates.warmth.half_hours import HalfHours, lit, measured

BEGAN = 1_800_000_000 // 1800 * 1800


class Lamp:
    """UTC, a lamp that is due from a moment on."""

    def __init__(self, due_from: int = 2**60) -> None:
        self.due_from = due_from

    def local(self, at: int) -> LocalHour:
        return LocalHour(at % 86_400 // 3600, True, at >= self.due_from)


def piece(
    minute: int, water_c: float, minutes: int = 5, room_c: float | None = None, light: float | None = None
) -> Stretch:
    began = BEGAN + 60 * minute
    return Stretch(began, began + 60 * minutes, water_c, water_c, water_c, room_c, None, light)


def fed(half_hours: HalfHours, *pieces: Stretch) -> list[HalfHour | None]:
    return [half_hours.feed(one) for one in pieces]


def sloping(minute: int) -> float:
    return 20.0 + 0.02 * (minute + 2.5)  # 1.2 K an hour


def test_a_half_hour_has_its_mean_and_the_slope_between_its_edges() -> None:
    half_hours = HalfHours(Lamp())
    closed = fed(half_hours, *(piece(minute, sloping(minute), room_c=18.0) for minute in range(0, 65, 5)))
    assert [one is not None for one in closed] == [minute in (30, 60) for minute in range(0, 65, 5)]
    assert closed[6] == HalfHour(BEGAN, 0.5, pytest.approx(20.3), pytest.approx(1.2), 0.0, 18.0)
    assert closed[12] == HalfHour(BEGAN + 1800, 0.5, pytest.approx(20.9), pytest.approx(1.2), 0.0, 18.0)


def test_the_half_hour_under_way_says_what_it_can() -> None:
    half_hours = HalfHours(Lamp())
    assert half_hours.so_far() is None
    fed(half_hours, piece(0, sloping(0)))
    assert half_hours.so_far() is None, "five minutes tell no slope"
    fed(half_hours, piece(5, sloping(5)))
    twin = half_hours.copy()
    found = half_hours.so_far()
    assert found == HalfHour(BEGAN, pytest.approx(1 / 6), pytest.approx(20.1), pytest.approx(1.2), 0.0, None)
    fed(half_hours, piece(10, 99.0))
    assert twin.so_far() == found


@pytest.mark.parametrize(("minutes", "says"), [(9, False), (10, True)])
def test_less_than_ten_minutes_say_no_slope(minutes: int, says: bool) -> None:
    half_hours = HalfHours(Lamp())
    pieces = [piece(0, 20.0, minutes=4), piece(4, 20.1, minutes=minutes - 4), piece(40, 20.0)]
    assert (fed(half_hours, *pieces)[2] is not None) is says


def test_a_half_hour_with_a_pour_says_nothing_and_the_next_one_does() -> None:
    half_hours = HalfHours(Lamp())
    fed(half_hours, *(piece(minute, 20.0) for minute in range(0, 15, 5)))
    half_hours.disturb()
    closed = fed(half_hours, *(piece(minute, 20.0) for minute in range(15, 65, 5)))
    assert closed[3] is None
    assert closed[9] is not None


# 14 K an hour no lamp does: 1.1666 K from one five minutes to the next.
@pytest.mark.parametrize(("step_k", "says"), [(1.15, True), (1.18, False), (-1.15, True), (-1.18, False)])
def test_a_jump_is_a_pour_that_nobody_told(step_k: float, says: bool) -> None:
    half_hours = HalfHours(Lamp())
    values = [20.0 + step_k * (minute >= 15) for minute in range(0, 35, 5)]
    closed = fed(
        half_hours, *(piece(minute, value) for minute, value in zip(range(0, 35, 5), values, strict=True))
    )
    assert (closed[6] is not None) is says


def test_water_that_was_not_read_ends_a_half_hour_and_is_in_none() -> None:
    half_hours = HalfHours(Lamp())
    guessed = Stretch(BEGAN + 900, BEGAN + 1500, 25.0, 24.0, 26.0, None, None)
    assert not measured(guessed)
    closed = fed(half_hours, *(piece(minute, sloping(minute)) for minute in range(0, 15, 5)), guessed)
    assert closed[3] == HalfHour(BEGAN, 0.25, pytest.approx(20.15), pytest.approx(1.2), 0.0, None)
    after = fed(half_hours, piece(25, 21.0), piece(30, 21.0))
    assert after == [None, None], "five minutes of it are too few"


def test_a_silence_is_no_slope() -> None:
    half_hours = HalfHours(Lamp())
    closed = fed(
        half_hours, piece(0, 20.0), piece(5, 20.0), piece(20, 25.0), piece(25, 25.0), piece(30, 25.0)
    )
    assert closed[2] == HalfHour(BEGAN, pytest.approx(1 / 6), 20.0, 0.0, 0.0, None)
    assert closed[4] == HalfHour(BEGAN + 1200, pytest.approx(1 / 6), 25.0, 0.0, 0.0, None)


def test_a_lamp_burns_for_its_share_of_the_half_hour_and_the_room_is_where_it_was_read() -> None:
    half_hours = HalfHours(Lamp(BEGAN + 1200))
    pieces = [
        piece(minute, 20.0, room_c=18.0 + minute / 5 if minute < 10 else None) for minute in range(0, 35, 5)
    ]
    half_hour = fed(half_hours, *pieces)[6]
    assert half_hour is not None
    assert half_hour.lit == pytest.approx(2 / 6)
    assert half_hour.room_c == pytest.approx(18.5)


# A light probe says whether the lamp burns; daylight outside its hours does not.
@pytest.mark.parametrize(
    ("due", "light", "burns"), [(True, None, 1.0), (True, 1.0, 1.0), (True, 0.99, 0.0), (False, 9.0, 0.0)]
)
def test_light_tells_whether_a_lamp_that_is_due_burns(due: bool, light: float | None, burns: float) -> None:
    assert lit(Lamp(0 if due else 2**60), piece(0, 20.0, light=light)) == burns


def test_whether_a_lamp_is_due_is_asked_of_the_middle() -> None:
    assert lit(Lamp(BEGAN + 150), piece(0, 20.0)) == 1.0
    assert lit(Lamp(BEGAN + 151), piece(0, 20.0)) == 0.0
