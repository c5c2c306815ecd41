"""The dose card on the page: filled in, worked out, and what is wrong said beside its field."""

import json
import re
from html import unescape
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.page.site import make_site
from tests.kit.command_line import naupliad
from tests.kit.plan_pages import begun_page, view_of, words
from tests.kit.station import probe, station_text, vessel
from tests.kit.tin_station import tin_station

AT = 1_800_000_000
CUPS = {
    "vessels": "28",
    "volume_ml": "200",
    "salt_g_per_l": "30",
    "salt_means": "in",
    "soda_g_per_l": "0.5",
    "way": "animals",
    "amount": "60",
    "hydrometer": "25/20",
    "water_c": "22",
}
OPTIONS = (
    *("--vessels", "28", "--volume-ml", "200", "--salt-g-per-l", "30", "--animals", "60"),
    *("--hydrometer", "25/20", "--water-c", "22"),
)


def page_of(folder: Path, **keys: object) -> FlaskClient:
    text = station_text(
        *(probe("water"), probe("jar-water"), probe("cone-water")),
        *(vessel("tray-a", "water", count=24), vessel("jar", "jar-water", kind="jar", mark_ml=900.0)),
        vessel("cone", "cone-water", kind="cone", mark_ml=1500.0),
        **keys,  # type: ignore[arg-type]  # keys of a table
    )
    return begun_page(folder, text, AT)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("station"))


def asked(page: FlaskClient, **values: str) -> str:
    return view_of(page, "/plan/dose", **{**CUPS, **values})


def test_the_hub_leads_to_it_and_it_to_the_sheet_of_the_station_s_vessels(page: FlaskClient) -> None:
    assert 'href="/plan/dose"' in page.get("/plan").text
    assert 'href="/paper/dose"' in page.get("/plan/dose").text


def test_the_page_and_the_command_say_the_same_figures(page: FlaskClient) -> None:
    told = words(asked(page))
    said = " ".join(naupliad("plan", "dose", *OPTIONS).out.split())
    for sentence in re.findall(r"(?:Stir|Check|Each of|For at least|Salt:) [^.]+\.[^.]+\.", said):
        assert sentence in told
    found = json.loads(naupliad("plan", "dose", *OPTIONS, "--json").out)
    assert f"{found['hydrometer']['reading']:.3f}" in told
    assert "168 g" in told


@pytest.mark.parametrize(
    ("vessel", "filled"),
    [("", ("24", "250", "g-per-l")), ("jar", ("1", "900", "g-per-l")), ("cone", ("1", "1500", "none"))],
)
def test_it_is_filled_in_for_a_vessel_of_the_station(
    page: FlaskClient, vessel: str, filled: tuple[str, str, str]
) -> None:
    html = page.get(f"/plan/dose?vessel={vessel}").text
    assert re.search(rf'name="vessels"[^>]* value="{filled[0]}"', html)
    assert re.search(rf'name="volume_ml"[^>]* value="{filled[1]}"', html)
    assert f'<option value="{filled[2]}" selected>' in html


def test_a_tin_of_the_care_log_brings_what_was_counted_of_it(tmp_path: Path) -> None:
    state = tin_station(tmp_path, (70, 74, 68, 71, 69), played=True)
    page = make_site(state).test_client()
    assert '<option value="spring">' in page.get("/plan/dose").text
    said = naupliad("plan", "dose", *OPTIONS, "--state", state, "--lot", "spring").out
    expected = re.search(r"Each of [^.]+\.", " ".join(said.split()))
    assert expected
    assert expected[0] in words(asked(page, lot="spring"))
    assert expected[0] not in words(asked(page))


def test_a_vessel_that_is_none_is_not_there(page: FlaskClient) -> None:
    assert page.get("/plan/dose?vessel=none-such").status_code == 404


def test_what_is_wrong_is_said_beside_each_field_and_nothing_is_worked_out(page: FlaskClient) -> None:
    html = asked(page, vessels="many", volume_ml="0", share="100", hydrometer="7", amount="")
    faults = re.findall(r'<p class="wrong" id="(\w+)-fault">([^<]+)</p>', html)
    assert {name for name, _ in faults} == {"vessels", "volume_ml", "share", "hydrometer", "amount"}
    assert ("volume_ml", "From 1 to 1000000 mL, please.") in faults
    assert "What to buy" not in html
    assert 'value="many"' in html


@pytest.mark.parametrize("name", ["vessels", "volume_ml", "salt_g_per_l", "amount", "water_c", "hydrometer"])
def test_one_wrong_field_is_enough_to_work_nothing_out(page: FlaskClient, name: str) -> None:
    html = asked(page, **{name: "-1"})
    assert f'id="{name}-fault"' in html
    assert html.count('class="wrong"') == 1
    assert "What to buy" not in html


def test_a_decimal_comma_is_a_decimal_mark(page: FlaskClient) -> None:
    assert "0.5 g" in words(asked(page, salt_g_per_l="2,5"))
    assert words(asked(page, salt_g_per_l="2,5")).replace("2,5", "2.5") == words(
        asked(page, salt_g_per_l="2.5")
    )


@pytest.fixture(scope="module")
def american(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("fahrenheit"), temperature_unit="F")


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("german"), language="de")


def faults(html: str) -> dict[str, str]:
    return {
        name: unescape(line)
        for name, line in re.findall(r'<p class="wrong" id="(\w+)-fault">([^<]+)</p>', html)
    }


def test_a_station_in_fahrenheit_asks_and_takes_fahrenheit(american: FlaskClient, page: FlaskClient) -> None:
    told = asked(american, water_c="71.6")
    assert faults(told) == {}
    assert "in °F" in words(told)
    assert "of 72 °F it should read" in words(told)
    reading = re.compile(r"it should read ([0-9.]+)")
    assert reading.findall(words(told)) == reading.findall(words(asked(page, water_c="22")))
    assert faults(asked(american, water_c="22")) == {"water_c": "From 41 to 95 °F, please."}
    assert re.search(r'name="water_c"[^>]* value="77"', american.get("/plan/dose").text)


def test_a_hydrometer_marked_in_fahrenheit_is_taken(american: FlaskClient) -> None:
    """60 °F are 15.56 °C, by the definition of the degree Fahrenheit."""
    told = words(asked(american, hydrometer="60/60", water_c="60"))
    assert "Check with a hydrometer marked 60/60 °F. In this brine of 60 °F it should read" in told


def test_vessels_are_counted_whole(page: FlaskClient) -> None:
    for typed in ("2.5", "", "two"):
        assert faults(asked(page, vessels=typed)) == {"vessels": "Write a whole number, such as 28."}
    assert faults(asked(page, vessels="0")) == {"vessels": "From 1 to 2000, please."}


def test_thousands_and_decimals_are_not_taken_for_each_other(german: FlaskClient, page: FlaskClient) -> None:
    assert faults(asked(german, volume_ml="1.500")) == {
        "volume_ml": "Gefunden '1.500'; erlaubt: 1500 oder 1,5, was gemeint ist."
    }
    assert set(faults(asked(page, volume_ml="1,500"))) == {"volume_ml"}
    assert faults(asked(page, volume_ml="1.500")) == {}


def test_a_german_form_is_filled_in_with_decimal_commas(german: FlaskClient) -> None:
    html = german.get("/plan/dose").text
    assert re.search(r'name="soda_g_per_l"[^>]* value="0,5"', html)
    assert re.search(r'name="amount"[^>]* value="0,2"', html)


def test_a_number_is_taken_with_its_unit_and_no_other(page: FlaskClient) -> None:
    pasted = asked(page, volume_ml="200 mL", water_c="22 °C", salt_g_per_l="30g/l", share="76 %")
    assert faults(pasted) == {}
    bare = asked(page, volume_ml="200", water_c="22", salt_g_per_l="30", share="76")
    assert words(pasted) == words(bare)
    assert faults(asked(page, way="g", amount="0.05 g")) == {}
    assert faults(asked(page, volume_ml="2 L", water_c="72 °F")) == {
        "volume_ml": "Found '2 L'; allowed: a number, in mL.",
        "water_c": "Found '72 °F'; allowed: a number, in °C.",
    }


def test_no_pin_is_needed_and_nothing_is_written(tmp_path: Path) -> None:
    page = page_of(tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.glob("station.db*")}
    assert "What to buy" in asked(page)
    assert {path: path.read_bytes() for path in tmp_path.glob("station.db*")} == before


def test_it_speaks_the_station_s_language(tmp_path: Path) -> None:
    told = words(asked(page_of(tmp_path, language="de")))
    assert "Einkauf" in told
    assert "What" not in told


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from([*CUPS, "share", "cysts_per_g"]), st.text(max_size=50), max_size=4))
def test_whatever_is_typed_is_answered_and_runs_nothing(page: FlaskClient, typed: dict[str, str]) -> None:
    html = asked(page, **{name: f"{text}<script>" for name, text in typed.items()})
    assert "<script>" not in html
    assert asked(page, **typed)
