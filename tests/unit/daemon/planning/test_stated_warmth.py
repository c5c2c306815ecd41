"""The water as stated: by day and late at night, under a lamp, in a weekend, with a heater."""

from datetime import timedelta

import pytest

from daemon.estimates.warmth.belief import WarmthCourse
from daemon.hours import local_time
from daemon.planning.stated_warmth import StatedWarmth, stated_courses
from daemon.station import Station
from tests.kit.starts import NEVER_EMPTY, ROOM, at
from tests.kit.station import probe, station, vessel

HOUR = 3600
MONDAY = at("2027-03-01T00:00")  # in Lisbon winter time, which is UTC


def middle(where: Station, stated: StatedWarmth, hours: int = 14 * 24) -> list[float]:
    courses = stated_courses(where, where.vessels[0], stated, MONDAY, hours)
    assert sum(course.weight for course in courses) == pytest.approx(1.0)
    return list(courses[len(courses) // 2].hourly_c)


def lamp_room(lamp: str) -> Station:
    return station(probe("water"), vessel("cup", "water", lamp=[lamp]))


def test_it_is_as_stated_in_the_middle_of_the_school_day_and_late_at_night() -> None:
    water = middle(ROOM, StatedWarmth(22.0, 18.0))
    assert water[12] == pytest.approx(22.0, abs=0.3)
    assert water[24 + 5] == pytest.approx(18.0, abs=0.5)
    assert water[17] > water[20] > water[23]


def test_a_weekend_is_as_cool_as_the_night_all_day() -> None:
    water = middle(ROOM, StatedWarmth(22.0, 18.0))
    assert max(water[5 * 24 + 4 : 7 * 24]) < 18.6


def test_holidays_are_as_weekends() -> None:
    where = station(away=["2027-03-03/2027-03-05"])
    water = middle(where, StatedWarmth(22.0, 18.0))
    assert max(water[2 * 24 + 12 : 7 * 24]) < 18.6


@pytest.mark.parametrize("lamp", ["18:00-07:00", "07:00-18:00", "00:00-24:00"])
def test_under_a_lamp_day_and_night_are_as_stated_too(lamp: str) -> None:
    water = middle(lamp_room(lamp), StatedWarmth(22.0, 20.0))
    assert water[12] == pytest.approx(22.0, abs=0.3)
    assert water[24 + 4] == pytest.approx(20.0, abs=0.6)


def test_a_lamp_by_night_makes_days_without_people_cooler_than_nights() -> None:
    water = middle(lamp_room("18:00-07:00"), StatedWarmth(20.0, 22.0))
    saturday = 5 * 24
    assert water[saturday + 12] < water[saturday + 22] - 3.0


def test_a_heater_lets_the_water_fall_no_further() -> None:
    where = station(probe("water"), vessel("cup", "water", heater_c=26.0))
    assert min(middle(where, StatedWarmth(24.0, 18.0))) >= 26.0


def test_nothing_said_of_nights_they_are_cooler_and_less_sure() -> None:
    untold = stated_courses(ROOM, ROOM.vessels[0], StatedWarmth(22.0), MONDAY, 48)
    told = stated_courses(ROOM, ROOM.vessels[0], StatedWarmth(22.0, 18.7), MONDAY, 48)
    night = 24 + 5
    assert spread(untold, night) > spread(told, night)
    assert spread(untold, 12) == pytest.approx(spread(told, 12), rel=0.05)
    assert middle(ROOM, StatedWarmth(22.0))[night] == pytest.approx(18.7, abs=0.5)


def spread(courses: list[WarmthCourse], hour: int) -> float:
    mean = sum(course.weight * course.hourly_c[hour] for course in courses)
    square = sum(course.weight * (course.hourly_c[hour] - mean) ** 2 for course in courses)
    return float(square**0.5)


def test_further_ahead_it_is_less_sure() -> None:
    courses = stated_courses(ROOM, ROOM.vessels[0], StatedWarmth(22.0, 18.0), MONDAY, 240)
    assert spread(courses, 12) < spread(courses, 9 * 24 + 12)
    assert spread(courses, 12) == pytest.approx(1.0, abs=0.15)  # "about 1 K", our judgement


def test_a_station_that_is_always_attended_has_nights_too() -> None:
    water = middle(NEVER_EMPTY, StatedWarmth(22.0, 18.0))
    assert water[12] > 21.5
    assert water[29] < 18.6
    assert local_time(MONDAY, NEVER_EMPTY.timezone).utcoffset() == timedelta(0)
