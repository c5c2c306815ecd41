"""naupliad plan cone: the card and its JSON, from options alone and by a station's cone and hours."""

import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from daemon.care.deed import Deed
from daemon.config import read_station
from daemon.hours import is_attended
from daemon.page.cone import cone_figures
from daemon.planning.cone import ConeWish, planned_cone
from daemon.planning.tin_yield import any_tin
from daemon.science.hatching import NOT_KNOWN_ABOVE_C
from daemon.science.strains import UNKNOWN
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import SUMMARY, WritingStore
from reports.planning.card import PlanReader, as_text
from reports.planning.cone import cone_card
from sensors.reading import Quality, Reading
from tests.kit.checkout import REFERENCE
from tests.kit.command_line import Said, naupliad
from tests.kit.station import SCHOOL_HOURS, station_text

CONE = ("--volume-ml", "1500", "--cysts-g", "3", "--water-c", "27")
STATION = REFERENCE / "station.example.toml"


def cone(*words: str | Path) -> Said:
    return naupliad("plan", "cone", *words)


def answer(*words: str | Path) -> dict[str, Any]:
    said = cone(*words, "--json")
    assert (said.code, said.err) == (0, "")
    found: dict[str, Any] = json.loads(said.out)
    return found


def test_the_card_and_the_json_say_the_same_figures() -> None:
    found, card = answer(*CONE), " ".join(cone(*CONE).out.split())
    for key in ("half_hatched_h", "harvest_opens_h", "harvest_closes_h"):
        hours = found[key]
        assert hours["p10"] < hours["p50"] < hours["p90"]
        assert f"{hours['p50']:.0f} h {hours['p10']:.0f} to {hours['p90']:.0f} h" in card
    animals = float(f"{found['animals']['p50']:.2g}")
    assert f"About {animals:,.0f} (".replace(",", " ") in card
    assert f"take {found['hold_ml']['p50']:.2g} mL" in card
    assert found["two_harvests"] is False
    assert "Draw it off once" in card


def test_a_spread_hatch_is_drawn_off_twice() -> None:
    found = answer(*CONE, "--strain", "san-francisco-bay")
    assert found["two_harvests"] is True
    assert found["first_harvest_h"]["p50"] < found["harvest_opens_h"]["p50"]
    assert "Draw it off twice" in cone(*CONE, "--strain", "san-francisco-bay").out


def test_too_many_cysts_are_said_to_have_too_little_air() -> None:
    assert answer("--volume-ml", "1500", "--cysts-g", "8", "--water-c", "27")["air_enough"] is False
    assert "Over 7.5 g" in cone("--volume-ml", "1500", "--cysts-g", "8", "--water-c", "27").out


def test_what_is_wrong_with_a_cone_stands_above_its_steps() -> None:
    said = " ".join(cone("--volume-ml", "1500", "--cysts-g", "8", "--water-c", "27").out.split())
    assert said.index("may have too little air") < said.index("Fill in")
    fresh = " ".join(cone(*CONE, "--salt-g-per-l", "0").out.split())
    assert fresh.index("Cysts need salt: 5 to 35 g in a kg of brine") < fresh.index("Fill in")
    assert "With less, no hour and no number of animals on this card holds." in fresh
    assert answer(*CONE, "--salt-g-per-l", "0")["salt_g_per_kg"] == 0.0
    assert "First of all" not in cone(*CONE).out


def test_one_tin_in_ten_is_spoken_of_as_one() -> None:
    plan = planned_cone(ConeWish(1500.0, 3.0, 27.0, UNKNOWN, any_tin()))
    figures = cone_figures(plan, heated=True)
    assert figures.two
    for language, one, several in (
        ("en", "1 tin in ten hatches", "4 tins in ten hatch "),
        ("de", "1 von zehn Dosen schlüpft", "4 von zehn Dosen schlüpfen"),
    ):
        for chance, words in ((0.1, one), (0.363, several)):
            spread = replace(figures, two=replace(figures.two, chance=chance))
            assert words in as_text(cone_card(PlanReader(language), spread))


def test_a_mistyped_tin_is_said_to_be_none(tmp_path: Path) -> None:
    said = " ".join(cone(*CONE, "--lot", "Spring tin").out.split())
    assert "No tin Spring tin is known: it is taken as any tin." in said
    assert answer(*CONE, "--lot", "Spring tin")["unknown_lot"] == "Spring tin"


@pytest.fixture(scope="module")
def watched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A state folder: a cup of the spring tin that hatched quickly, in water of 26 °C."""
    folder = tmp_path_factory.mktemp("watched")
    set_at = 1_806_000_000
    text = station_text(every_s=600) + '\n[[lot]]\nid = "unused"\nstrain = "great-salt-lake"\n'
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, set_at, text)
        deed_store.add(connection, Deed(set_at, "cup", "set", 0.05, {"lot": "spring"}), set_at)
        for hours, deed, share in ((10, "first-swimmer", None), (13, "hatched", 0.5), (17, "hatched", 0.9)):
            at = set_at + hours * 3600
            deed_store.add(connection, Deed(at, "cup", deed, share), at)
        for at in range(set_at, set_at + 40 * 3600, 600):
            reading_store.add(connection, [Reading(at, "cup-water", 26.0, Quality.GOOD)])
    store.close()
    (folder / SUMMARY).write_text("{}", encoding="utf-8")
    return folder


def test_a_tin_whose_hatch_was_watched_counts_before_what_is_published(watched: Path) -> None:
    at_large, own = answer(*CONE), answer(*CONE, "--lot", "spring", "--state", watched)
    assert (at_large["hatches_seen"], own["hatches_seen"]) == (0, 1)
    for key in ("half_hatched_h", "harvest_opens_h", "harvest_closes_h"):
        low, high = (own[key][end] for end in ("p10", "p90"))
        assert high - low < at_large[key]["p90"] - at_large[key]["p10"]
        assert own[key]["p50"] < at_large[key]["p50"]
    said = " ".join(cone(*CONE, "--lot", "spring", "--state", watched).out.split())
    assert "This rests on 1 hatch of spring that was watched or tested." in said
    assert "It holds for 5 to 35 g of salt in a kg of brine." in said


def test_it_is_said_what_the_hours_rest_on_and_what_is_left_out(watched: Path) -> None:
    def said(*words: str | Path) -> str:
        return " ".join(cone(*CONE, *words).out.split())

    late_h = {name: answer(*CONE, *words)["harvest_opens_h"] for name, words in _OF.items()}
    late = {name: f"{found['p90'] - found['p50']:.0f} h" for name, found in late_h.items()}
    large = f"This holds for tins at large: one in ten opens {late['large']} later than most likely, or more."
    lake = f"is published of Great Salt Lake: one tin in ten opens {late['lake']} later than most likely"
    assert large in said()
    assert lake in said("--strain", "great-salt-lake")
    station = watched / "copied.toml"
    station.write_text(station_text() + '\n[[lot]]\nid = "unused"\nstrain = "great-salt-lake"\n')
    of_file = said("--lot", "unused", "--config", station)
    assert lake in of_file
    assert "What was learned of unused is left out: no records were named." in of_file
    records = ("--state", watched)
    assert "No hatch of unused was watched or tested yet" in said("--lot", "unused", *records)
    chosen = said("--lot", "spring", "--strain", "great-salt-lake", *records)
    assert "As a strain is chosen, what was learned of spring is left out." in chosen
    assert "left out" not in said("--lot", "sprong", *records)


_OF: dict[str, tuple[str, ...]] = {"large": (), "lake": ("--strain", "great-salt-lake")}


def test_a_daily_harvest_and_what_would_do_go_by_the_tin_too(watched: Path) -> None:
    daily = (*CONE[:4], "--water-c", "24", "--daily-at", "08:00")
    large = answer(*daily)["daily"]["every_day"]
    of_tin = answer(*daily, "--state", watched, "--lot", "spring")["daily"]
    assert large["set_before_h"]
    set_harvests = [one for one in of_tin["harvests"] if one["set_at"]]
    assert set_harvests
    assert max(one["in_window_fraction"] for one in set_harvests) > large["in_window_fraction"]


def test_brine_beyond_what_is_known_is_said_to_be(tmp_path: Path) -> None:
    salty = " ".join(cone(*CONE, "--salt-g-per-l", "60").out.split())
    assert "Cysts hatch well in 5 to 35 g of salt in a kg of brine" in salty
    assert salty.index("over 85 g hardly any") < salty.index("Fill in")
    assert "First of all" not in cone(*CONE, "--salt-g-per-l", "35").out


def test_without_a_station_a_daily_harvest_is_a_rhythm() -> None:
    found = answer(*CONE, "--daily-at", "08:00")["daily"]
    hours = found["every_day"]["set_before_h"]
    assert found["cones"] == 1
    said = " ".join(cone(*CONE, "--daily-at", "08:00").out.split())
    assert f"Set a cone every day at {(32 - hours) % 24:02.0f}:00 for the next day" in said


def test_a_week_has_dates_and_says_what_it_takes() -> None:
    options = ("--cysts-g", "4", "--config", STATION, "--daily-at", "08:30")
    said = cone(*options).out
    harvests = [one for one in answer(*options)["daily"]["harvests"] if one["set_at"] is not None]
    for one in harvests:
        for moment in (one["at"], one["set_at"]):
            at = datetime.fromisoformat(moment)
            assert f"{at:%a} {at.day} {at:%b %H:%M}" in said
    together = f"{len(harvests)} harvests take {4 * len(harvests)} g of cysts."
    assert together in " ".join(said.split())
    rhythm = " ".join(cone(*CONE, "--daily-at", "08:00").out.split())
    assert "7 harvests take" in rhythm
    assert "After a harvest rinse the cone, and fill in " in rhythm


def test_by_a_station_file_the_cone_is_its_own_and_is_set_in_attended_hours() -> None:
    found = answer("--cysts-g", "3", "--config", STATION, "--daily-at", "08:30")
    assert (found["volume_ml"], found["water_c"]) == (1500.0, 27.0)
    station = read_station(STATION)
    harvests = found["daily"]["harvests"]
    assert len(harvests) == 7
    for one in harvests:
        at = datetime.fromisoformat(one["at"])
        assert at.strftime("%H:%M") == "08:30"
        assert one["attended"] is is_attended(station, int(at.timestamp()))
        if one["set_at"] is not None:
            assert is_attended(station, int(datetime.fromisoformat(one["set_at"]).timestamp()))


def test_a_harvest_that_is_not_open_by_its_hour_says_so_and_what_would_do(tmp_path: Path) -> None:
    school = tmp_path / "station.toml"
    school.write_text(station_text(attended=SCHOOL_HOURS), encoding="utf-8")
    options = ("--volume-ml", "1000", "--cysts-g", "2", "--config", school, "--daily-at", "08:00")
    found = answer(*options, "--water-c", "22")["daily"]
    early = [one for one in found["harvests"] if one["open"] is False]
    assert early
    assert all(one["hatched_fraction"]["p50"] < 0.9 for one in early)
    card = " ".join(cone(*options, "--water-c", "22").out.split())
    assert card.count("not open yet") == len(early)
    would = found["would_do"]
    assert f"Open by then: at {would['at']}, or in water held at {would['water_c']:g} °C." in card
    for better in (
        (*options[:-1], would["at"], "--water-c", "22"),
        (*options, "--water-c", f"{would['water_c']:g}"),
    ):
        done = answer(*better)["daily"]
        assert done["would_do"] is None
        assert {one["open"] for one in done["harvests"][3:]} <= {True, None}


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ((*CONE[:4], "--water-c", "12"), "plan cone: water temperature is 12 °C; allowed is 15 to 33 °C"),
        (
            (*CONE[:4],),
            "plan cone: found no --water-c; allowed: --water-c, or --config whose cone has heater_c",
        ),
        (CONE[2:], "plan cone: found no --volume-ml; allowed: --volume-ml, or --config with a cone"),
        (
            ("--volume-ml", "2", *CONE[2:]),
            "plan cone: volume is 2 mL; allowed is 100 to 1000000 mL, and a litre is 1000 mL",
        ),
        (
            (*CONE[:4], "--water-c", "295 K"),
            "plan cone: --water-c: found '295 K'; allowed: a number in °C or °F, such as 21.5",
        ),
        ((*CONE, "--daily-at", "8 am"), "plan cone: --daily-at: found '8 am'; allowed: HH:MM, such as 08:30"),
        (
            (*CONE, "--config", STATION, "--vessel", "jar-b"),
            "plan cone: --vessel: found 'jar-b'; allowed: cone-c",
        ),
    ],
)
def test_what_is_wrong_is_said_in_one_line(words: tuple[str | Path, ...], fault: str) -> None:
    said = cone(*words)
    assert (said.code, said.out, said.faults) == (2, "", [fault])


@pytest.mark.parametrize(("water_c", "said"), [(26.0, False), (27.0, False), (28.0, True), (32.0, True)])
def test_where_sources_part_the_cone_says_so_as_a_planned_start_does(water_c: float, said: bool) -> None:
    """Within what sources agree on: 15 to 27 °C (see `daemon.science.hatching`)."""
    assert (water_c > NOT_KNOWN_ABOVE_C) == said
    out = naupliad("plan", "cone", "--volume-ml", "1000", "--cysts-g", "2", "--water-c", str(water_c)).out
    assert out
    assert ("sources part on how fast cysts hatch" in out) == said
