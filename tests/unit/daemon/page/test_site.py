"""The page's addresses, over vessels of each kind at each stage: all that is there is shown."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from daemon.page.site import make_site
from reports.letters.night_deed import night_deed
from reports.page.rendering import STATIC
from sensors.reading import Quality
from tests.kit.desks import HOUR
from tests.kit.page_of_shelf import page_of_shelf, speak
from tests.kit.vessel_at_stage import NAMES, Shelf

VESSELS = [f"/vessel/{one}" for one in NAMES]
VIEWS = ("/", "/today", "/class", *VESSELS, *(f"{one}?span=batch" for one in VESSELS[:9:4]))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shelf")


@pytest.fixture(scope="module")
def shelf(folder: Path) -> Shelf:
    stood = Shelf(folder)
    speak(stood)
    stood.live(stood.at + 2 * HOUR)
    return stood


@pytest.fixture
def browser(folder: Path, shelf: Shelf) -> Iterator[FlaskClient]:
    with page_of_shelf(folder, shelf) as opened:
        yield opened


def words(browser: FlaskClient, path: str) -> str:
    """What a view says, without its marks."""
    answer = browser.get(path)
    assert answer.status_code == 200
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)))


@pytest.mark.parametrize("path", VIEWS)
def test_a_view_is_one_page_that_brings_no_style_or_script_of_its_own(
    browser: FlaskClient, path: str
) -> None:
    page = browser.get(path).text
    assert page.startswith("<!DOCTYPE html>")
    assert page.count("<h1>") == page.count("<main ") == 1
    ours = page.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"\sstyle=|<style|\son\w+=|https?:", ours)
    assert not re.search(r'<script(?! defer src="/static/| type="application/json")', ours)


def test_the_shelf_shows_every_vessel_once_in_its_order(browser: FlaskClient) -> None:
    shown = re.findall(r'<h2><a href="/vessel/([^"]+)"', browser.get("/").text)
    assert shown == list(NAMES)


def test_what_comes_first_is_what_the_night_s_letter_would_ask_for(
    browser: FlaskClient, shelf: Shelf
) -> None:
    setting, record = shelf.record("tray-set")
    asked = night_deed(setting, record)
    assert asked.what[1:] in words(browser, "/vessel/tray-set") or not asked.asks


def test_what_people_wrote_is_shown_as_they_wrote_it(tmp_path: Path) -> None:
    written = Shelf(tmp_path)
    speak(written, name='Room <b>7</b> & "x"')
    with page_of_shelf(tmp_path, written) as browser:
        page = browser.get("/").text
    assert "<b>7" not in page
    assert 'Room <b>7</b> & "x"' in unescape(page)


def test_an_address_that_is_none_is_said_so_in_one_line(browser: FlaskClient) -> None:
    for path in (
        "/vessel/none-such",
        "/vessel/tray-set?span=year",
        "/nix",
        "/vessel/%3Cscript%3E",
        "/vessel/" + "x" * 3000,
    ):
        answer = browser.get(path)
        assert answer.status_code == 404
        assert answer.text.count('role="alert"') == 1
        assert "<script" not in answer.text


def test_an_address_that_shows_takes_nothing(browser: FlaskClient) -> None:
    assert browser.post("/today", data={"deed": "end"}).status_code == 403
    assert browser.put("/today").status_code == 405


def test_where_no_station_has_run_the_page_leads_to_the_set_up(tmp_path: Path) -> None:
    answer = make_site(tmp_path).test_client().get("/", headers={"Accept-Language": "de-DE,en;q=0.5"})
    assert answer.status_code == 503
    assert 'href="/set-up"' in answer.text
    assert '<html lang="de">' in answer.text


def test_a_daemon_that_does_not_run_is_told_of_with_its_last_reading(browser: FlaskClient) -> None:
    assert "The watch is not running: what you see is as it was" in words(browser, "/")
    assert "Note what was done" not in words(browser, "/vessel/tray-set")


def test_the_page_speaks_the_station_s_language_and_unit(tmp_path: Path) -> None:
    german = Shelf(tmp_path)
    speak(german, language="de", temperature_unit="F")
    with page_of_shelf(tmp_path, german) as browser:
        page = browser.get("/").text
        nowhere = browser.get("/nix", headers={"Accept-Language": "en"}).text
    assert '<html lang="de">' in page
    assert '<html lang="de">' in nowhere
    assert "°F" in page
    assert "°C" not in page


def test_whoever_has_a_file_of_the_page_asks_anew_only_when_it_is_another(browser: FlaskClient) -> None:
    (link,) = re.findall(r'href="(/static/page.css\?[^"]+)"', browser.get("/").text)
    with browser.get(link) as answer:
        assert answer.data == (STATIC / "page.css").read_bytes()
        assert "max-age=2592000" in answer.headers["Cache-Control"]


def test_where_probes_are_dead_the_station_s_cables_come_first(tmp_path: Path) -> None:
    blind = Shelf(tmp_path)
    speak(blind)
    blind.live(blind.at + 24 * HOUR, thermometers=Quality.ABSENT)
    with page_of_shelf(tmp_path, blind) as browser:
        first = words(browser, "/today").partition("1.")[0]
        assert "whether the probe hangs in the water and its cable is firm" in words(browser, "/today"), first


def test_what_the_program_says_of_a_store_is_english_on_a_german_page(tmp_path: Path) -> None:
    (tmp_path / "station.db").write_bytes(b"this is no database, and never was one" * 100)
    with make_site(tmp_path).test_client() as browser:
        answer = browser.get("/", headers={"Accept-Language": "de"})
    assert answer.status_code == 503
    assert '<html lang="de">' in answer.text
    assert re.search(r'role="alert" lang="en">[^<]*database', answer.text)
