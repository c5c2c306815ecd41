"""When it is said: attended hours, quiet hours, and a budget nobody's patience is lost over."""

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from daemon.alarms.attention import (
    Told,
    leave_due_at,
    morning_of_return,
    planned_due_at,
    planned_fits,
    told_in_vain,
    unplanned_due_at,
)
from tests.kit.station import probe, station, vessel

STATION = station(probe("water"), vessel("tray", "water"), away=["2027-02-15/2027-02-19"])
LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> int:
    """A moment of January 2027 by weekday and clock: Thu 14, Fri 15, Sat 16, Sun 17, Mon 18."""
    day, clock = text.split()
    date = {"Thu": 14, "Fri": 15, "Sat": 16, "Sun": 17, "Mon": 18, "Tue": 19}[day]
    return int(datetime.fromisoformat(f"2027-01-{date}T{clock}").replace(tzinfo=LISBON).timestamp())


def due(kind: str, noticed: str, *told: tuple[str, str], value: float = 17.0) -> int:
    return unplanned_due_at(STATION, kind, value, at(noticed), [Told(at(when), k) for k, when in told])


def test_trouble_by_day_is_told_at_once() -> None:
    assert due("cold", "Fri 11:00") == at("Fri 11:00")


def test_trouble_in_the_quiet_hours_is_told_in_the_morning() -> None:
    assert due("cold", "Thu 23:40") == at("Fri 07:15")
    assert due("lamp", "Fri 20:10") == at("Sat 07:15")


def test_heat_past_the_animals_limit_breaks_the_quiet() -> None:
    assert due("hot", "Thu 23:40", value=33.5) == at("Thu 23:40")
    assert due("hot", "Thu 23:40", value=31.0) == at("Fri 07:15")


def test_low_water_is_told_when_somebody_can_pour() -> None:
    assert due("water", "Fri 10:00") == at("Fri 10:00")
    assert due("water", "Sat 10:00") == at("Mon 07:15")
    assert due("water", "Thu 18:00") == at("Fri 07:15")


def test_a_station_that_is_always_attended_keeps_the_quiet_for_low_water_too() -> None:
    always = replace(STATION, attended=(), away=())
    assert unplanned_due_at(always, "water", 41.0, at("Sat 23:00"), []) == at("Sun 07:15")
    assert unplanned_due_at(always, "water", 41.0, at("Sat 11:00"), []) == at("Sat 11:00")


def test_a_second_kind_of_trouble_on_a_day_waits_for_the_next_morning() -> None:
    assert due("lamp", "Sat 18:30", ("cold", "Sat 08:30")) == at("Sun 07:15")


def test_after_two_letters_over_a_weekend_the_third_waits_for_the_return() -> None:
    assert due("probe", "Sun 12:00", ("cold", "Sat 08:30"), ("lamp", "Sun 07:15")) == at("Mon 07:15")


def test_what_has_to_wait_goes_along_with_a_letter_that_waits_already() -> None:
    assert due("lamp", "Fri 23:00", ("cold", "Sat 07:15")) == at("Sat 07:15")
    assert due("probe", "Sat 12:00", ("cold", "Sat 08:30"), ("lamp", "Sun 07:15")) == at("Sun 07:15")


def test_what_only_somebody_in_the_room_can_mend_waits_for_them() -> None:
    for kind in ("swing", "storage", "clock"):
        assert due(kind, "Sat 10:00") == at("Mon 07:15")
    assert due("outage", "Sat 10:00") == at("Sat 10:00")


def test_three_planned_letters_a_week_are_enough() -> None:
    week = [Told(at(when), kind) for kind, when in (("leave", "Fri 13:30"), ("return", "Mon 07:15"))]
    assert planned_fits(week, at("Tue 09:00"))
    assert not planned_fits([*week, Told(at("Mon 12:00"), "hatch")], at("Tue 09:00"))
    assert planned_fits([*week, Told(at("Mon 12:00"), "cold")], at("Tue 09:00"))


def test_letters_of_the_week_do_not_use_up_the_weekend() -> None:
    assert due("probe", "Sat 12:00", ("cold", "Thu 08:30"), ("lamp", "Fri 07:15")) == at("Sat 12:00")


def test_the_leave_letter_is_due_two_hours_before_a_weekend_and_not_before_a_night() -> None:
    assert leave_due_at(STATION, at("Thu 09:00")) == (at("Fri 13:30"), at("Fri 15:30"), at("Mon 08:00"))


def test_the_return_after_half_term_is_the_first_school_day() -> None:
    friday = int(datetime(2027, 2, 12, 16, 0, tzinfo=LISBON).timestamp())
    monday = int(datetime(2027, 2, 22, 7, 15, tzinfo=LISBON).timestamp())
    assert morning_of_return(STATION, friday) == monday


def test_a_planned_letter_keeps_the_quiet_too() -> None:
    assert planned_due_at(STATION, at("Thu 22:00")) == at("Fri 07:15")
    assert planned_due_at(STATION, at("Fri 09:00")) == at("Fri 09:00")


def test_the_same_trouble_is_told_again_only_after_somebody_was_there() -> None:
    assert told_in_vain(STATION, "cold", 17.0, at("Sun 03:00"), at("Sat 07:15"))
    assert told_in_vain(STATION, "cold", 17.0, at("Mon 03:00"), at("Sat 07:15"))
    assert not told_in_vain(STATION, "cold", 17.0, at("Tue 03:00"), at("Sat 07:15"))
    assert not told_in_vain(STATION, "hot", 34.0, at("Sun 03:00"), at("Sat 07:15"))
