"""The nights on the page: every one there is, each with its letter, and every letter as it was sent."""

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from daemon.page.site import make_site
from tests.kit.command_line import naupliad
from tests.kit.page_station import NIGHTS, cold_room, four_nights, main_of
from tests.kit.undrawn import undrawn


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with undrawn():
        return four_nights(tmp_path_factory.mktemp("nights") / "en")


@pytest.fixture(scope="module")
def client(played: Path) -> FlaskClient:
    return make_site(played).test_client()


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    with undrawn():
        state = four_nights(tmp_path_factory.mktemp("nights") / "de", language="de", temperature_unit="F")
    return make_site(state).test_client()


def rows(state: Path, query: str) -> list[tuple[int, str]]:
    with closing(sqlite3.connect(f"file:{state}/station.db?mode=ro", uri=True)) as connection:
        return connection.execute(query).fetchall()


def nights_in(html: str) -> list[str]:
    return re.findall(r'href="/night/([^"]+)"', html)


def test_every_night_stands_there_the_newest_first_with_what_its_letter_found(client: FlaskClient) -> None:
    page = client.get("/nights")
    assert nights_in(page.text) == [*reversed(NIGHTS)]
    said = main_of(page)
    assert "January 2027" in said
    assert re.search(r"Saturday 16 January .*(alarm|[Cc]old).*17\.0 to 22\.5 °C", said)
    assert "Small room" not in said  # the station is named above, once
    assert "Sat 16 Jan" not in said


def test_a_night_says_what_the_command_prints(client: FlaskClient, played: Path, tmp_path: Path) -> None:
    with undrawn():
        said = naupliad("report", NIGHTS[2], "--state", played, "--out", tmp_path / "out")
    words = [re.sub(r"[-:]", "", line).split() for line in said.out.splitlines()[2:] if "Chart" not in line]
    page = re.sub(r"[-:]", "", main_of(client.get(f"/night/{NIGHTS[2]}")).replace("\u00a0", " "))
    missing = [word for line in words for word in line if word not in page]
    assert missing == []


def test_a_night_leads_to_the_ones_beside_it_and_to_its_letters(client: FlaskClient, played: Path) -> None:
    middle = client.get(f"/night/{NIGHTS[1]}")
    assert set(nights_in(middle.text)) == {NIGHTS[0], NIGHTS[2]}
    assert nights_in(client.get(f"/night/{NIGHTS[0]}").text) == [NIGHTS[1]]
    assert nights_in(client.get(f"/night/{NIGHTS[-1]}").text) == [NIGHTS[-2]]
    linked = [re.findall(r'href="/letter/(\d+)"', client.get(f"/night/{night}").text) for night in NIGHTS]
    assert [int(one) for ones in linked for one in ones] == [
        one for one, _ in rows(played, "SELECT id, kind FROM letter ORDER BY id")
    ]


@pytest.mark.parametrize(
    "night",
    ["2027-01-13", "2027-01-19", "0001-01-01", "9999-12-31", "2027-13-01", "20270115", "2027-W02-5", "now"],
)
def test_a_night_of_which_nothing_was_read_is_a_line(client: FlaskClient, night: str) -> None:
    for path in (f"/night/{night}", f"/nights/{night}"):
        page = client.get(path)
        assert page.status_code == 404
        assert "No reading is of that night. The first is of Thursday 14 January" in main_of(page)


@given(st.one_of(st.text(min_size=1, max_size=30), st.sampled_from(["<script>x()</script>", "%00", "..%2f"])))
def test_whatever_stands_in_an_address_gives_a_page_or_a_line(client: FlaskClient, text: str) -> None:
    for before in ("/night/", "/nights/", "/letter/", "/why/"):
        page = client.get(before + text.replace("?", "%3F").replace("#", "%23"))
        assert page.status_code in (200, 308, 404, 409)
        assert not re.search(r'<script(?! defer src="/static/)', page.text)


@pytest.mark.parametrize("number", ["0", "999", "-1", "1e3", "９", "9" * 18, "9" * 19, "9" * 4000, "1;drop"])
def test_a_letter_that_is_none_is_a_line(client: FlaskClient, number: str) -> None:
    for path in (f"/letter/{number}", f"/letter/{number}/chart.png"):
        page = client.get(path)
        assert page.status_code == 404
        assert main_of(page).count(".") == 2


def test_every_letter_is_shown_as_it_was_sent(client: FlaskClient, played: Path) -> None:
    found = rows(played, "SELECT id, subject FROM letter WHERE number IS NOT NULL")
    assert len(found) >= 5
    for letter_id, subject in found:
        page = client.get(f"/letter/{letter_id}")
        said = main_of(page)
        assert subject in said
        assert "Do this:" in said
        assert "style=" not in page.text
        assert "cid:" not in page.text


def test_a_letters_chart_is_the_one_that_went_with_it(client: FlaskClient, played: Path) -> None:
    ((nightly, _), *_) = rows(played, "SELECT id, kind FROM letter WHERE kind = 'nightly'")
    assert f'src="/letter/{nightly}/chart.png"' in client.get(f"/letter/{nightly}").text
    chart = client.get(f"/letter/{nightly}/chart.png")
    assert (chart.mimetype, chart.data[:4]) == ("image/png", b"\x89PNG")
    ((other, _), *_) = rows(played, "SELECT id, kind FROM letter WHERE kind = 'cold'")
    assert "<img" not in client.get(f"/letter/{other}").text
    assert client.get(f"/letter/{other}/chart.png").status_code == 404


def changed(played: Path, folder: Path, *statements: str) -> FlaskClient:
    """The page of the same station, whose store somebody has changed."""
    state = shutil.copytree(played, folder / "changed")
    with closing(sqlite3.connect(state / "station.db")) as connection, connection:
        for statement in statements:
            connection.execute(statement)
    return make_site(state).test_client()


def test_a_letter_that_waits_says_until_when_and_has_no_words_yet(played: Path, tmp_path: Path) -> None:
    ((last, _),) = rows(played, "SELECT id, kind FROM letter ORDER BY id DESC LIMIT 1")
    waits = (
        "UPDATE letter SET state = 'held', number = NULL, message = NULL, written_at = NULL, sent_at = NULL, "
        f"due_at = at + 30 * 3600 WHERE id = {last}"
    )
    client = changed(played, tmp_path, f"DELETE FROM delivery WHERE letter = {last}", waits)
    said = main_of(client.get(f"/letter/{last}"))
    assert "A letter that is not written yet" in said
    assert "Waits for its time, tomorrow at 02:00." in said
    assert client.get(f"/letter/{last}/chart.png").status_code == 404


def test_where_no_nightly_letter_goes_the_alarms_of_the_night_are_said(played: Path, tmp_path: Path) -> None:
    client = changed(played, tmp_path, "DELETE FROM delivery", "DELETE FROM letter WHERE kind = 'nightly'")
    said = main_of(client.get("/nights"))
    assert re.search(r"Saturday 16 January Alarms: .*cold water\. No letter\.", said)
    assert "Thursday 14 January No alarm, no letter." in said


def test_nights_without_a_reading_are_listed_and_passed_over(played: Path, tmp_path: Path) -> None:
    began, ended = ("strftime('%s', '2027-01-15 20:00')", "strftime('%s', '2027-01-16 20:00')")
    client = changed(played, tmp_path, f"DELETE FROM reading WHERE at >= 0 + {began} AND at <= 0 + {ended}")
    page = client.get("/nights")
    assert nights_in(page.text) == ["2027-01-17", "2027-01-15", "2027-01-14"]
    assert "Saturday 16 January Nothing was read." in main_of(page)
    assert set(nights_in(client.get("/night/2027-01-15").text)) == {"2027-01-14", "2027-01-17"}
    missing = client.get("/night/2027-01-16")
    assert missing.status_code == 404
    assert set(nights_in(missing.text)) == {"2027-01-15", "2027-01-17"}


def test_many_nights_stand_on_pages_of_a_month_and_none_is_missed(played: Path, tmp_path: Path) -> None:
    more = (
        "INSERT INTO reading SELECT at - 86400 * {}, probe, value, quality FROM reading WHERE at % 7200 = 0"
    )
    client = changed(played, tmp_path, *(more.format(days) for days in (4, 8, 16, 32, 64)))
    seen, path = [], "/nights"
    while path:
        page = client.get(path).text
        seen += nights_in(page)
        earlier = re.search(r'href="(/nights/[^"]+)">Earlier nights', page)
        path = earlier[1] if earlier else ""
    assert len(seen) == len(set(seen)) == 4 + 124
    assert seen == sorted(seen, reverse=True)


def test_a_station_that_speaks_german_does_so_here_too(german: FlaskClient) -> None:
    paths = ("/nights", f"/night/{NIGHTS[2]}", "/letter/1", "/night/2020-01-01", "/why/cup")
    pages = {path: german.get(path) for path in paths}
    for page in pages.values():
        assert 'lang="de"' in page.text
        assert "°C" not in main_of(page)
    assert "Donnerstag, 14. Januar Alles gut, 73,4 bis 73,4 °F" in main_of(pages["/nights"])
    assert "Wasser jetzt: " in main_of(pages[f"/night/{NIGHTS[2]}"])


def test_a_store_without_a_reading_has_no_night(played: Path, tmp_path: Path) -> None:
    client = changed(played, tmp_path, "DELETE FROM reading")
    assert "Nothing was read yet, so there is no night to show." in main_of(client.get("/nights"))
    assert client.get(f"/night/{NIGHTS[0]}").status_code == 404
    assert main_of(client.get("/station")).count("Silent It has read nothing yet.") == 2


def test_a_store_that_is_gone_is_a_line(played: Path, tmp_path: Path) -> None:
    client = changed(played, tmp_path)
    (tmp_path / "changed" / "station.db").unlink()
    answer = client.get("/nights")
    assert (answer.status_code, "The records are not in their place." in main_of(answer)) == (503, True)


def test_a_night_shows_the_chart_of_the_vessel_that_is_asked_for(tmp_path: Path) -> None:
    with cold_room(tmp_path, "cup", "jar") as room:
        room.desks.live(room.desks.at + 600, lambda _at: 15.0)
        for query, drawn in (("", "cup"), ("?vessel=jar", "jar"), ("?vessel=%3Cscript%3E", "cup")):
            page = room.get(f"/night/2027-01-12{query}")
            assert f"The chart of {drawn}" in main_of(page)
            assert page.text.count('<figure class="plot"') == 1
            assert set(re.findall(r'\?vessel=([^"]+)"', page.text)) == {"cup", "jar"}


def test_of_a_night_the_first_vessel_is_drawn_that_had_an_alarm(tmp_path: Path) -> None:
    with cold_room(tmp_path, "cup", "jar") as room:
        room.rows("DELETE FROM alarm WHERE vessel = 'cup'")
        assert "The chart of jar" in main_of(room.get("/night/2027-01-12"))
