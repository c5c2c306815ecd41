"""A planned start that is kept stands in today and in the calendar, until its cysts are set."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

import pytest

from daemon.export.calendar import calendar
from tests.kit.calendar_file import events_of
from tests.kit.page_station import Room, cold_room, main_of

HOUR = 3600
# The room's now is Tuesday 12 January 2027, noon.
WISH = {"day": "2027-01-15", "from": "10:00", "to": "11:30", "vessel": "tray", "lot": ""}
WISH |= {"water": "22", "night": "19"}
PLAN = f"/plan/start?{urlencode(WISH)}"


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


def shown(page: str) -> dict[str, str]:
    """The hidden fields of the form that keeps the plan."""
    form = page.split('action="/plan/start">')[1].split("</form>")[0]
    found = re.findall(r'name="([\w-]+)" value="([^"]*)"', form)
    return {name: unescape(value) for name, value in found if name != "form_token"}


def keep(room: Room) -> str:
    """Keeps the plan that is shown; when its cysts are to be set, as the page says it."""
    page = room.get(PLAN).text
    answer = room.post("/plan/start", **shown(page))
    assert (answer.status_code, answer.location) == (303, "/plan/start?done=kept")
    return re.search(r"Set the cysts ([^;<]*)", page)[1]  # type: ignore[index]


def test_kept_it_stands_on_its_page_in_what_comes_and_in_the_calendar(room: Room) -> None:
    keep(room)
    assert "The plan is kept." in main_of(room.get("/plan/start?done=kept"))
    assert "tray: set the cysts" in main_of(room.get("/plan/start"))
    coming = main_of(room.get("/today")).split("What comes")[1]
    assert "tray: set the cysts" in coming
    titles = [event["SUMMARY"] for event in events_of(feed(room))]
    assert {"tray: Set the cysts", "tray: Let the water stand", "tray: The lesson"} <= set(titles)


def feed(room: Room) -> bytes:
    return calendar(room.desks.station, room.desks.store.connection, room.desks.at)


def set_at(room: Room) -> int:
    ((moment,),) = room.rows("SELECT set_at FROM planned_start")
    return int(moment)


def test_on_its_day_it_is_to_be_done_and_once_done_it_is_gone(room: Room) -> None:
    keep(room)
    due = set_at(room)
    room.desks.live((due // 86_400) * 86_400 + 7 * HOUR, lambda _at: 22.0)
    room.now = room.desks.at
    today = main_of(room.get("/today"))
    assert re.search(r"Set the cysts at \d\d:\d\d for the lesson", today)
    assert "Wash your hands" in today
    room.desks.live(due, lambda _at: 22.0)
    room.now = room.desks.at
    room.desks.tell("set", 0.05)
    assert "for the lesson" not in main_of(room.get("/today"))
    assert "tray: Set the cysts" not in [event["SUMMARY"] for event in events_of(feed(room))]


def test_one_for_swimmers_is_kept_and_today_says_nothing_of_hatching(room: Room) -> None:
    page = room.get(f"{PLAN}&see=swimming").text
    assert "As the lesson begins, animals swim" in page
    assert room.post("/plan/start", **shown(page)).location == "/plan/start?done=kept"
    assert room.rows("SELECT swimming FROM planned_start") == [(1,)]
    room.desks.live((set_at(room) // 86_400) * 86_400 + 7 * HOUR, lambda _at: 22.0)
    room.now = room.desks.at
    assert re.search(r"Set the cysts at \d\d:\d\d for the lesson", main_of(room.get("/today")))
    assert "tray: Set the cysts" in [event["SUMMARY"] for event in events_of(feed(room))]


def test_it_is_taken_back_on_its_page(room: Room) -> None:
    keep(room)
    ((number,),) = room.rows("SELECT id FROM planned_start")
    answer = room.post("/plan/start/back", id=str(number))
    assert (answer.status_code, answer.location) == (303, "/plan/start?done=withdrawn")
    assert "set the cysts" not in main_of(room.get("/today"))
    assert room.post("/plan/start/back", id=str(number)).location == "/plan/start?done=gone"
    assert room.post("/plan/start/back", id="x").location == "/plan/start?done=gone"


def test_who_is_not_signed_in_keeps_nothing(room: Room) -> None:
    fields = shown(room.get(PLAN).text)
    room.signed_out()
    room.post("/plan/start", **fields)
    assert room.rows("SELECT id FROM planned_start") == []
    assert "Keep this plan" in room.get(PLAN).text  # the PIN is asked for when it is sent


def test_a_plan_that_is_another_by_now_is_not_kept(room: Room) -> None:
    fields = {**shown(room.get(PLAN).text), "set_at": "12345"}
    answer = room.post("/plan/start", **fields)
    assert answer.status_code == 409
    assert "There is no such plan any more." in main_of(answer)
    assert room.rows("SELECT id FROM planned_start") == []
    for text in ("", "x", "٣", "9" * 40):
        assert room.post("/plan/start", **{**fields, "set_at": text}).status_code == 409


def test_without_a_daemon_nothing_is_kept_and_that_is_said(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        fields = shown(room.get(PLAN).text)
        room.inbox.close()  # type: ignore[union-attr]
        answer = room.post("/plan/start", **fields)
        assert answer.status_code == 503
        assert "Nothing was done." in main_of(answer)
        assert room.rows("SELECT id FROM planned_start") == []


def test_a_plan_without_days_is_not_offered_to_be_kept(room: Room) -> None:
    fields = shown(room.get(PLAN).text)
    cold = {**WISH, "water": "12", "night": "12"}
    page = room.get(f"/plan/start?{urlencode(cold)}")
    assert "no days are named here" in main_of(page)
    assert "Keep this plan" not in page.text
    assert room.post("/plan/start", **{**fields, **cold}).status_code == 409
    assert room.rows("SELECT id FROM planned_start") == []
