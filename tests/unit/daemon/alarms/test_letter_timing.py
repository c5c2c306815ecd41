"""When it is said: attended hours, quiet hours, and a budget nobody's patience is lost over."""

from dataclasses import replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest

from daemon.alarms.letter_timing import (
    DatedLetter,
    coming_letters,
    leave_due_at,
    morning_of_return,
    next_morning,
    planned_due_at,
    planned_fits,
    said_in_vain,
    unplanned_due_at,
)
from daemon.config.hours_syntax import weekly
from tests.kit.station import probe, station, vessel

STATION = station(probe("water"), vessel("tray", "water"), away=["2027-02-15/2027-02-19"])
LISBON = ZoneInfo("Europe/Lisbon")


def at(text: str) -> int:
    """A moment of January 2027 by weekday and clock: Thu 14, Fri 15, Sat 16, Sun 17, Mon 18."""
    day, clock = text.split()
    date = {"Thu": 14, "Fri": 15, "Sat": 16, "Sun": 17, "Mon": 18, "Tue": 19}[day]
    return int(datetime.fromisoformat(f"2027-01-{date}T{clock}").replace(tzinfo=LISBON).timestamp())


def due(kind: str, noticed: str, *told: tuple[str, str], value: float = 17.0) -> int:
    return unplanned_due_at(STATION, kind, value, at(noticed), [DatedLetter(at(when), k) for k, when in told])


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
    week = [DatedLetter(at(when), kind) for kind, when in (("leave", "Fri 13:30"), ("return", "Mon 07:15"))]
    assert planned_fits(week, at("Tue 09:00"))
    assert not planned_fits([*week, DatedLetter(at("Mon 12:00"), "hatch")], at("Tue 09:00"))
    assert planned_fits([*week, DatedLetter(at("Mon 12:00"), "cold")], at("Tue 09:00"))


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
    assert said_in_vain(STATION, "cold", 17.0, at("Sun 03:00"), at("Sat 07:15"))
    assert said_in_vain(STATION, "cold", 17.0, at("Mon 03:00"), at("Sat 07:15"))
    assert not said_in_vain(STATION, "cold", 17.0, at("Tue 03:00"), at("Sat 07:15"))
    assert not said_in_vain(STATION, "hot", 34.0, at("Sun 03:00"), at("Sat 07:15"))


def test_heat_at_the_animals_limit_or_of_no_known_height_keeps_the_quiet() -> None:
    assert due("hot", "Thu 23:40", value=33.0) == at("Fri 07:15")
    assert due("hot", "Thu 23:40", value=33.1) == at("Thu 23:40")
    assert unplanned_due_at(STATION, "hot", None, at("Thu 23:40"), []) == at("Fri 07:15")
    assert due("cold", "Thu 23:40", value=40.0) == at("Fri 07:15")


def test_heat_at_the_animals_limit_or_of_no_known_height_is_said_in_vain_as_any_other_trouble() -> None:
    for value in (33.0, None):
        assert said_in_vain(STATION, "hot", value, at("Sun 03:00"), at("Sat 07:15"))
    assert not said_in_vain(STATION, "hot", 33.1, at("Sun 03:00"), at("Sat 07:15"))
    assert said_in_vain(STATION, "cold", 40.0, at("Sun 03:00"), at("Sat 07:15"))


def test_a_letter_of_the_same_moment_or_still_to_come_tells_it_already() -> None:
    assert said_in_vain(STATION, "cold", 17.0, at("Fri 10:00"), at("Fri 10:00"))
    assert said_in_vain(STATION, "cold", 17.0, at("Fri 10:00"), at("Fri 11:00"))
    assert not said_in_vain(STATION, "cold", 17.0, at("Fri 10:00"), at("Fri 09:59"))


def test_the_day_of_a_letter_is_the_local_one_and_letters_of_other_days_do_not_count() -> None:
    assert due("lamp", "Fri 11:00", ("cold", "Thu 23:59")) == at("Fri 11:00")
    assert due("lamp", "Fri 11:00", ("cold", "Fri 00:00")) == at("Sat 07:15")


def test_what_is_due_goes_along_with_a_letter_of_that_very_moment_at_either_end() -> None:
    assert due("lamp", "Sat 12:00", ("cold", "Sat 12:00")) == at("Sat 12:00")
    assert due("lamp", "Sat 12:00", ("cold", "Sat 11:59"), ("probe", "Sun 07:15")) == at("Sun 07:15")


# Over an unattended stretch of a day or longer, two unplanned letters: from its beginning on, up to now.
def test_the_two_letters_of_a_weekend_are_those_since_it_began() -> None:
    kept = ("lamp", "Sat 08:30")
    assert due("probe", "Sun 12:00", ("cold", "Fri 15:30"), kept) == at("Mon 07:15")
    assert due("probe", "Sun 12:00", ("cold", "Fri 15:29"), kept) == at("Sun 12:00")
    assert due("probe", "Fri 15:30", ("cold", "Thu 11:00"), ("lamp", "Thu 12:00")) == at("Fri 15:30")


def test_a_planned_letter_of_a_week_ago_to_the_second_is_past() -> None:
    week = 7 * 86_400
    planned = [DatedLetter(at("Fri 09:00") + 60 * n, "hatch") for n in range(3)]
    assert not planned_fits(planned, planned[0].at + week - 1)
    assert planned_fits(planned, planned[0].at + week)


def test_a_planned_letter_must_fit_into_the_weeks_that_end_after_it_too() -> None:
    week = 7 * 86_400
    coming = [DatedLetter(at("Fri 09:00") + 60 * n, "leave") for n in range(3)]
    assert not planned_fits(coming, coming[2].at - week + 1)
    assert planned_fits(coming, coming[2].at - week)
    assert planned_fits(coming[1:], coming[2].at - 2 * week)


def test_the_letters_before_and_after_an_absence_are_coming_until_they_are_due() -> None:
    leave, back = DatedLetter(at("Fri 13:30"), "leave"), DatedLetter(at("Mon 08:00"), "return")
    assert coming_letters(STATION, at("Fri 13:29")) == [leave, back]
    assert coming_letters(STATION, at("Fri 13:30")) == [back]
    assert coming_letters(STATION, at("Mon 07:59")) == [back]
    assert coming_letters(replace(STATION, attended=(), away=()), at("Fri 09:00")) == []


# A stretch worth a letter before it: a day or longer.
@pytest.mark.parametrize(("back", "leaves"), [("10:00-11:00", True), ("09:59-11:00", False)])
def test_a_day_without_anybody_is_worth_a_letter_before_it_and_less_is_not(back: str, leaves: bool) -> None:
    hours = ("Mon-Wed 10:00-11:00", "Thu 08:00-10:00", f"Fri {back}", "Sat-Sun 10:00-11:00")
    station = replace(STATION, attended=tuple(weekly(each) for each in hours), away=())
    assert (leave_due_at(station, at("Thu 09:00")) is not None) is leaves


def test_where_nobody_leaves_for_long_nothing_is_written_before_it() -> None:
    assert leave_due_at(replace(STATION, attended=(), away=()), at("Fri 09:00")) is None


def test_the_next_morning_is_a_later_one_than_now() -> None:
    assert next_morning(STATION, at("Fri 07:15")) == at("Sat 07:15")
    assert next_morning(STATION, at("Fri 07:15") - 1) == at("Fri 07:15")


def test_the_morning_of_a_return_is_the_last_one_before_it_and_no_earlier_than_now() -> None:
    assert morning_of_return(STATION, at("Mon 07:30")) == at("Mon 07:30")
    assert morning_of_return(STATION, at("Mon 09:00")) == at("Mon 09:00")
    late = replace(STATION, post=replace(STATION.post, morning_at=time(9, 0)))
    assert morning_of_return(late, at("Sat 10:00")) == at("Sun 09:00")
    assert morning_of_return(late, at("Sun 09:01")) == at("Sun 09:01")
    nobody = replace(STATION, attended=(replace(STATION.attended[0], weekdays=frozenset()),))
    assert morning_of_return(nobody, at("Sat 10:00")) == at("Sat 10:00")
