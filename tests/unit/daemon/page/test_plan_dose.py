"""The dose card on the page: filled in, worked out, and what is wrong said beside its field."""

import json
import re
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.page.site import make_site
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from tests.kit.command_line import naupliad
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
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, AT, text)
    store.close()
    return make_site(folder, moment=lambda _state, _connection: AT).test_client()


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return page_of(tmp_path_factory.mktemp("station"))


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def asked(page: FlaskClient, **values: str) -> str:
    answer = page.get(f"/plan/dose?{urlencode({**CUPS, **values})}")
    assert answer.status_code == 200
    return answer.text


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
    assert ("volume_ml", "From 1 to 1000000, please.") in faults
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
