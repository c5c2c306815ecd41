"""A kept start as it stands by now: its time over, its day a holiday by now, its vessel not free."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from daemon.export.calendar import calendar
from daemon.kept_starts import kept_plans
from daemon.letters.conversions import setting
from daemon.planning.kept_start import KeptStart
from daemon.station import DaySpan, Station
from daemon.store import planned_starts
from reports.starts import kept
from reports.starts.calendar_words import kept_entry
from tests.kit.calendar_file import events_of
from tests.kit.command_line import naupliad
from tests.kit.desks import moment
from tests.kit.page_station import Room, cold_room, main_of

# The room's now is Tuesday 12 January 2027, noon.
SET_AT, LESSON = moment(13, "09:00"), (moment(15, "10:00"), moment(15, "10:45"))
NOTED = "If they were set, note it. Else plan anew, or take the plan back."


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        start = KeptStart("tray", None, SET_AT, (moment(13, "08:00"), moment(13, "10:00")), LESSON)
        planned_starts.add(room.desks.store.connection, start, room.desks.at)
        yield room


def live(room: Room, day: int, clock: str) -> None:
    room.desks.live(moment(day, clock), lambda _at: 22.0)
    room.now = room.desks.at


def said(room: Room, station: Station | None = None) -> str:
    where = station or room.desks.station
    connection, at = room.desks.store.connection, room.desks.at
    ((_, line),) = kept.lines(setting(where, connection, at), kept_plans(where, connection, at))
    return line


def test_until_an_hour_after_its_good_times_it_is_to_be_done(room: Room) -> None:
    live(room, 13, "10:50")
    assert "Set the cysts at 09:00 for the lesson" in main_of(room.get("/today"))
    assert NOTED not in said(room)


def test_once_its_time_is_over_nobody_is_told_to_set_at_a_time_in_the_past(room: Room) -> None:
    live(room, 14, "09:00")
    today = main_of(room.get("/today"))
    assert "The cysts were to be set yesterday at 09:00" in today
    assert NOTED in today
    assert "Set the cysts at 09:00" not in today
    assert "Stir salt and soda in" not in today
    assert NOTED in main_of(room.get("/plan/start"))
    (room.folder / "summary.json").write_text("{}", encoding="utf-8")  # its now is its last reading
    assert NOTED in naupliad("plan", "kept", "--state", room.folder).out


@pytest.mark.parametrize(
    ("first", "last", "word"),
    [(13, 13, "nobody is there to set them then"), (15, 15, "the lesson lies on a day away")],
)
def test_a_day_that_became_a_holiday_is_said_wherever_the_plan_stands(
    room: Room, first: int, last: int, word: str
) -> None:
    assert word not in said(room)
    away = replace(room.desks.station, away=(DaySpan(date(2027, 1, first), date(2027, 1, last)),))
    assert word in said(room, away)
    connection, at = room.desks.store.connection, room.desks.at
    where = setting(away, connection, at)
    (one,) = kept_plans(away, connection, at)
    assert word in kept_entry(where, one, "set").text
    assert word in kept.water_deed(where, one)
    assert word in kept.deed(where, one)
    nobody = first == 13
    assert kept.deed(where, one).startswith("The plan was to set the cysts") == nobody
    assert (kept.steps(where, one) == []) == nobody


def test_a_batch_that_runs_still_is_to_be_ended_first(room: Room) -> None:
    later = moment(14, "09:00")
    planned_starts.withdraw(room.desks.store.connection, 1, room.desks.at)
    start = KeptStart("tray", None, later, (later, later), (moment(16, "10:00"), moment(16, "10:45")))
    planned_starts.add(room.desks.store.connection, start, room.desks.at)
    assert "A batch runs" not in said(room)
    room.desks.tell("set", 0.05)  # more than a day before: not this plan's
    assert "A batch runs in tray still: note its end before." in said(room)
    live(room, 12, "12:20")
    room.desks.tell("end")
    assert "A batch runs" not in said(room)


def test_water_of_a_monday_is_put_up_on_friday_and_water_and_setting_remind(room: Room) -> None:
    """18 January 2027 is a Monday; RFC 5545, section 3.6.6, for what reminds."""
    connection = room.desks.store.connection
    planned_starts.withdraw(connection, 1, room.desks.at)
    monday = moment(18, "08:00")
    start = KeptStart("tray", None, monday, (monday, monday), (moment(19, "10:00"), moment(19, "10:45")))
    planned_starts.add(connection, start, room.desks.at)
    feed = calendar(room.desks.station, connection, room.desks.at)
    booked = {one["SUMMARY"]: one for one in events_of(feed)}
    water = booked["tray: Let the water stand"]
    assert water["DTSTART"].startswith("20270115T")
    for title in ("tray: Let the water stand", "tray: Set the cysts"):
        assert (booked[title]["VALARM-TRIGGER"], booked[title]["VALARM-ACTION"]) == ("-PT30M", "DISPLAY")
    assert "VALARM-TRIGGER" not in booked["tray: The lesson"]
    assert "Put tap water up to stand on Friday 15 January at 15:00." in main_of(room.get("/today"))
    live(room, 15, "09:00")
    assert "Fill tap water into clean vessels" in main_of(room.get("/today"))


def test_where_water_cannot_stand_the_setting_says_what_else(room: Room) -> None:
    connection, at = room.desks.store.connection, room.desks.at
    planned_starts.withdraw(connection, 1, at)
    soon = at + 3600
    start = KeptStart("tray", None, soon, (soon, soon), LESSON)
    planned_starts.add(connection, start, at)
    assert "Else treat it with a water conditioner" in main_of(room.get("/today"))
    booked = {one["SUMMARY"]: one for one in events_of(calendar(room.desks.station, connection, at))}
    assert "tray: Let the water stand" not in booked
    assert "water conditioner" in booked["tray: Set the cysts"]["DESCRIPTION"]


def test_alike_plans_of_several_vessels_are_one_task_and_the_next_letter_is_said_once(tmp_path: Path) -> None:
    cups = [f"cup-{number}" for number in range(1, 9)]
    with cold_room(tmp_path, *cups) as room:
        for cup in cups:
            start = KeptStart(cup, None, SET_AT, (SET_AT, SET_AT), LESSON)
            planned_starts.add(room.desks.store.connection, start, room.desks.at)
        live(room, 13, "08:00")
        today = main_of(room.get("/today"))
    assert today.count("Set the cysts at 09:00 for the lesson") == 1
    assert "cup-1 to cup-8 Set the cysts" in today
    assert today.count("Next letter:") == 1


def test_a_plan_for_swimmers_says_so_wherever_it_stands(room: Room) -> None:
    aim = "Animals are to swim in the lesson already."
    connection, at = room.desks.store.connection, room.desks.at
    assert aim not in said(room)
    planned_starts.withdraw(connection, 1, at)
    good = moment(13, "08:00"), moment(13, "10:00")
    planned_starts.add(connection, KeptStart("tray", None, SET_AT, good, LESSON, swimming=True), at)
    assert aim in said(room)
    assert aim in main_of(room.get("/plan/start"))
    described = [event["DESCRIPTION"] for event in events_of(calendar(room.desks.station, connection, at))]
    assert any(aim in one.replace("\\", "") for one in described)
    (room.folder / "summary.json").write_text("{}", encoding="utf-8")
    assert "animals are to swim in it already" in naupliad("plan", "kept", "--state", room.folder).out
    live(room, 13, "08:00")
    assert aim in main_of(room.get("/today"))


def test_before_keeping_a_plan_says_which_one_it_replaces_and_which_batch_runs(room: Room) -> None:
    address = "/plan/start?day=2027-01-20&from=10:00&to=11:30&vessel=tray&water=22&night=19"
    takes, runs = "takes the place of the one that stands for tray", "A batch runs in tray still"
    page = main_of(room.get(address))
    assert takes in page
    assert page.index(takes) < page.index("Keep this plan")
    assert runs not in page
    room.desks.tell("set", 0.05)
    planned_starts.withdraw(room.desks.store.connection, 1, room.desks.at)
    page = main_of(room.get(address))
    assert takes not in page
    assert page.index(runs) < page.index("Keep this plan")
    (room.folder / "summary.json").write_text("{}", encoding="utf-8")
    words = ("--for", "2027-01-20T10:00/11:30", "--water-c", "22", "--state", room.folder)
    assert runs in naupliad("plan", "start", *words).out
