"""What is taken away from the page is what `naupliad export` writes, one copy at a time."""

import json
import re
from collections.abc import Iterator
from io import BytesIO
from zipfile import ZipFile

import icalendar
import pytest
from flask.testing import FlaskClient

from daemon.page.views.take_away import COPYING
from tests.kit.page_of_shelf import page_of_shelf, speak
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
