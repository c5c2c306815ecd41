"""The end of a class on the page: its steps, and the report of a batch; both change nothing."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from daemon.page.site import make_site
from daemon.wiping.wipe import wipe
from tests.kit.page_station import NIGHTS, four_nights, main_of
from tests.kit.undrawn import undrawn


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with undrawn():
        return four_nights(tmp_path_factory.mktemp("class") / "en")


@pytest.fixture(scope="module")
def client(played: Path) -> FlaskClient:
    return make_site(played).test_client()


def test_the_steps_stand_there_in_their_order_with_what_is_typed(client: FlaskClient, played: Path) -> None:
    before = (played / "station.db").read_bytes()
    said = main_of(client.get("/plan/wrap-up"))
    steps = ("1. Silence", "2. A report of the batch", "3. What is left over", "4. Class data", "5. The next")
    places = [said.index(step) for step in steps]
    assert places == sorted(places)
    assert "naupliad care add cup end" in said
    assert "Never release" in said
    assert "Not reached: letters that went out." in said
    assert (played / "station.db").read_bytes() == before


def test_the_report_of_a_batch_says_what_was_seen_and_no_more(client: FlaskClient) -> None:
    assert 'href="/plan/wrap-up/cup"' in client.get("/plan/wrap-up").text
    page = client.get("/plan/wrap-up/cup")
    said = main_of(page)
    # Friday from noon to six nobody read, and Saturday it was cold: `four_nights`.
    assert "what happened in the rest is not known" in said
    assert "Limits passed: too cold for" in said
    assert "No limit was passed" not in said
    assert "Nobody noted whether it hatched." in said
    assert "Salt: 25 g in a litre of water" in said
    assert "Tin of cysts: spring" in said
    assert "known better than before" not in said  # beliefs are not asked here
    assert "<svg" in page.text


def test_the_way_to_it_stands_among_the_plans(client: FlaskClient) -> None:
    assert "End of a class" in main_of(client.get("/plan"))


@pytest.mark.parametrize("vessel", ["nobody", "%3Cb%3E", "..%2F..", "cup%00"])
def test_a_vessel_that_is_none_has_no_report(client: FlaskClient, vessel: str) -> None:
    assert client.get(f"/plan/wrap-up/{vessel}").status_code == 404


def test_a_letter_whose_words_were_wiped_is_shown_without_them(tmp_path: Path) -> None:
    with undrawn():
        state = four_nights(tmp_path / "wiped")
    with closing(sqlite3.connect(state / "station.db")) as connection:
        (letter,) = connection.execute("SELECT max(id) FROM letter WHERE state = 'sent'").fetchone()
    wipe(state, None)
    client = make_site(state).test_client()
    page = client.get(f"/letter/{letter}")
    assert page.status_code == 200
    assert "Its words are not kept any more." in main_of(page)
    assert client.get(f"/letter/{letter}/chart.png").status_code == 404
    assert client.get(f"/night/{NIGHTS[1]}").status_code == 200


def test_in_german_and_fahrenheit_it_says_the_same(tmp_path: Path) -> None:
    with undrawn():
        state = four_nights(tmp_path / "de", language="de", temperature_unit="F")
    said = main_of(make_site(state).test_client().get("/plan/wrap-up/cup"))
    assert "Was geschah" in said
    assert "°F" in said
    assert "°C" not in said.replace("25 °C", "")
