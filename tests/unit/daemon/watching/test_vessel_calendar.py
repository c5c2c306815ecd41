"""The local calendar that beliefs are handed, and who is whose neighbour."""

from datetime import datetime
from zoneinfo import ZoneInfo

from daemon.config import parse_station
from daemon.station import Station
from daemon.watching.vessel_calendar import VesselCalendar, neighbour_probe

LISBON = ZoneInfo("Europe/Lisbon")


def station() -> Station:
    vessels = "".join(
        f"""
[[probe]]
id = "{name}-water"
measures = "water_c"
driver = "rehearsal"
[[vessel]]
id = "{name}"
mark_ml = 250.0
surface_cm2 = 38.5
low_ml = 40.0
probes = ["{name}-water"]
lamp = {lamp}
"""
        for name, lamp in (("a", '["18:00-07:00"]'), ("b", "[]"), ("c", '["18:00-07:00"]'))
    )
    text = f"""
[station]
name = "Room"
timezone = "Europe/Lisbon"
attended = ["Mon-Fri 08:00-15:30"]
away = ["2027-03-30/2027-03-31"]
{vessels}"""
    return parse_station(text, "here")


def at(day: int, hour: int, minute: int = 0) -> int:
    return int(datetime(2027, 3, day, hour, minute, tzinfo=LISBON).timestamp())


def test_the_hour_is_the_local_clocks_on_both_sides_of_a_change() -> None:
    calendar = VesselCalendar(station(), station().vessels[0])
    # Clocks go forward on Sunday 28 March 2027 at 01:00 UTC.
    assert calendar.local(at(27, 9)).hour == 9
    assert calendar.local(at(29, 9)).hour == 9
    assert at(29, 9) - at(27, 9) == 47 * 3600


def test_a_day_with_attended_hours_is_a_school_day_and_an_away_day_is_not() -> None:
    calendar = VesselCalendar(station(), station().vessels[0])
    days = {day: calendar.local(at(day, 3)).school_day for day in (26, 27, 28, 29, 30, 31)}
    assert days == {26: True, 27: False, 28: False, 29: True, 30: False, 31: False}


def test_the_lamp_is_due_in_its_own_hours_past_midnight() -> None:
    first, second = station().vessels[:2]
    due = [VesselCalendar(station(), first).local(at(26, hour)).lamp_due for hour in (2, 7, 12, 18, 23)]
    assert due == [True, False, False, True, True]
    assert not VesselCalendar(station(), second).local(at(26, 2)).lamp_due


def test_a_neighbour_has_the_same_lamp_hours() -> None:
    first, second, third = station().vessels
    assert neighbour_probe(station(), first) == "c-water"
    assert neighbour_probe(station(), third) == "a-water"
    assert neighbour_probe(station(), second) is None
