"""naupliad plan dose: the card and its JSON, from options alone and from a station file."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.amounts import litres
from tests.kit.checkout import REFERENCE
from tests.kit.command_line import Said, naupliad
from tests.kit.station import station_text
from tests.kit.tin_station import tin_station

CUPS = ("--vessels", "28", "--volume-ml", "200", "--salt-g-per-l", "30", "--soda-g-per-l", "0.5")


def dose(*words: str | Path) -> Said:
    return naupliad("plan", "dose", *words)


def answer(*words: str | Path) -> dict[str, Any]:
    said = dose(*words, "--json")
    assert (said.code, said.err) == (0, "")
    found: dict[str, Any] = json.loads(said.out)
    return found


def on_one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(
    "cysts",
    [
        (),
        ("--cysts", "100"),
        ("--cysts-g-per-l", "1"),
        ("--cysts-g", "0.05"),
        ("--pinches", "1"),
        ("--animals", "200"),
        ("--lot", "spring"),
    ],
)
def test_the_contract_s_words_and_figures(cysts: tuple[str, ...]) -> None:
    found = answer(*CUPS, *cysts)
    assert (found["salt_g_each"], found["salt_g_all"], found["water_ml_all"]) == (6.0, 168.0, 5600)
    assert (found["soda_g_each"], found["soda_g_all"]) == (0.1, 2.8)
    grams = found["cysts_g_each"]
    assert 0.0 < grams["p10"] <= grams["p50"] <= grams["p90"]


def test_cysts_are_asked_for_in_one_way_or_the_usual_one() -> None:
    assert answer(*CUPS)["cysts_g_each"]["p50"] == pytest.approx(0.04)  # 0.2 g/L [P]
    assert answer(*CUPS, "--cysts-g-per-l", "1")["cysts_g_each"]["p50"] == pytest.approx(0.2)
    assert answer(*CUPS, "--cysts", "100")["cysts_each"]["p50"] == 100
    assert answer(*CUPS, "--animals", "200")["animals_each"]["p50"] == pytest.approx(200, rel=0.02)
    said = dose(*CUPS, "--cysts", "100", "--animals", "200")
    assert (said.code, said.faults) == (2, ["plan dose: found --cysts, --animals; allowed: one of them"])


@pytest.mark.parametrize(
    ("given", "more"),
    [((), ()), (("--salt-means", "to"), ()), (("--animals", "60"), ()), (("--pinches", "1"), ())],
)
def test_the_card_and_the_json_say_the_same_figures(given: tuple[str, ...], more: tuple[str, ...]) -> None:
    found, card = answer(*CUPS, *given), on_one_line(dose(*CUPS, *given).out)
    assert f"{found['salt_g_all']:g} g" in card
    assert f"{found['soda_g_all']:g} g" in card
    assert f"{found['hydrometer']['reading']:.3f}" in card
    assert f"{found['salinity_g_per_kg']:.1f} g of salt in a kg" in card
    assert f"Salt: {found['buy']['salt_g']:g} g." in card
    for one in found["salt_spoons_each"]:
        assert f"level teaspoon{'s' if one['number'] > 1 else ''}: " in card
    likely = re.search(r"about ([\d ]+) \(", card)
    assert likely
    assert float(likely[1].replace(" ", "")) == pytest.approx(found["animals_each"]["p50"], rel=0.05)


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 400), st.integers(20, 5000), st.integers(1, 45), st.sampled_from(["in", "to"]))
def test_whatever_is_asked_card_and_json_say_one_figure(vessels: int, ml: int, salt: int, meant: str) -> None:
    asked = (
        "--vessels",
        str(vessels),
        "--volume-ml",
        str(ml),
        "--salt-g-per-l",
        str(salt),
        "--salt-means",
        meant,
    )
    found, card = answer(*asked), on_one_line(dose(*asked).out)
    assert found["salt_g_all"] == pytest.approx(salt * ml / 1000 * vessels)
    stirred = re.search(r"Stir ([0-9.]+) g of salt", card)
    assert stirred
    assert float(stirred[1]) == pytest.approx(found["salt_g_all"], rel=0.006, abs=0.001)  # three figures
    assert f"{found['hydrometer']['reading']:.3f};" in card
    assert f"Plain water: {litres(found['buy']['water_ml'])}." in card
    assert found["water_ml_all"] <= found["buy"]["water_ml"]


def test_a_card_fits_a_narrow_screen_and_names_what_to_do_in_order() -> None:
    said = dose(*CUPS).out
    assert max(map(len, said.splitlines())) <= 80
    steps = re.findall(r"^(\d)\. (\w+)", said, re.MULTILINE)
    assert steps == [("1", "Let"), ("2", "Stir"), ("3", "Check"), ("4", "Share"), ("5", "Give")]
    assert "Wash your hands after." in said


def test_too_few_to_weigh_are_counted_or_shared_out_from_the_brine() -> None:
    assert "Count the cysts" in dose("--volume-ml", "200", "--cysts", "50").out
    assert "0.056 g into 280 mL" in on_one_line(dose(*CUPS, "--cysts-g", "0.002").out)


def test_a_station_s_vessels_are_filled_to_their_marks_and_spoken_of_in_its_language(tmp_path: Path) -> None:
    found = answer("--config", REFERENCE / "station.example.toml")
    assert [one["of"] for one in found["doses"]] == [["tray-a"], ["jar-b"], ["cone-c"]]
    assert found["salt_g_all"] == pytest.approx(sum(one["salt_g_all"] for one in found["doses"]))
    assert found["doses"][2]["cysts_g_each"] is None  # nobody's usual dose is that of a cone
    one = answer("--config", REFERENCE / "station.example.toml", "--vessel", "jar-b")
    assert (one["of"], one["salt_g_each"]) == (["jar-b"], 45.0)
    (tmp_path / "station.toml").write_text(station_text(language="de"), encoding="utf-8")
    assert "Salz" in dose("--config", tmp_path / "station.toml").out


def test_what_was_counted_of_a_tin_makes_the_dose_surer_and_its_gram_is_the_file_s(tmp_path: Path) -> None:
    """69 to 74 of 100 hatched in five batches, 252,678 in a gram as its station file says."""
    state = tin_station(tmp_path, (70, 74, 68, 71, 69), played=True)
    options = ("--volume-ml", "250", "--animals", "100", "--state", state)
    known, other = answer(*options, "--lot", "spring"), answer(*options, "--lot", "unused")
    assert known["cysts_g_each"]["p50"] == pytest.approx(100 / 0.70 / 252_678, rel=0.05)
    for one, wide in ((known, 2.0), (other, 5.0)):
        times = one["cysts_g_each"]["p90"] / one["cysts_g_each"]["p10"]
        assert (times < wide) is (one is known)
    assert "Tins differ" not in dose(*options, "--lot", "spring").out
    assert "Tins differ" in dose(*options, "--lot", "unused").out
    given = answer(*options, "--lot", "spring", "--hatchable-fraction", "0.9", "--cysts-per-g", "300000")
    assert given["cysts_g_each"]["p50"] == pytest.approx(100 / 0.9 / 300_000, rel=0.05)


def test_a_mistyped_tin_is_said_to_be_none_and_taken_as_any(tmp_path: Path) -> None:
    state = tin_station(tmp_path, played=True)
    options = ("--volume-ml", "250", "--state", state)
    said = on_one_line(dose(*options, "--lot", "spring tin").out)
    line = "No tin spring tin is known: did you mean spring? It is taken as any tin."
    assert line in said.replace("old <tin>", "old tin")
    assert said.index("No tin") < said.index("Stir")
    assert answer(*options, "--lot", "spring tin")["unknown_lot"] == "spring tin"
    assert "unknown_lot" not in answer(*options, "--lot", "spring")
    assert "No tin" not in dose(*options, "--lot", "spring").out


def test_without_salt_nothing_is_stirred_in_and_cysts_are_said_to_need_it() -> None:
    fresh = on_one_line(dose("--volume-ml", "200", "--salt-g-per-l", "0").out)
    assert fresh.index("Cysts need salt: 5 to 35 g in a kg of brine") < fresh.index("How")
    assert "of salt" not in fresh.split("How")[1].split("What to expect")[0]
    assert "Salt: 0" not in fresh
    assert "Stir 0.1 g of baking soda into 200 mL" in fresh
    assert "Stir" not in dose("--volume-ml", "200", "--salt-g-per-l", "0", "--soda-g-per-l", "0").out


def test_a_cone_s_cysts_are_left_open_and_said_where_to_be_found() -> None:
    said = on_one_line(dose("--config", REFERENCE / "station.example.toml").out)
    assert "Cysts for cone-c are not in this list: `naupliad plan cone` says" in said
    row = next(line for line in said.split(" cone-c: ")[1:])
    assert "–" in row.split("How")[0]
    assert "are not in this list" not in dose(*CUPS).out


def test_a_dose_below_a_pinch_and_a_list_below_a_tin_are_said_so() -> None:
    said = on_one_line(dose(*CUPS).out)
    assert "A small pinch is about 0.08 g" in said
    assert "Each takes about ½ pinch." in said
    assert "Nobody sells so few: the smallest tin, of some grams, is enough." in said
    assert "Nobody sells" not in dose(*CUPS, "--cysts-g", "1").out
    assert "Each takes" not in dose("--config", REFERENCE / "station.example.toml").out


def test_numbers_are_taken_with_their_unit_and_a_decimal_comma() -> None:
    pasted = dose("--volume-ml", "200 mL", "--salt-g-per-l", "2,5 g/L", "--water-c", "22°C")
    assert (pasted.code, pasted.err) == (0, "")
    assert pasted.out == dose("--volume-ml", "200", "--salt-g-per-l", "2.5", "--water-c", "22").out


def test_the_salt_for_a_wanted_reading_gives_that_reading() -> None:
    words = ("--volume-ml", "1000", "--reading", "1.018", "--hydrometer", "60/60 °F", "--water-c", "23.9")
    for means in ("in", "to"):
        found = answer(*words, "--salt-means", means)
        assert found["hydrometer"]["reading"] == pytest.approx(1.018, abs=1e-5)
        # 1.018 × 999.0 kg/m³ (water of 60 °F) less 997.3 (of 75 °F), at 0.755 kg/m³ a g/kg: 26 [C].
        assert 24.0 < found["salinity_g_per_kg"] < 28.0
    both = dose(*words, "--salt-g-per-l", "25")
    assert both.faults == ["plan dose: found --reading beside --salt-g-per-l; allowed: one of them"]
    assert len(dose("--volume-ml", "1000", "--reading", "1.5").faults) == 1


def test_a_hydrometer_marked_in_fahrenheit_is_named_as_it_is_marked() -> None:
    found = answer("--volume-ml", "200", "--hydrometer", "60/60 °F")["hydrometer"]
    assert found["calibrated_c"] == pytest.approx(15.56, abs=0.01)
    card = on_one_line(dose("--volume-ml", "200", "--hydrometer", "60/60").out)
    assert f"marked 60/60 °F. In this brine of 25 °C it should read {found['reading']:.3f}" in card


def test_of_a_tin_that_falls_off_more_is_set(tmp_path: Path) -> None:
    falling = tin_station(tmp_path, played=True)  # 88 of 100, then 80, 66, 45, 25
    found = answer("--volume-ml", "250", "--animals", "100", "--state", falling, "--lot", "spring")
    assert found["cysts_g_each"]["p50"] > 1.8 * 100 / 0.88 / 252_678


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("--volume-ml", "0"), "plan dose: volume is 0 mL; allowed is 1 to 1000000 mL"),
        (
            ("--volume-ml", "10000000"),
            "plan dose: volume is 10000000 mL; allowed is 1 to 1000000 mL",
        ),
        (
            ("--volume-ml", "nan"),
            "plan dose: --volume-ml: found 'nan'; allowed: a number in mL or L, such as 200",
        ),
        (
            ("--volume-ml", "2 gal"),
            "plan dose: --volume-ml: found '2 gal'; allowed: a number in mL or L, such as 200",
        ),
        (
            ("--volume-ml", "1,500"),
            "plan dose: --volume-ml: found '1,500'; allowed: 1500 or 1.5, whichever is meant",
        ),
        (
            ("--volume-ml", "200", "--vessels", "2.5"),
            "plan dose: --vessels: found '2.5'; allowed: a whole number, such as 28",
        ),
        (("--volume-ml", "200", "--vessels", "0"), "plan dose: vessels is 0; allowed is 1 to 2000"),
        (
            ("--config", REFERENCE / "station.example.toml", "--vessels", "3"),
            "plan dose: found --vessels without --volume-ml; allowed: both, or neither with --config",
        ),
        (
            ("--config", REFERENCE / "station.example.toml", "--vessel", "jar-b", "--volume-ml", "200"),
            "plan dose: found --vessel beside --volume-ml; allowed: one of them",
        ),
        ((), "plan dose: found no --volume-ml; allowed: --volume-ml, or --config with its vessels"),
        (
            ("--volume-ml", "200", "--hydrometer", "1.025"),
            (
                "plan dose: --hydrometer: found '1.025'; "
                "allowed: 25/20 as printed in °C, 60/60 °F, g/mL 20, or ppt 25"
            ),
        ),
        (
            ("--volume-ml", "200", "--hatchable-fraction", "76"),
            "plan dose: hatchable share is 76; allowed is 0.01 to 0.99",
        ),
        (
            ("--config", REFERENCE / "station.example.toml", "--vessel", "jar"),
            "plan dose: --vessel: found 'jar'; allowed: tray-a, jar-b, cone-c",
        ),
    ],
)
def test_what_is_wrong_is_said_in_one_line(words: tuple[str | Path, ...], fault: str) -> None:
    said = dose(*words)
    assert (said.code, said.out, said.faults) == (2, "", [fault])


def test_the_shopping_names_vessels_thermometer_and_lamp_too() -> None:
    out = naupliad("plan", "dose", "--vessels", "28", "--volume-ml", "200").out
    assert "28 clear vessels, a thermometer, a bright LED lamp, a torch." in " ".join(out.split())
