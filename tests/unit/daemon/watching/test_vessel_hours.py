"""The local calendar that beliefs are handed, and who is whose neighbour."""

from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.watching.vessel_hours import VesselHours, neighbour_probe
from tests.kit.station import probe, station, vessel

LISBON = ZoneInfo("Europe/Lisbon")


LAMPS = {"a": ["18:00-07:00"], "b": [], "c": ["18:00-07:00"]}
STATION = station(
    *(probe(f"{name}-water") for name in LAMPS),
    *(vessel(name, f"{name}-water", lamp=lamp) for name, lamp in LAMPS.items()),
    away=["2027-03-30/2027-03-31"],
)


def at(day: int, hour: int, minute: int = 0) -> int:
    return int(datetime(2027, 3, day, hour, minute, tzinfo=LISBON).timestamp())


def test_the_hour_is_the_local_clocks_on_both_sides_of_a_change() -> None:
    calendar = VesselHours(STATION, STATION.vessels[0])
    # Clocks go forward on Sunday 28 March 2027 at 01:00 UTC.
    assert calendar.local(at(27, 9)).hour == 9
    assert calendar.local(at(29, 9)).hour == 9
    assert at(29, 9) - at(27, 9) == 47 * 3600


def test_a_day_with_attended_hours_is_a_school_day_and_an_away_day_is_not() -> None:
    calendar = VesselHours(STATION, STATION.vessels[0])
    days = {day: calendar.local(at(day, 3)).school_day for day in (26, 27, 28, 29, 30, 31)}
    assert days == {26: True, 27: False, 28: False, 29: True, 30: False, 31: False}


def test_the_lamp_is_due_in_its_own_hours_past_midnight() -> None:
    first, second = STATION.vessels[:2]
    due = [VesselHours(STATION, first).local(at(26, hour)).lamp_due for hour in (2, 7, 12, 18, 23)]
    assert due == [True, False, False, True, True]
    assert not VesselHours(STATION, second).local(at(26, 2)).lamp_due


# Clock changes of an hour, of half an hour (Lord Howe Island), and an offset of 5:45 h (IANA time zone data).
ZONES = ("Europe/Lisbon", "Australia/Lord_Howe", "Asia/Kathmandu")
CHANGES = (1_806_195_600, 1_806_764_400, 1_822_491_000)  # 28 March; Lord Howe's of 3 April and 2 October 2027


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(ZONES),
    st.sampled_from(["18:00-07:00", "06:17-06:48"]),
    st.sampled_from(CHANGES),
    st.lists(st.integers(-8 * 86_400, 8 * 86_400) | st.integers(-4000, 4000), min_size=2, max_size=40),
)
def test_what_was_asked_before_changes_no_answer(zone: str, lamp: str, near: int, some: list[int]) -> None:
    room = station(probe("water"), vessel("cup", "water", lamp=[lamp]), zone=zone)
    calendar = VesselHours(room, room.vessels[0])
    moments = [near + away for first in some for away in (first, first + 59, first + 1800)]
    told = [calendar.local(moment) for moment in moments]
    assert told == [VesselHours(room, room.vessels[0]).local(moment) for moment in moments]


def test_a_neighbour_has_the_same_lamp_hours() -> None:
    first, second, third = STATION.vessels
    assert neighbour_probe(STATION, first) == "c-water"
    assert neighbour_probe(STATION, third) == "a-water"
    assert neighbour_probe(STATION, second) is None
