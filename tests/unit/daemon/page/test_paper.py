"""Sheets to print, as the page answers with them."""

import re
import tempfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.page.site import make_site
from daemon.planning.experiment.design import ExperimentDesign
from daemon.stages import Stage
from daemon.store import experiments
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from reports.page.rendering import STATIC
from tests.kit.desks import HOUR
from tests.kit.page_of_shelf import page_of_shelf, speak
from tests.kit.station import probe, station_text, table, vessel
from tests.kit.vessel_at_stage import NAMES, Shelf

SHEETS = ("/paper/labels", "/paper/week", "/paper/count", "/paper/dose", "/paper/experiment")
AT = 1_800_000_000
SALT = ExperimentDesign("Salt?", "salt", ("10 g/L", "25 g/L", "40 g/L"), 4, 50, "window", 7)
_WATER = (
    *(probe("water"), probe("jar-water")),
    *(vessel("tray-a", "water", count=3), vessel("jar", "jar-water", kind="jar", mark_ml=900.0)),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shelf")


@pytest.fixture(scope="module")
def shelf(folder: Path) -> Shelf:
    stood = Shelf(folder)
    speak(stood)
    stood.live(stood.at + 2 * HOUR)
    experiments.add(stood.desks.store.connection, SALT, stood.at)
    return stood


@pytest.fixture
def browser(folder: Path, shelf: Shelf) -> Iterator[FlaskClient]:
    with page_of_shelf(folder, shelf) as opened:
        yield opened


def page_of(folder: Path, *tables: str, **keys: object) -> FlaskClient:
    """The page of a station that has just begun."""
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, AT, station_text(*_WATER, *tables, **keys))  # type: ignore[arg-type]  # keys of a table
    store.close()
    return make_site(folder, moment=lambda _state, _connection: AT).test_client()


def words(page: str) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page)))


@pytest.mark.parametrize("path", ["/paper", *SHEETS, *(f"{one}?paper=letter" for one in SHEETS)])
def test_a_sheet_is_one_page_that_brings_no_style_or_script_of_its_own(
    browser: FlaskClient, path: str
) -> None:
    answer = browser.get(path)
    assert answer.status_code == 200
    assert answer.text.count("<h1") == answer.text.count("<main ") == 1
    assert not re.search(r"\sstyle=|<style|\son\w+=", answer.text)
    assert not re.search(r'<script(?! defer src="/static/)', answer.text)


@pytest.mark.parametrize("path", SHEETS)
@pytest.mark.parametrize(("paper", "size"), [("a4", "size: A4;"), ("letter", "size: letter;")])
def test_a_sheet_brings_the_rule_of_the_paper_that_was_chosen_and_of_no_other(
    browser: FlaskClient, path: str, paper: str, size: str
) -> None:
    page = browser.get(f"{path}?paper={paper}").text
    styles = re.findall(r'rel="stylesheet" href="/static/([^?"]+)', page)
    with_rule = [one for one in styles if "@page" in (STATIC / one).read_text("utf-8")]
    assert with_rule == [f"{paper}.css"]
    assert size in (STATIC / with_rule[0]).read_text("utf-8")
    assert f'value="{paper}" selected' in page


@pytest.mark.parametrize(
    "asked",
    ["labels?paper=a5", "labels?grid=9x9", "labels?names=pupils", "week?from=never", "dose?vessel=none-such"],
)
def test_what_cannot_be_chosen_is_said_in_one_line(browser: FlaskClient, asked: str) -> None:
    answer = browser.get(f"/paper/{asked}")
    assert answer.status_code == 404
    assert answer.text.count('role="alert"') == 1


def test_there_is_a_label_for_each_cup_and_none_for_those_of_other_vessels(
    browser: FlaskClient, shelf: Shelf
) -> None:
    cups = sum(one.count for one in shelf.station.vessels)
    assert browser.get("/paper/labels").text.count("<use ") == cups
    assert browser.get("/paper/labels?vessel=tray-set").text.count("<use ") == 24


def test_a_label_leads_to_the_vessel_s_deeds_at_the_address_of_the_station_file(tmp_path: Path) -> None:
    told = table("[page]", listen="lan", address="http://room-7.example:8077")
    page = page_of(tmp_path, told).get("/paper/labels?vessel=jar").text
    assert 'aria-label="Code for http://room-7.example:8077/do/jar"' in page
    assert "phone" not in words(page)


def test_without_one_it_leads_to_where_the_browser_asked_and_says_what_a_phone_finds_there(
    tmp_path: Path,
) -> None:
    lan = page_of(tmp_path, table("[page]", listen="lan"))
    at_lan = lan.get("/paper/labels", base_url="http://192.168.1.20:8077").text
    assert 'aria-label="Code for http://192.168.1.20:8077/do/tray-a"' in at_lan
    assert "A phone cannot reach this address" not in at_lan
    for host in ("http://localhost:8077", "http://127.0.0.1:8077", "http://[::1]:8077"):
        assert "A phone cannot reach this address" in lan.get("/paper/labels", base_url=host).text


def test_a_station_that_answers_itself_alone_says_so_before_labels_are_printed(tmp_path: Path) -> None:
    page = page_of(tmp_path).get("/paper/labels", base_url="http://192.168.1.20:8077").text
    assert "A phone cannot reach this address" in page.partition("<main")[0]


@settings(max_examples=25, deadline=None)
@given(
    st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=60).filter(str.isprintable)
)
def test_whatever_the_station_is_called_its_sheets_say_it_and_run_nothing(name: str) -> None:
    hostile = f"<script>{name}"[:80]
    with tempfile.TemporaryDirectory() as folder:
        browser = page_of(Path(folder), name=hostile)
        for path in SHEETS:
            answer = browser.get(path)
            assert answer.status_code == 200
            assert "<script>" not in answer.text


def test_the_form_for_one_vessel_leads_to_its_deeds_and_the_blank_one_to_the_page(
    browser: FlaskClient,
) -> None:
    alone, blank = (words(browser.get(f"/paper/count{asked}").text) for asked in ("?vessel=jar-hatched", ""))
    assert "/do/jar-hatched and choose" in alone
    assert "At its mark it holds 1500 mL." in alone
    assert "localhost and choose" in blank


def test_who_prints_on_friday_gets_the_days_from_today_or_from_monday_on(browser: FlaskClient) -> None:
    today, monday = (browser.get(f"/paper/week{asked}").text for asked in ("", "?from=monday"))
    assert re.findall(r'scope="col">([^<]+)<', today)[1] == "Fri 15 Jan"
    assert re.findall(r'scope="col">([^<]+)<', monday)[1:] == [
        *("Mon 18 Jan", "Tue 19 Jan", "Wed 20 Jan", "Thu 21 Jan", "Fri 22 Jan", "Sat 23 Jan", "Sun 24 Jan"),
    ]


def test_on_the_sheet_each_stage_is_asked_what_is_to_be_done_at_it(browser: FlaskClient) -> None:
    page = browser.get("/paper/week").text
    body = page.partition("<tbody>")[2].partition("</tbody>")[0]
    row = {name: words(text) for name, text in zip(NAMES, body.split("<tr>")[1:], strict=True)}
    for one, (_, stage) in NAMES.items():
        looked = stage.value not in ("nothing set", "harvested", "ended")
        assert ("Look" in row[one]) == looked, one
    assert "Feed" in row["tray-growing"]
    assert "Feed" not in row["cone-growing"]
    assert "Hatch?" in row["tray-set"]
    assert "Hatch?" not in row["tray-hatched"]
    assert "Harvest" in row["cone-set"]
    assert "Harvest" not in row["cone-being-harvested"]


def test_a_cone_of_which_was_drawn_is_no_more_asked_for(tmp_path: Path) -> None:
    drawn = Shelf(tmp_path)
    speak(drawn)
    drawn.live(drawn.at + HOUR)
    with page_of_shelf(tmp_path, drawn) as browser:
        before = harvests(browser)
    drawn.tell("harvest", 0.3, {Stage.HATCHED})
    with page_of_shelf(tmp_path, drawn) as browser:
        after = harvests(browser)
    assert before - after == {"cone-hatched"}


def harvests(browser: FlaskClient) -> set[str]:
    """The vessels that the care sheet has harvested."""
    body = browser.get("/paper/week").text.partition("<tbody>")[2].partition("</tbody>")[0]
    return {name for name, row in zip(NAMES, body.split("<tr>")[1:], strict=True) if ">Harvest<" in row}


@pytest.mark.parametrize("path", SHEETS[1:])
def test_each_sheet_has_its_cautions(browser: FlaskClient, path: str) -> None:
    said = words(browser.get(path).text)
    assert "Wash your hands after. Cyst dust can set off allergies" in said
    assert "Keep animals out of pond, river, sea and drain." in said
    if path == "/paper/week":
        assert "Dry hands; do not reach over the water" in said
        assert "This is no fire alarm" in said
