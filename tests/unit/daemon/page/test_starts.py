"""When to set, as the page shows it."""

import re
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.kit.calendar_file import events_of
from tests.kit.page_station import cold_room
from tests.kit.plan_pages import begun_page, view_of, words, wrong
from tests.kit.starts import at
from tests.kit.station import probe, station_text, table, vessel

AT = at("2027-03-03T09:00")
LOTS = (table("[[lot]]", id="early <b>tin</b>", strain="pozos-colorados"),)
WISH = {"day": "2027-03-10", "from": "10:00", "to": "11:30", "water": "22", "night": "19"}


def page_of(folder: Path, *tables: str, **keys: object) -> FlaskClient:
    """The page of a station that has just begun, and whose daemon does not run."""
    text = station_text(probe("water"), vessel("cup", "water"), *tables, **keys)  # type: ignore[arg-type]  # keys of a table
    return begun_page(folder, text, AT)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("starts"), *LOTS)


def asked(browser: FlaskClient, **values: str) -> str:
    return view_of(browser, "/plan/start", **values)


def test_the_way_to_it_stands_among_the_plans(browser: FlaskClient) -> None:
    assert 'href="/plan/start"' in browser.get("/plan").text


def test_the_empty_form_asks_and_nothing_is_wrong_with_it(browser: FlaskClient) -> None:
    page = asked(browser)
    assert not list(wrong(page))
    assert 'type="date"' in page
    assert "early &lt;b&gt;tin&lt;/b&gt;" in page
    assert 'class="first"' not in page


def test_a_plan_shows_times_chances_picture_days_and_the_way_to_the_calendar(browser: FlaskClient) -> None:
    page = asked(browser, **WISH)
    said = words(page)
    assert "For Wednesday 10 March 2027, 10:00 to 11:30" in said or "For Wednesday 10 March" in said
    assert "Set the cysts" in said
    assert "of 100" in said
    assert "One setting alone mostly misses a lesson this short." in said
    assert 'class="band hatch"' in page
    assert 'class="lesson"' in page
    assert "First feed" in said
    assert "Wash your hands" in said
    link = re.search(r'href="(/plan/start\.ics\?[^"]*)"', page)
    assert link
    answer = browser.get(unescape(link[1]))
    assert answer.content_type == "text/calendar; charset=utf-8"
    titles = [event["SUMMARY"] for event in events_of(answer.data)]
    assert "cup: Set the cysts" in titles
    assert 'value="2027-03-10"' in page
    assert 'href="/plan/dose?vessel=cup"' in page
    assert browser.get("/plan/dose?vessel=cup").status_code == 200


def test_what_is_filled_in_wrong_is_said_beside_its_field(browser: FlaskClient) -> None:
    page = asked(browser, **{**WISH, "to": "09:00", "water": "<i>", "night": "200"})
    faults = dict(wrong(page))
    assert set(faults) == {"to", "water", "night"}
    assert faults["to"] == "The lesson has to end after it begins."
    assert "<i>" not in page.split("<main")[1]
    assert 'class="first"' not in page
    assert dict(wrong(asked(browser, day="2027-03-10"))).keys() == {"from", "to", "water"}
    assert dict(wrong(asked(browser, **{**WISH, "day": "2027-03-02"}))).keys() == {"day"}
    assert dict(wrong(asked(browser, **{**WISH, "day": "2029-03-02"}))).keys() == {"day"}


def test_water_too_cold_has_no_date_and_no_calendar_on_the_page_either(browser: FlaskClient) -> None:
    cold = {**WISH, "water": "8", "night": ""}
    said = words(asked(browser, **cold))
    assert "later than a month on, or never" in said
    for none_of in ("Set the cysts", "have hatched", "Day by day", "Keep this plan", "as a calendar"):
        assert none_of not in said
    assert browser.get(f"/plan/start.ics?{urlencode(cold)}").status_code == 404


def test_water_in_which_times_are_no_use_has_nothing_to_keep_on_the_page(browser: FlaskClient) -> None:
    page = asked(browser, **{**WISH, "water": "14", "night": "12"})
    said = words(page)
    assert "Take a warmer place, or hold the water warm with a heater" in said
    for none_of in ("Set the cysts", "Keep this plan", "Other days", "as a calendar"):
        assert none_of not in said


def test_a_time_of_day_may_be_written_with_a_dot(browser: FlaskClient) -> None:
    dotted = asked(browser, **{**WISH, "from": "10.00", "to": "11.30"})
    assert "10:00 to 11:30" in words(dotted)
    faults = dict(wrong(asked(browser, **{**WISH, "from": "10", "to": "11"})))
    assert set(faults) == {"from", "to"}
    assert faults["to"] == "That is no time of day. Write it like 10:00."


def test_a_time_that_the_clocks_skip_is_said_beside_its_field(browser: FlaskClient) -> None:
    skipped = {**WISH, "day": "2027-03-28", "from": "01:30", "to": "03:00"}
    faults = dict(wrong(asked(browser, **skipped)))
    assert faults == {"from": "There is no such time on that day: the clocks go forward then."}


def test_where_no_daemon_runs_how_warm_the_water_is_has_to_be_filled_in(browser: FlaskClient) -> None:
    faults = dict(wrong(asked(browser, **{**WISH, "water": "", "night": ""})))
    assert faults == {"water": "This has to be filled in."}


def test_no_calendar_is_made_of_what_makes_no_plan(browser: FlaskClient) -> None:
    assert browser.get("/plan/start.ics").status_code == 404
    assert browser.get("/plan/start.ics?" + urlencode({**WISH, "to": ""})).status_code == 404


def test_in_fahrenheit_the_same_water_makes_the_same_plan(
    browser: FlaskClient, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = page_of(tmp_path_factory.mktemp("fahrenheit"), *LOTS, temperature_unit="F")
    fahrenheit = asked(other, **{**WISH, "water": "71.6", "night": "66.2"})
    best = [re.search(r"Set the cysts [^<;]*", page) for page in (asked(browser, **WISH), fahrenheit)]
    assert best[0]
    assert best[1]
    assert best[0][0] == best[1][0]
    assert "71.6 °F" in words(fahrenheit)
    assert "each give or take 2 °F." in words(fahrenheit)
    assert "each give or take 1 °C." in words(asked(browser, **WISH))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(["day", "from", "to", "vessel", "lot", "water", "night"]),
        st.text(max_size=12) | st.sampled_from(["2027-03-10", "10:00", "11:30", "22", "1e400", "٣"]),
    )
)
def test_whatever_stands_in_the_address_is_answered(browser: FlaskClient, values: dict[str, str]) -> None:
    clean = {name: value.encode("utf-8", "replace").decode() for name, value in values.items()}
    asked(browser, **clean)
    assert browser.get(f"/plan/start.ics?{urlencode(clean)}").status_code in (200, 404)


def test_water_and_tin_as_learned_come_from_the_daemon(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        room.desks.tell("set", 0.05, lot="spring")
        room.desks.live(room.desks.at + 26 * 3600, lambda _at: 24.0)
        room.now = room.desks.at
        learned = {"day": "2027-01-15", "from": "10:00", "to": "11:30", "vessel": "tray", "lot": "spring"}
        page = room.get(f"/plan/start?{urlencode(learned)}")
        said = words(page.text)
        assert "The water is forecast from what the station has learned of tray." in said
        assert "Cysts: spring" in said
        assert not list(wrong(page.text))
        assert "Empty: as the station has learned it." in said
        with_stated = room.get(f"/plan/start?{urlencode({**learned, 'water': '20'})}").text
        assert "Water: 20.0 °C while people are there" in words(with_stated)
        night_alone = room.get(f"/plan/start?{urlencode({**learned, 'night': '18'})}").text
        assert dict(wrong(night_alone)) == {"water": "This has to be filled in."}


def test_a_station_that_read_less_than_a_day_says_that_it_has_learned_nothing_yet(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        room.desks.live(room.desks.at + 6 * 3600, lambda _at: 24.0)
        room.now = room.desks.at
        wish = {"day": "2027-01-15", "from": "10:00", "to": "11:30", "vessel": "tray"}
        (fault,) = dict(wrong(room.get(f"/plan/start?{urlencode(wish)}").text)).items()
        assert fault[0] == "water"
        assert "has read this water for less than a day" in fault[1]


def test_a_lesson_hardly_met_leads_to_the_days_for_swimmers(browser: FlaskClient) -> None:
    page = asked(browser, **{**WISH, "day": "2027-03-08", "from": "08:30", "to": "09:15"})
    (way,) = re.findall(r'href="(/plan/start\?[^"]*see=swimming[^"]*)"', page)
    shown = browser.get(unescape(way)).text
    said = words(shown)
    assert "As the lesson begins, animals swim:" in said
    assert "Day by day" in said
    assert "One setting alone mostly misses" not in said
    (feed,) = re.findall(r'href="(/plan/start\.ics\?[^"]*)"', shown)
    texts = [one["DESCRIPTION"] for one in events_of(browser.get(unescape(feed)).data)]
    assert any("animals swim" in one for one in texts)


def test_of_a_tin_that_no_daemon_could_be_asked_about_nothing_is_claimed(browser: FlaskClient) -> None:
    said = words(asked(browser, **WISH, lot="early <b>tin</b>"))
    assert "Its earlier hatches could not be looked up here" in said
    assert "no hatch was seen yet" not in said
