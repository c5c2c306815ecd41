"""A cone's card on the page: filled in, worked out, and what is wrong said beside its field."""

import re
from pathlib import Path
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.kit.command_line import naupliad
from tests.kit.page_station import cold_room
from tests.kit.plan_pages import begun_page, view_of, words, wrong
from tests.kit.station import SCHOOL_HOURS, probe, station_text, vessel

AT = 1_800_000_000  # a Friday at eight
CONE = {"volume_ml": "1500", "cysts_g": "3", "water_c": "27", "salt_g_per_l": "25"}


def page_of(folder: Path, *vessels: str, **keys: object) -> FlaskClient:
    probes = [probe(name) for name in ("water", "cone-water")]
    told = [vessel("tray-a", "water", count=24), *vessels]
    text = station_text(*probes, *told, **keys) + '\n[[lot]]\nid = "spring"\nstrain = "san-francisco-bay"\n'  # type: ignore[arg-type]
    return begun_page(folder, text, AT)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    cone = vessel("cone", "cone-water", kind="cone", mark_ml=1800.0, heater_c=28.0)
    return page_of(tmp_path_factory.mktemp("station"), cone, attended=SCHOOL_HOURS)


def asked(page: FlaskClient, **values: str) -> str:
    return view_of(page, "/plan/cone", **{**CONE, **values})


def test_the_hub_leads_to_it(page: FlaskClient) -> None:
    assert 'href="/plan/cone"' in page.get("/plan").text


def test_it_is_filled_in_for_the_station_s_cone(page: FlaskClient) -> None:
    html = page.get("/plan/cone").text
    for name, value in (("volume_ml", "1800"), ("water_c", "28"), ("cysts_g", "3.6")):
        assert re.search(rf'name="{name}"[^>]* value="{value}"', html)
    assert page.get("/plan/cone?vessel=tray-a").status_code == 404


def test_a_station_without_a_cone_plans_one_all_the_same(tmp_path: Path) -> None:
    assert "the harvest opens" in words(page_of(tmp_path).get("/plan/cone").text)


@pytest.mark.parametrize("tin", [(), ("--strain", "san-francisco-bay")])
def test_the_page_and_the_command_say_the_same_figures(page: FlaskClient, tin: tuple[str, ...]) -> None:
    options = ("--volume-ml", "1500", "--cysts-g", "3", "--water-c", "27", *tin)
    said = " ".join(naupliad("plan", "cone", *options).out.split())
    told = words(asked(page, lot="spring" if tin else ""))
    for sentence in re.findall(r"(?:Draw it|About|All of these) [^.]+\.", said):
        assert sentence in told


def test_a_week_of_harvests_is_set_in_attended_hours(page: FlaskClient) -> None:
    told = words(asked(page, daily_at="8.30"))
    assert "A harvest every day at 08:30" in told
    assert told.count("nobody is there") == 3
    assert "A harvest every day" not in words(asked(page))


def test_a_harvest_that_is_not_open_by_its_hour_says_so_and_what_would_do(page: FlaskClient) -> None:
    told = words(asked(page, water_c="22", daily_at="08:00"))
    assert "not open yet" in told
    better = re.search(r"Open by then: at (\d\d:\d\d), or in water held at (\d+) °C\.", told)
    assert better
    assert "Open by then" not in words(asked(page, water_c="22", daily_at=better[1]))
    assert "Open by then" not in words(asked(page, water_c=better[2], daily_at="08:00"))


def test_what_the_watch_learned_of_a_tin_is_in_it(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:
        room.desks.tell("set", 0.05, lot="spring")
        room.desks.live(room.desks.at + 9 * 3600, lambda _at: 26.0)
        room.desks.tell("first-swimmer")
        room.desks.live(room.desks.at + 3600, lambda _at: 26.0)
        room.now = room.desks.at
        told = words(room.get(f"/plan/cone?{urlencode({**CONE, 'lot': 'spring'})}").text)
        assert "This rests on 1 hatch of spring that was watched or tested." in told
        assert "left out" not in told


def test_where_no_watch_answers_the_card_says_what_is_left_out(page: FlaskClient) -> None:
    told = words(asked(page, lot="spring"))
    assert "This rests on what is published of San Francisco Bay" in told
    assert "What was learned of spring is left out. The watch is not running, so it cannot be asked." in told
    chosen = words(asked(page, lot="spring", strain="great-salt-lake"))
    assert "As a strain is chosen, what was learned of spring is left out." in chosen


@pytest.mark.parametrize("path", ["/plan/cone", "/plan/dose", "/plan/start", "/plan/tin"])
def test_a_tin_in_the_address_that_nobody_knows_is_said_to_be_none(page: FlaskClient, path: str) -> None:
    line = "No tin Spring <tin> is known: did you mean spring? It is taken as any tin."
    html = page.get(f"{path}?{urlencode({'lot': 'Spring <tin>'})}").text
    assert dict(wrong(html)) == {"lot": line}
    assert not dict(wrong(page.get(f"{path}?lot=spring").text))
    assert not dict(wrong(page.get(f"{path}?lot=").text))


def test_a_card_made_for_an_unknown_tin_says_so_first(page: FlaskClient, tmp_path: Path) -> None:
    html = asked(page, lot="sprong")
    assert words(html).count("No tin sprong is known: did you mean spring? It is taken as any tin.") == 2
    assert re.search(r'<details class="wished" open>', html)
    bare = begun_page(tmp_path, station_text(probe("water"), vessel("tray-a", "water")), AT)
    assert dict(wrong(asked(bare, lot="x"))) == {"lot": "No tin x is known: it is taken as any tin."}


def test_what_is_wrong_is_said_beside_each_field(page: FlaskClient) -> None:
    html = asked(page, water_c="12", cysts_g="some", daily_at="25:00")
    faults = dict(re.findall(r'<p class="wrong" id="(\w+)-fault">([^<]+)</p>', html))
    assert faults == {
        "water_c": "From 15 to 33 °C, please.",
        "cysts_g": "Write a number, such as 200 or 0.5.",
        "daily_at": "Write an hour such as 08:30.",
    }
    assert "nine in ten have hatched" not in html


def test_a_station_in_fahrenheit_asks_and_takes_fahrenheit(tmp_path: Path, page: FlaskClient) -> None:
    american = page_of(tmp_path, temperature_unit="F")
    told = words(asked(american, water_c="80.6"))
    assert "in water held at 80.6 °F" in told
    assert re.search(r"nine in ten have hatched (\d+ h)", told)[1] in words(asked(page))  # type: ignore[index]
    assert "From 59 to 91.4 °F, please." in asked(american, water_c="27")
    assert re.search(r'name="water_c"[^>]* value="80.6"', american.get("/plan/cone").text)


def test_litres_written_as_ml_are_refused(page: FlaskClient) -> None:
    html = asked(page, volume_ml="2")
    assert "From 100 to 1000000 mL, please." in html
    assert "A litre is 1000 mL." in html
    assert "Stir" not in words(html)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from([*CONE, "share", "daily_at", "strain", "lot"]), st.text(max_size=50), max_size=4
    )
)
def test_whatever_is_typed_is_answered_and_runs_nothing(page: FlaskClient, typed: dict[str, str]) -> None:
    assert "<script>" not in asked(page, **{name: f"{text}<script>" for name, text in typed.items()})
    assert asked(page, **typed)
