"""What is taken away from the page is what `naupliad export` writes, one copy at a time."""

import json
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit
from zipfile import ZipFile

import icalendar
import pytest
from flask.testing import FlaskClient

from daemon.page.guard.feed import FILE_NAME
from daemon.page.guard.pin import page_folder
from daemon.page.views.take_away import COPYING
from tests.kit.page_of_shelf import page_of_shelf, speak
from tests.kit.page_station import OWN, Room, cold_room, main_of
from tests.kit.vessel_at_stage import Shelf


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    folder = tmp_path_factory.mktemp("shelf")
    shelf = Shelf(folder)
    speak(shelf)
    with page_of_shelf(folder, shelf) as opened:
        yield opened


def test_the_calendar_is_one_that_programs_read(browser: FlaskClient) -> None:
    answer = browser.get("/calendar.ics")
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    events = icalendar.Calendar.from_ical(answer.data).walk("VEVENT")
    assert any("half hatched" in str(event["SUMMARY"]).lower() for event in events)


def test_every_batch_listed_can_be_taken_and_no_other(browser: FlaskClient) -> None:
    listed = re.findall(r'href="(/lesson/\d+\.zip)"', browser.get("/take-away").text)
    assert len(listed) == 16  # every vessel but the three in which nothing was set
    with browser.get(listed[0]) as answer, ZipFile(BytesIO(answer.data)) as packed:
        assert {"README.txt", "readings.csv", "estimates.csv", "deeds.csv"} <= {
            name.rpartition("/")[2] for name in packed.namelist()
        }
    for none in ("/lesson/0.zip", "/lesson/99999.zip", "/lesson/x.zip", f"/lesson/{2**70}.zip"):
        assert browser.get(none).status_code == 404


def test_all_records_are_a_package_of_tables(browser: FlaskClient) -> None:
    with browser.get("/records.zip") as answer, ZipFile(BytesIO(answer.data)) as packed:
        told = json.loads(packed.read("datapackage.json"))
        assert {one["path"] for one in told["resources"]} <= set(packed.namelist())
        assert "attachment; filename=records.zip" in answer.headers["Content-Disposition"]


def test_one_copy_is_made_at_a_time(browser: FlaskClient) -> None:
    with COPYING:
        answer = browser.get("/records.zip")
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "30")
    assert answer.text == "Another copy is being made just now. Ask again in a moment."
    with browser.get("/records.zip") as answer:
        assert answer.status_code == 200


# --- the calendar where reading takes the PIN ---


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path, page_reading="pin") as room:
        yield room


def secret_address(room: Room) -> str:
    """What the page shows to who is signed in, without the machine's name."""
    found = re.search(r'<code class="address">([^<]+)</code>', room.get("/take-away").text)
    assert found
    parts = urlsplit(found[1])
    return f"{parts.path}?{parts.query}"


def test_a_calendar_program_that_cannot_sign_in_reads_the_calendar_by_its_secret_address(room: Room) -> None:
    assert "Make a secret address" in main_of(room.get("/take-away"))
    assert room.post("/calendar/new").status_code == 303
    address = secret_address(room)
    kept = page_folder(room.folder) / FILE_NAME
    assert kept.stat().st_mode & 0o777 == 0o600
    program = room.site().test_client()  # another process of the page, and no cookie
    answer = program.get(address)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    icalendar.Calendar.from_ical(answer.data)
    assert answer.headers["Cache-Control"] == "no-store"
    assert program.get("/calendar.ics").status_code == 403
    for other in ("/", "/take-away", "/records.zip", "/static/../take-away"):
        assert program.get(f"{other}?{address.partition('?')[2]}").status_code in (403, 404)


def test_a_new_address_ends_the_old_one(room: Room) -> None:
    room.post("/calendar/new")
    old = secret_address(room)
    room.post("/calendar/new")
    program = room.site().test_client()
    refused = program.get(old)
    assert refused.status_code == 404
    assert "holds no more" in refused.text
    assert program.get(secret_address(room)).status_code == 200


def test_wrong_keys_wait_longer_each_time_and_keep_nobody_with_the_right_one_out(room: Room) -> None:
    room.post("/calendar/new")
    address, program = secret_address(room), room.site().test_client()
    codes = []
    for _ in range(4):
        codes += [program.get("/calendar.ics?key=wrong"), program.get("/calendar.ics?key=")]
        assert program.get(address).status_code == 200
        room.now += int(codes[-1].headers["Retry-After"])
    assert [one.status_code for one in codes] == [404, 429] * 4
    assert [codes[place].headers["Retry-After"] for place in (1, 3, 5)] == ["5", "15", "45"]


def test_nobody_makes_an_address_without_the_pin_nor_from_another_site(room: Room) -> None:
    room.post("/calendar/new")
    address = secret_address(room)
    assert room.client.post("/calendar/new", headers={"Origin": "http://evil.example"}).status_code == 403
    assert room.client.post("/calendar/new", headers=OWN).status_code == 403  # no token
    room.signed_out()
    assert room.post("/calendar/new").status_code == 403
    assert room.get(address).status_code == 200


@pytest.mark.parametrize("text", ["", "[]", '{"key": ""}', '{"key": 7}', '{"key": "short"}', "\x00", "nul"])
def test_a_spoiled_file_is_no_key(room: Room, text: str) -> None:
    (page_folder(room.folder) / FILE_NAME).write_text(text)
    room.signed_out()
    assert room.get("/calendar.ics?key=").status_code == 404
    assert room.get("/calendar.ics?key=short").status_code in (404, 429)


def test_where_everybody_may_read_the_calendar_has_no_secret(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        assert 'href="/calendar.ics"' in room.get("/take-away").text
        assert "secret" not in main_of(room.get("/take-away"))
