"""How people in a room move its unmeasured moisture, and what that makes of the loss."""

from statistics import fmean

import pytest

from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.water.bubbling import bubbling_of
from daemon.estimates.water.laws import PEOPLE_PA, REFERENCE, people_pa
from daemon.estimates.water.pace import Pace
from tests.kit.station import tray

HOUR, DAY = 3600, 86_400
MONDAY = 1_799_625_600  # 2027-01-11 00:00 UTC
CUP = tray()


def by_hour(*, school_day: bool) -> list[float]:
    return [people_pa(hour, school_day=school_day) for hour in range(24)]


def loss_ml(at: int, humidity: float | None) -> float:
    """What an hour of water at 22 °C in a room of 21 °C takes."""
    stretch = Stretch(at, at + HOUR, 22.0, 22.0, 22.0, 21.0, humidity)
    return Pace(CUP.surface_cm2, bubbling_of(CUP)).open_ml(stretch, 22.0, 0.98)[REFERENCE]


def test_what_is_known_of_rooms_is_the_mean_of_a_day_with_people() -> None:
    assert fmean(by_hour(school_day=True)) == pytest.approx(0.0, abs=1e-9)


def test_it_is_moistest_before_people_leave_and_gone_by_night() -> None:
    day = by_hour(school_day=True)
    assert day.index(max(day)) == 15
    assert 0.9 * PEOPLE_PA < max(day) - min(day) < PEOPLE_PA
    assert day[22] - min(day) < 0.05 * PEOPLE_PA


def test_a_day_without_people_is_as_dry_as_their_morning() -> None:
    assert set(by_hour(school_day=False)) == {by_hour(school_day=True)[5]}


# ASHRAE's 25 to 50 g/h each in 15 to 25 m³/h of air are 1.0 to 3.3 g/m³, by ρ = e/(461.5·T) 135 to 450 Pa.
def test_it_is_within_what_people_give_off_in_an_aired_room() -> None:
    low, high = (461.5 * 294.0 * g / m3 / 1000.0 for g, m3 in ((25.0, 25.0), (50.0, 15.0)))
    assert low < PEOPLE_PA < high


def test_an_empty_room_takes_more_of_the_same_water() -> None:
    people, empty = (loss_ml(MONDAY + day * DAY + 13 * HOUR, None) for day in (0, 5))
    # Water at 22 °C at an activity of 0.98 and the middle of what rooms may be, 1125 Pa: a deficit of
    # 1466 Pa, to which an empty room adds what people had brought.
    brought = people_pa(13, school_day=True) - people_pa(13, school_day=False)
    assert empty / people == pytest.approx(
        1.0 + brought / (1466.0 - people_pa(13, school_day=True)), abs=0.01
    )


def test_a_measured_room_is_as_measured() -> None:
    assert loss_ml(MONDAY + 13 * HOUR, 42.0) == loss_ml(MONDAY + 5 * DAY + 13 * HOUR, 42.0)
