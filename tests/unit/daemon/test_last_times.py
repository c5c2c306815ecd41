"""The last lesson that was planned for: what came of it, and the same offered for the next."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest

from daemon.last_times import last_times
from daemon.letters.conversions import setting
from daemon.planning.kept_start import KeptStart
from daemon.store import planned_starts
from daemon.store.file import SUMMARY
from reports.records import Span
from reports.starts.last_time import LastTime, told
from tests.kit.command_line import naupliad
from tests.kit.desks import moment
from tests.kit.page_station import Room, cold_room, main_of

# The room's now is Tuesday 12 January 2027, noon. The lesson is Thursday's.
LESSON = moment(14, "10:00"), moment(14, "10:45")
SET_AT = moment(12, "13:00")


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


def plan(room: Room, *, lot: str | None = "blue tin", swimming: bool = False) -> None:
    start = KeptStart("tray", lot, SET_AT, (moment(12, "12:30"), moment(12, "14:00")), LESSON, swimming)
    planned_starts.add(room.desks.store.connection, start, room.desks.at)


def live(room: Room, day: int, clock: str) -> None:
    room.desks.live(moment(day, clock), lambda _at: 25.0)
    room.now = room.desks.at


def last(room: Room) -> list[LastTime]:
    return list(last_times(room.desks.station, room.desks.store.connection, room.desks.at))


def said(room: Room) -> str:
    (one,) = last(room)
    where = setting(room.desks.station, room.desks.store.connection, room.desks.at)
    return " ".join(told(where, one))


def carried_out(room: Room, *, swimming: bool = False) -> None:
    """Planned, set, looked at, ended, and a week over."""
    plan(room, swimming=swimming)
    live(room, 12, "13:10")
    room.desks.tell("set", 0.05, lot="blue tin")
    live(room, 13, "14:00")
    room.desks.tell("hatched", 0.6)
    live(room, 15, "14:00")
    room.desks.tell("end")
    live(room, 18, "09:00")


def test_what_was_promised_is_told_beside_what_came(room: Room) -> None:
    carried_out(room)
    (one,) = last(room)
    assert one.set_at is not None
    assert one.set_at.timestamp() == moment(12, "13:10")
    assert one.expected is not None
    assert one.came is not None
    assert one.came.p50 is not None
    assert one.came.p50.timestamp() < moment(13, "14:00")  # six of ten were seen then
    text = said(room)
    assert "for a lesson on Thursday 14 January, 10:00 to 10:45, the cysts were set" in text
    assert "Half hatched, as expected when they were set: " in text
    assert "before the lesson began." in text
    assert "The next at the same hours is Thursday 21 January, 10:00 to 10:45." in text


def test_a_plan_that_nobody_carried_out_says_so_and_is_offered_all_the_same(room: Room) -> None:
    plan(room)
    live(room, 14, "12:00")
    assert "In the care log nothing was set for it." in said(room)
    (one,) = last(room)
    assert (one.expected, one.came) == (None, None)
    assert one.again is not None
    assert one.again.began.timestamp() == moment(21, "10:00")


def test_one_that_waits_or_was_taken_back_is_no_last_time(room: Room) -> None:
    plan(room)
    assert last(room) == []
    planned_starts.withdraw(room.desks.store.connection, 1, room.desks.at)
    live(room, 14, "12:00")
    assert last(room) == []


def test_once_the_next_is_kept_the_last_is_offered_no_more(room: Room) -> None:
    plan(room)
    live(room, 14, "12:00")
    later = tuple(at + 7 * 86_400 for at in LESSON)
    start = KeptStart("tray", None, SET_AT + 7 * 86_400, (SET_AT + 7 * 86_400,) * 2, (later[0], later[1]))
    planned_starts.add(room.desks.store.connection, start, room.desks.at)
    assert last(room) == []


def test_the_page_offers_it_and_its_button_plans_the_lesson_to_come(room: Room) -> None:
    carried_out(room)
    page = room.get("/plan/start").text
    assert "Last time" in page
    (again,) = re.findall(r'href="([^"]*)">Plan it again', page)
    planned = main_of(room.get(unescape(again)))
    assert "For Thursday 21 January, 10:00 to 10:45" in planned
    assert "Last time" not in planned
    assert "Set the cysts" in planned


def test_commands_offer_it_and_their_line_plans_it(room: Room, tmp_path: Path) -> None:
    carried_out(room)
    line = "naupliad plan start --for 2027-01-21T10:00/2027-01-21T10:45 --vessel tray --lot 'blue tin'"
    out, state = tmp_path / "next.toml", room.folder
    (state / SUMMARY).write_text("{}", encoding="utf-8")  # its now is that of its last reading
    asked = naupliad("next-class", "--out", out, "--state", state)
    assert (asked.code, asked.err) == (0, "")
    assert line in asked.out.splitlines()
    assert f"# {line}\n" in out.read_text("utf-8")
    missing = naupliad("plan", "start", "--state", state)
    assert (missing.code, missing.err.count("\n")) == (2, 1)
    assert missing.err.endswith(f"--for: found none; allowed: the lesson, FROM/TO. As the last one: {line}\n")


def test_without_one_the_lesson_is_asked_for_in_one_line(room: Room) -> None:
    for words in (("--state", room.folder), ("--water-c", "22")):
        missing = naupliad("plan", "start", *words)
        assert missing.code == 2
        assert missing.err.count("\n") == 1
        assert "--for: found none; allowed: the lesson, FROM/TO." in missing.err
        assert "As the last one" not in missing.err


def test_of_vessels_planned_for_one_lesson_those_that_were_set_are_told_of(tmp_path: Path) -> None:
    with cold_room(tmp_path, "cup-1", "cup-2", "cup-3") as room:
        for cup in ("cup-3", "cup-1", "cup-2"):
            start = KeptStart(cup, None, SET_AT, (SET_AT, SET_AT), LESSON)
            planned_starts.add(room.desks.store.connection, start, room.desks.at)
        live(room, 14, "12:00")
        assert [one.vessel for one in last(room)] == ["cup-1"]  # none was set: one stands for all
    (tmp_path / "set").mkdir()
    with cold_room(tmp_path / "set", "cup-1", "cup-2", "cup-3") as room:
        for cup in ("cup-3", "cup-1", "cup-2"):
            start = KeptStart(cup, None, SET_AT, (SET_AT, SET_AT), LESSON)
            planned_starts.add(room.desks.store.connection, start, room.desks.at)
        live(room, 12, "13:00")
        room.desks.tell("set", 0.05, vessel="cup-2")
        live(room, 14, "12:00")
        assert [one.vessel for one in last(room)] == ["cup-2"]


def test_a_plan_for_swimmers_is_told_and_planned_again_as_one(room: Room, tmp_path: Path) -> None:
    carried_out(room, swimming=True)
    text = said(room)
    assert "Animals were to swim in the lesson already." in text
    assert "before the lesson began, as was planned: half and more swam." in text
    (again,) = re.findall(r'href="([^"]*)">Plan it again', room.get("/plan/start").text)
    assert "see=swimming" in unescape(again)
    (room.folder / SUMMARY).write_text("{}", encoding="utf-8")
    asked = naupliad("next-class", "--out", tmp_path / "next.toml", "--state", room.folder)
    assert "--vessel tray --lot 'blue tin' --swimmers" in asked.out


def test_swimmers_that_came_late_are_told_as_late(room: Room) -> None:
    carried_out(room, swimming=True)
    (one,) = last(room)
    assert one.came is not None
    where = setting(room.desks.station, room.desks.store.connection, room.desks.at)
    late = replace(one, lesson=Span(one.lesson.began - timedelta(days=2), one.lesson.ended))
    assert "fewer than half of them swam as the lesson began" in " ".join(told(where, late))
