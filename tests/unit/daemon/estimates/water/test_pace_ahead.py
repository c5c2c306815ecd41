"""What the coming days take: as the last did, in the water that is forecast, among people or without."""

import pytest

from daemon.estimates.local_hour import PlainCalendar
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.water.bubbling import bubbling_of
from daemon.estimates.water.hourly_loss import ComingLoss
from daemon.estimates.water.laws import REFERENCE, people_pa
from daemon.estimates.water.pace import FORESEEN_SHARE, Pace, open_ml_per_h, usual_ml_per_h
from daemon.station import Vessel
from tests.kit.station import tray
from tests.kit.weekends import CONE_VESSEL as CONE

HOUR, DAY = 3600, 86_400
MONDAY = 1_799_625_600  # 2027-01-11 00:00 UTC
TUESDAY, FRIDAY, SATURDAY = MONDAY + DAY, MONDAY + 4 * DAY, MONDAY + 5 * DAY
CUP = tray()
ACTIVITY = 0.98
ROOM_C = 21.0
# Over water by FAO-56: 1938 Pa at 17 °C, 2487 at 21, 2644 at 22 (its annex 2: 1.94, 2.49 and 2.64 kPa).
SATURATED_17, SATURATED_21, SATURATED_22 = 1938.0, 2487.0, 2644.0


def coming(
    until: int, ahead_c: list[float], humidity: float | None = None, vessel: Vessel = CUP, hours: int = 24
) -> ComingLoss:
    """What is to come after so many hours of water at 22 °C."""
    pace = Pace(vessel.surface_cm2, bubbling_of(vessel), PlainCalendar())
    for began in range(until - hours * HOUR, until, HOUR):
        stretch = Stretch(began, began + HOUR, 22.0, 22.0, 22.0, ROOM_C, humidity)
        pace.add(stretch, pace.open_ml(stretch, 22.0, ACTIVITY), 1.0, 1.0, ACTIVITY)
    return pace.coming(until, ACTIVITY, pace.a_day(until, ACTIVITY)[REFERENCE], ahead_c)


@pytest.mark.parametrize("vessel", [CUP, CONE])
@pytest.mark.parametrize("water_c", [-9.0, 5.0, 17.0, 24.0, 61.0])
@pytest.mark.parametrize("moister_pa", [0.0, 150.0, -60.0])
def test_an_hour_of_the_reference_costs_less_to_know_and_is_the_same(
    water_c: float, moister_pa: float, vessel: Vessel
) -> None:
    told = (vessel.surface_cm2, ACTIVITY, water_c)
    whole = open_ml_per_h(*told, None, None, bubbling_of(vessel), moister_pa)[REFERENCE]
    assert usual_ml_per_h(*told, bubbling_of(vessel), moister_pa) == pytest.approx(whole, rel=1e-12, abs=0.0)


# Straight in the deficit: water at 17 °C loses (0.98·1938 − e)/(0.98·2644 − e) of what it does at 22 °C, by a
# law of pans, whatever the room's vapour pressure e.
@pytest.mark.parametrize("humidity", [30.0, 55.0])
def test_colder_water_is_expected_to_lose_less_in_the_air_that_is_measured(humidity: float) -> None:
    vapour_pa = humidity / 100.0 * SATURATED_21
    whole = (ACTIVITY * SATURATED_17 - vapour_pa) / (ACTIVITY * SATURATED_22 - vapour_pa)
    less = FORESEEN_SHARE * (1.0 - whole)
    found = coming(TUESDAY + 2 * DAY, [17.0] * 24, humidity)  # to Thursday: people as on the day before
    assert found.days(TUESDAY + 3 * DAY) == pytest.approx(1.0 - less, abs=0.01)
    half = coming(TUESDAY + 2 * DAY, [17.0] * 12 + [22.0] * 12, humidity)
    assert half.days(TUESDAY + 3 * DAY) == pytest.approx(1.0 - 0.5 * less, abs=0.01)


@pytest.mark.parametrize("humidity", [None, 45.0])
def test_a_day_of_the_same_water_is_as_the_last(humidity: float | None) -> None:
    found = coming(TUESDAY + 2 * DAY, [22.0] * 24, humidity)
    # The hour that begins now was seen a day ago, and is taken as the mean of the others.
    assert found.days(TUESDAY + 3 * DAY) == pytest.approx(1.0, abs=0.003)


def test_beyond_what_is_forecast_days_are_as_the_last() -> None:
    found = coming(TUESDAY + DAY, [17.0] * 24)
    first = found.days(TUESDAY + 2 * DAY)
    assert first < 0.8
    assert found.days(TUESDAY + 4 * DAY) == pytest.approx(first + 2.0, rel=1e-9)


# What people bring is the same in any room, so it is what is missing on the first day without them.
@pytest.mark.parametrize("humidity", [None, 45.0])
def test_the_first_day_without_people_is_expected_to_be_drier(humidity: float | None) -> None:
    vapour_pa = 1125.0 if humidity is None else humidity / 100.0 * SATURATED_21
    mean_brought = -people_pa(3, school_day=False)  # of days with people the mean is 0
    found = coming(SATURDAY, [22.0] * 48, humidity)
    expected = 1.0 + FORESEEN_SHARE * mean_brought / (ACTIVITY * SATURATED_22 - vapour_pa)
    assert found.days(SATURDAY + DAY) == pytest.approx(expected, abs=0.003)
    assert coming(FRIDAY, [22.0] * 24, humidity).days(SATURDAY) == pytest.approx(1.0, abs=0.003)


def test_a_pump_carries_less_off_colder_water_too() -> None:
    told = (CONE.surface_cm2, ACTIVITY)
    bubbling = bubbling_of(CONE)
    cold, warm = (open_ml_per_h(*told, c, None, None, bubbling)[REFERENCE] for c in (17.0, 22.0))
    found = coming(TUESDAY + 2 * DAY, [17.0] * 24, vessel=CONE)
    assert found.days(TUESDAY + 3 * DAY) == pytest.approx(
        1.0 - FORESEEN_SHARE * (1.0 - cold / warm), abs=0.01
    )


@pytest.mark.parametrize("hours", [1, 5])
def test_with_a_few_hours_seen_the_rest_of_a_day_is_as_they_were(hours: int) -> None:
    found = coming(TUESDAY + 4 * HOUR, [22.0] * 24, 45.0, hours=hours)
    assert found.days(TUESDAY + 6 * HOUR) == pytest.approx(2.0 / 24.0, rel=1e-3)


def test_nobody_expects_water_to_come_back() -> None:
    found = coming(TUESDAY + DAY, [-5.0] * 96, 90.0)
    assert found.days(TUESDAY + 2 * DAY) == 0.0
