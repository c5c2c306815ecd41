"""What is judged once an hour, each on a real store with real beliefs: it stands, and it does not."""

from collections.abc import Callable
from math import cos, pi
from pathlib import Path

import pytest

from daemon.hours import is_attended
from sensors.reading import Quality
from tests.kit.desks import HOUR, Desks, moment, tray_station

DAY = 24 * HOUR


def steady(warmth_c: float) -> Callable[[int], float]:
    return lambda _at: warmth_c


def daily(mean_c: float, half_c: float, warmest: str = "14:00") -> Callable[[int], float]:
    """Water that follows the day."""
    top = moment(11, warmest)
    return lambda at: mean_c + half_c * cos(2 * pi * (at - top) / DAY)


def lamp(at: int) -> float:
    """A lamp that burns in its hours, 18:00 to 07:00, and a room that is dark at night."""
    hour = (at - moment(11, "00:00")) % DAY / HOUR
    return 1400.0 if hour >= 18 or hour < 7 else 250.0


@pytest.fixture
def begin(tmp_path: Path) -> Callable[..., Desks]:
    """A batch set on a Tuesday morning."""

    def made(day: int = 12, clock: str = "09:00", **keys: object) -> Desks:
        desks = Desks(tray_station(**keys), tmp_path, moment(day, clock))
        desks.tell("set", 0.05, light="yes")
        return desks

    return made


def test_water_that_falls_to_the_low_mark_before_somebody_is_back_is_told_of_while_they_are_there(
    begin: Callable[..., Desks],
) -> None:
    desks = begin()
    desks.live(moment(13, "09:00"), steady(24.0), lamp)
    assert not desks.stands("water")
    desks.tell("remove", 36.0)
    desks.live(moment(13, "10:00"), steady(24.0), lamp)
    assert desks.stands("water")
    assert [is_attended(desks.station, row.due_at) for row in desks.letters("water")] == [True]


def test_nobody_is_told_of_water_they_have_just_taken_out_themselves(begin: Callable[..., Desks]) -> None:
    desks = begin()
    desks.live(moment(13, "09:50"), steady(24.0))
    desks.tell("remove", 45.0)
    desks.live(moment(13, "10:00"), steady(24.0))
    assert not desks.stands("water")
    desks.tell("top-up", 45.0, to="mark")
    desks.live(moment(13, "12:00"), steady(24.0))
    assert not desks.stands("water")


def test_salt_out_of_range_is_told_where_it_is_nearly_sure(begin: Callable[..., Desks]) -> None:
    desks = begin(salinity_high_g_per_kg=34.0)
    desks.live(moment(12, "12:00"), steady(24.0))
    desks.tell("remove", 50.0)
    desks.tell("brine", 50.0, salt_g_per_l=120.0)
    assert not desks.stands("salinity")
    desks.live(moment(12, "13:00"), steady(24.0))
    assert desks.stands("salinity")
    assert len(desks.letters("water")) == 1


def test_a_swing_within_a_day_is_told_and_a_smaller_one_is_not(begin: Callable[..., Desks]) -> None:
    desks = begin(swing_k=8.0)
    desks.live(moment(14, "09:00"), daily(23.0, 3.5))
    assert not desks.stands("swing")
    desks.live(moment(15, "09:00"), daily(24.0, 4.6))
    assert desks.stands("swing")


def test_the_warming_of_a_cup_that_was_just_set_is_no_swing(begin: Callable[..., Desks]) -> None:
    desks = begin(swing_k=8.0)
    desks.live(moment(12, "11:00"), lambda at: 12.0 + 11.0 * (at - moment(12, "09:00")) / (2 * HOUR))
    desks.live(moment(14, "08:00"), steady(23.0))
    assert not desks.stands("swing")


def test_a_cold_night_is_foreseen_once_such_nights_were_seen(begin: Callable[..., Desks]) -> None:
    desks = begin()
    nights = daily(19.5, 3.5)
    desks.live(moment(12, "15:30"), nights)
    assert not desks.stands("cold-ahead")  # of this room no night was seen yet
    desks.live(moment(14, "07:00"), nights)
    assert desks.letters("cold")


def test_a_warm_room_is_not_said_to_grow_cold(begin: Callable[..., Desks]) -> None:
    desks = begin()
    desks.live(moment(15, "15:00"), daily(22.0, 1.0))
    assert desks.letters("cold") == []


def test_cold_water_from_the_tap_is_neither_cold_nor_a_sign_of_a_cold_night(
    begin: Callable[..., Desks],
) -> None:
    desks = begin()
    desks.live(moment(14, "09:00"), steady(22.0))
    desks.tell("end")
    desks.tell("set", 0.05)
    desks.live(moment(14, "11:30"), lambda at: 13.0 + 8.0 * (at - moment(14, "09:00")) / (3 * HOUR))
    desks.live(moment(14, "15:30"), steady(21.5))
    assert desks.letters("cold") == []


def test_water_that_stays_cold_long_after_it_was_set_is_told(begin: Callable[..., Desks]) -> None:
    desks = begin()
    desks.live(moment(12, "11:50"), steady(13.0))
    assert not desks.stands("cold")
    desks.live(moment(12, "13:10"), steady(13.0))
    assert desks.stands("cold")


def test_heat_is_foreseen_while_the_water_rises_towards_it(begin: Callable[..., Desks]) -> None:
    desks = begin()
    window = daily(25.0, 9.0, "13:00")
    desks.live(moment(14, "09:00"), window)
    before = len(desks.letters("hot"))
    desks.live(moment(14, "10:00"), window)
    assert window(desks.at) < 30.0 + 2.0
    assert len(desks.letters("hot")) + before > 0


def test_a_lamp_that_stays_on_after_its_hours_is_told_and_one_that_goes_off_is_not(
    begin: Callable[..., Desks],
) -> None:
    desks = begin()
    desks.live(moment(13, "12:00"), steady(23.0), lamp)
    assert not desks.stands("lamp-stays-on")
    desks.live(moment(14, "09:00"), steady(23.0), lambda _at: 1400.0)
    assert desks.stands("lamp-stays-on")
    desks.live(moment(15, "09:00"), steady(23.0), lamp)
    assert not desks.stands("lamp-stays-on")


def test_a_card_that_is_nearly_full_is_told_and_an_emptied_one_is_not(begin: Callable[..., Desks]) -> None:
    desks = begin()
    desks.free_bytes = 150_000_000
    desks.live(moment(12, "10:00"), steady(23.0))
    assert desks.stands("storage", "")
    desks.free_bytes = 2_000_000_000
    desks.live(moment(12, "11:00"), steady(23.0))
    assert not desks.stands("storage", "")


def test_a_clock_that_nothing_has_set_is_told(begin: Callable[..., Desks]) -> None:
    desks = begin()
    desks.clock_set = False
    desks.live(moment(12, "11:00"), steady(23.0))  # an hour's patience: the network may be slow to come
    assert desks.stands("clock", "")


def test_readings_that_are_not_believed_bring_nothing_that_is_judged_on_them(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(swing_k=8.0)
    desks.live(moment(14, "09:00"), daily(20.0, 10.0), quality=Quality.IN_AIR)
    assert not any(desks.stands(what) for what in ("swing", "cold", "hot", "cold-ahead"))
