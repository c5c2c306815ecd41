"""Tins of cysts as the page shows them."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.page.site import make_site
from tests.kit.page_station import Room, cold_room, main_of
from tests.kit.plan_pages import begun_page, view_of, words, wrong
from tests.kit.station import probe, station_text, table, vessel
from tests.kit.tin_station import tin_station

AT = 1_800_000_000
LOTS = (
    table("[[lot]]", id="early tin", strain="pozos-colorados"),
    table("[[lot]]", id="late <b>tin</b>", strain="great-salt-lake", opened="2001-01-01"),
)


def page_of(folder: Path, *tables: str, **keys: object) -> FlaskClient:
    """The page of a station that has just begun."""
    text = station_text(probe("water"), vessel("cup", "water"), *tables, **keys)  # type: ignore[arg-type]  # keys of a table
    return begun_page(folder, text, AT)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("tins"), *LOTS)


@pytest.fixture(scope="module")
def fahrenheit(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("tins-f"), *LOTS, temperature_unit="F", language="de")


def asked(browser: FlaskClient, **values: str) -> str:
    return view_of(browser, "/plan/tin", **values)


def test_the_way_to_it_stands_among_the_plans(browser: FlaskClient) -> None:
    assert 'href="/plan/tin"' in browser.get("/plan").text


def test_the_empty_form_says_what_it_is_for_and_nothing_is_wrong_with_it(browser: FlaskClient) -> None:
    page = asked(browser)
    assert not list(wrong(page))
    assert 'class="first"' not in page
    assert "Count them dry, on dark paper" in page


def test_whoever_asks_needs_no_pin_and_gets_the_verdict_above_the_filled_in_form(
    browser: FlaskClient,
) -> None:
    page = asked(browser, put="50", hatched="38")
    assert "Good enough: build the class on this tin." in words(page)
    assert "63 to 86 %" in words(page)
    assert 'value="50"' in page
    assert 'value="38"' in page


def test_numbers_are_taken_with_their_units(browser: FlaskClient, fahrenheit: FlaskClient) -> None:
    bare = asked(browser, put="50", hatched="20", hours="20", water="20")
    pasted = asked(browser, put="50", hatched="20", hours="20 h", water="20 °C")
    assert words(bare) == words(pasted)
    assert not list(wrong(asked(fahrenheit, put="50", hatched="20", hours="20,5 Stunden", water="68 °F")))


def test_a_fault_of_a_count_speaks_german(fahrenheit: FlaskClient) -> None:
    line = dict(wrong(asked(fahrenheit, put="50", hatched="12,5")))["hatched"]
    assert line == "Gefunden '12,5'; erlaubt: eine ganze Zahl, etwa 21."


def test_twenty_of_fifty_after_twenty_hours_need_more_time(browser: FlaskClient) -> None:
    said = words(asked(browser, put="50", hatched="20", hours="20", water="20"))
    assert "Too early to say" in said
    assert "Look again 57 hours after" in said


def test_umbrellas_and_full_cysts_may_be_filled_in(browser: FlaskClient) -> None:
    bare = asked(browser, put="50", hatched="20")
    assert "Not clear yet: count more." in words(bare)
    assert bare.index("<details>") < bare.index('name="umbrella"')
    page = asked(browser, put="50", hatched="20", umbrella="6", full_left="14")
    assert "Hatching percentage, of full cysts alone: 50 % (35 to 65 %, 95 times in 100); 20 of 40." in words(
        page
    )
    assert "Too early to say: give it more time." in words(page)
    assert "<details>" not in page
    assert dict(wrong(asked(browser, put="50", hatched="20", umbrella="31"))) == {
        "umbrella": "Found 31; allowed: 0 to 30 cysts"
    }


def test_warmth_is_asked_and_taken_in_the_stations_unit(fahrenheit: FlaskClient) -> None:
    page = asked(fahrenheit, put="50", hatched="20", hours="20", water="68")  # 20 °C
    assert "57" in words(page)
    assert not list(wrong(page))
    assert dict(wrong(asked(fahrenheit, put="50", hatched="20", hours="20", water="20")))["water"]


def test_a_tins_strain_is_what_the_station_file_says(browser: FlaskClient) -> None:
    values = {"put": "50", "hatched": "20", "hours": "30", "water": "25"}
    assert "count more" in words(asked(browser, **values, lot="early tin"))
    assert "Too early" in words(asked(browser, **values, lot="late <b>tin</b>"))
    assert "<b>" not in asked(browser)


@pytest.mark.parametrize(
    ("values", "faults"),
    [
        ({"put": "50"}, {"hatched": "This has to be filled in."}),
        ({"put": "0", "hatched": "0"}, {"put": "Found 0; allowed: 1 to 10000 cysts"}),
        ({"put": "5", "hatched": "6"}, {"hatched": "Found 6; allowed: 0 to 5 animals"}),
        ({"put": "5", "hatched": "4", "hours": "9"}, {"water": "This has to be filled in."}),
        ({"put": "5", "hatched": "4", "water": "9"}, {"hours": "This has to be filled in."}),
        (
            {"put": "5", "hatched": "4", "hours": "400", "water": "22"},
            {"hours": "Found 400; allowed: 0.1 to 336 h"},
        ),
        (
            {"put": "5", "hatched": "4", "hours": "24", "water": "40"},
            {"water": "Found '40'; allowed: 4 to 33 °C."},
        ),
        (
            {"put": "5.5", "hatched": "x"},
            {
                "put": "Found '5.5'; allowed: a whole number, such as 21",
                "hatched": "Found 'x'; allowed: a whole number, such as 21",
            },
        ),
        (
            {"put": "50", "hatched": "12,5"},
            {"hatched": "Found '12,5'; allowed: a whole number, such as 21"},
        ),
        (
            {"put": "50", "hatched": "38", "hours": "2 days", "water": "72 °F"},
            {
                "hours": "Found '2 days'; allowed: a number, in h",
                "water": "Found '72 °F'; allowed: a number, in °C",
            },
        ),
        (
            {"put": "", "hatched": "", "hours": "", "water": ""},
            {"put": "This has to be filled in.", "hatched": "This has to be filled in."},
        ),
    ],
)
def test_what_cannot_be_has_one_line_beside_its_field_and_keeps_what_was_typed(
    browser: FlaskClient, values: dict[str, str], faults: dict[str, str]
) -> None:
    page = asked(browser, **values)
    assert dict(wrong(page)) == faults
    assert 'class="first"' not in page
    for name, value in values.items():
        assert re.search(rf'name="{name}"[^>]* value="{re.escape(value)}"', page)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    st.dictionaries(
        st.sampled_from(["put", "hatched", "hours", "water", "lot"]),
        st.one_of(st.text(max_size=12), st.floats().map(str), st.integers().map(str)),
    )
)
def test_whatever_an_address_holds_is_answered(browser: FlaskClient, values: dict[str, str]) -> None:
    sendable = {name: text.encode("utf-8", "replace").decode() for name, text in values.items()}
    page = asked(browser, **sendable)
    assert page.count("<h1") == 1
    assert ('class="first"' in page) + bool(list(wrong(page))) <= 1


@pytest.fixture(scope="module")
def of_tins(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    state = tin_station(tmp_path_factory.mktemp("shown"))
    return make_site(state, moment=lambda _state, _connection: AT).test_client()


def test_every_tin_has_its_batches_with_each_measure_in_a_column_of_its_own(of_tins: FlaskClient) -> None:
    answer = of_tins.get("/plan/tins")
    said = words(answer.text)
    assert answer.status_code == 200
    assert answer.text.count("<table") == 2
    assert answer.text.count('<th scope="col">Hatching percentage, counted</th>') == 2
    assert "old <tin>" in said
    assert "<tin>" not in answer.text
    row = re.search(r'<tr><th scope="row">tray, [^<]*</th>(.*?)</tr>', answer.text)
    assert row
    cells = [words(cell) for cell in re.findall(r"<td>([^<]*)</td>", row[1])]
    assert cells[:3] == ["1.2 g", "88 % (83 to 92); 88 of 100", "not counted"]
    assert cells[3:7] == ["20 h (19 to 21)", "25 h (24 to 26)", "32 h (31 to 33)", "12 h (12 to 12)"]


def test_the_tin_that_falls_off_and_no_other_bears_an_alarm(of_tins: FlaskClient) -> None:
    page = of_tins.get("/plan/tins").text
    assert page.count('<p class="fault">This tin falls off') == 1
    assert page.index("<h2>spring</h2>") < page.index("falls off") < page.index("<h2>unused</h2>")


@pytest.mark.parametrize(
    "address",
    [
        "/plan/dose?vessels=1&volume_ml=200&way=animals&amount=20",
        "/plan/cone?volume_ml=1000&cysts_g=2&water_c=27",
        "/plan/start?day=2027-02-10&from=10:00&to=10:45&water=24",
    ],
)
def test_a_plan_with_a_tin_that_falls_off_says_so_once(of_tins: FlaskClient, address: str) -> None:
    falling, unused = (words(of_tins.get(f"{address}&lot={lot}").text) for lot in ("spring", "unused"))
    assert falling.count("spring: This tin falls off: over 5 counts from about 88 % to about 25 %.") == 1
    assert "falls off" not in unused


def test_a_count_without_readings_says_so_and_is_not_used(tmp_path: Path) -> None:
    state = tin_station(tmp_path, watched=False)
    page = make_site(state, moment=lambda _state, _connection: AT).test_client().get("/plan/tins")
    assert "88 % (83 to 92); 88 of 100; warmth not known, not used" in words(page.text)
    assert "In 5 batches the warmth of the water is not known" in words(page.text)
    assert "too early" not in page.text
    assert "falls off" not in page.text


def test_without_tins_it_says_where_they_are_named(tmp_path: Path) -> None:
    page = page_of(tmp_path).get("/plan/tins").text
    assert "No tin is named yet" in page
    assert "What the words mean" not in page


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        yield room


KEPT = {"put": "50", "hatched": "38", "hours": "48", "water": "25", "lot": "blue tin"}


def kept_in(room: Room) -> list[tuple[object, ...]]:
    return room.rows("SELECT lot, put, hatched, hours, water_c FROM tin_test WHERE withdrawn_at IS NULL")


def test_a_test_is_kept_with_its_tin_and_taken_back_by_who_gave_the_pin(room: Room) -> None:
    asked_for = "&".join(f"{name}={value.replace(' ', '+')}" for name, value in KEPT.items())
    page = room.get(f"/plan/tin?{asked_for}").text
    assert 'action="/plan/tin/keep"' in page
    answer = room.post("/plan/tin/keep", **KEPT)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/plan/tins?done=kept")
    assert kept_in(room) == [("blue tin", 50, 38, 48.0, 25.0)]
    again = room.post("/plan/tin/keep", **KEPT)  # a double tap
    assert again.headers["Location"] == "/plan/tins?done=kept-already"
    assert "Was it a second dish?" in main_of(room.get("/plan/tins?done=kept-already"))
    assert len(kept_in(room)) == 1
    assert room.post("/plan/tin/keep", **{**KEPT, "umbrella": "2", "full_left": "6"}).status_code == 303
    staged = (
        "38 of 50 hatched after 48 h at 25.0 °C. In the umbrella stage: 2. Of full cysts: 83 % (74 to 89)."
    )
    assert staged in main_of(room.get("/plan/tins"))
    room.post("/plan/tins/back", id="2")
    shown = main_of(room.get("/plan/tins?done=kept"))
    assert "The test is kept with its tin." in shown
    assert "38 of 50 hatched after 48 h at 25.0 °C." in shown
    assert room.post("/plan/tins/back", id="1").headers["Location"] == "/plan/tins?done=withdrawn"
    assert kept_in(room) == []
    assert room.post("/plan/tins/back", id="1").status_code == 400


def test_a_name_in_another_spelling_is_asked_about_and_kept_where_it_is_a_new_tin(room: Room) -> None:
    room.post("/plan/tin/keep", **KEPT)
    answer = room.post("/plan/tin/keep", **{**KEPT, "lot": "Blue-Tin"})
    assert answer.status_code == 422
    assert "No tin was called Blue-Tin before: did you mean blue tin? Nothing is kept yet." in main_of(answer)
    assert 'name="new_tin" value="Blue-Tin"' in answer.text
    assert len(kept_in(room)) == 1
    of_another = room.post("/plan/tin/keep", **{**KEPT, "lot": "Bluetin", "new_tin": "Blue-Tin"})
    assert (of_another.status_code, len(kept_in(room))) == (422, 1)
    sure = room.post("/plan/tin/keep", **{**KEPT, "lot": "Blue-Tin", "new_tin": "Blue-Tin"})
    assert sure.headers["Location"] == "/plan/tins?done=kept"
    assert len(kept_in(room)) == 2


def test_who_gave_no_pin_keeps_nothing_and_may_calculate(room: Room) -> None:
    room.signed_out()
    assert room.post("/plan/tin/keep", **KEPT).status_code in (303, 401, 403)
    assert kept_in(room) == []
    page = room.get("/plan/tin?put=50&hatched=38&hours=48&water=25").text
    assert "Sign in to keep it" in page
    assert 'action="/plan/tin/keep"' not in page


@pytest.mark.parametrize(
    ("changed", "line"),
    [
        ({"lot": ""}, "This has to be filled in."),
        ({"lot": "a;b"}, "No semicolon, please"),
        ({"hatched": "60"}, "Found 60; allowed: 0 to 50 animals"),
        ({"hours": "", "water": ""}, "With its hours and its warmth a test can be kept."),
    ],
)
def test_what_is_missing_is_said_beside_its_field_and_nothing_is_kept(
    room: Room, changed: dict[str, str], line: str
) -> None:
    answer = room.post("/plan/tin/keep", **{**KEPT, **changed})
    assert answer.status_code == 422
    assert line in main_of(answer)
    assert "Nothing was noted yet: see below." in main_of(answer)
    assert kept_in(room) == []


def test_what_the_daemon_refuses_is_said_above_the_form(room: Room) -> None:
    answer = room.post("/plan/tin/keep", **{**KEPT, "lot": "x" * 81})
    assert answer.status_code == 400
    assert "Nothing was done." in main_of(answer)
    assert kept_in(room) == []


def test_without_a_daemon_it_says_that_nothing_was_done(tmp_path: Path) -> None:
    with cold_room(tmp_path, at_home=False) as room:
        answer = room.post("/plan/tin/keep", **KEPT)
        assert answer.status_code == 503
        assert "Nothing was done." in main_of(answer)
        assert 'value="50"' in answer.text
