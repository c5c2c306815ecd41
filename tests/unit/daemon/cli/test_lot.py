"""`naupliad lot`: what it says of a tin, to people and to programs."""

import json
from pathlib import Path

import pytest

from tests.kit.command_line import naupliad
from tests.kit.station import probe, station_text, table, vessel


def test_the_test_answers_programs_as_the_contract_has_it() -> None:
    said = naupliad("lot", "test", "--put", "50", "--hatched", "38", "--json")
    answer = json.loads(said.out)
    assert (said.code, said.err) == (0, "")
    assert (answer["share"], answer["verdict"]) == (0.76, "go")
    # Newcombe 1998, method 3, by scipy.stats.binomtest(38, 50).proportion_ci(method="wilson").
    assert (answer["low"], answer["high"]) == pytest.approx((0.625873, 0.857026), abs=1e-6)
    assert answer["enough_h"].keys() == {"20", "22", "25", "28"}


def test_with_hours_and_warmth_it_may_ask_for_more_time() -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "20", "--hours", "20", "--water-c", "20")
    answer = json.loads(naupliad(*words, "--json").out)
    assert (answer["verdict"], answer["long_enough"]) == ("more time", False)
    assert answer["share_in_the_end"]["p10"] > answer["share"]
    said = naupliad(*words).out.splitlines()
    assert said[0] == "Too early to say: give it more time."
    assert any(line.startswith(f"Look again {-(-answer['enough_h'] // 1):.0f} hours after") for line in said)


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--put", "50", "--hatched", "38"), "For 20 animals in a cup: about 27 cysts (24 to 32)."),
        (("--put", "50", "--hatched", "20"), "count"),
        (("--put", "50", "--hatched", "25"), "near to half"),
        (("--put", "50", "--hatched", "1"), "Too few hatch"),
        (
            ("--put", "50", "--hatched", "1", "--hours", "60", "--water-c", "10"),
            "keep the dish at 20 to 28 °C",
        ),
    ],
)
def test_it_says_what_to_do_next(words: tuple[str, ...], line: str) -> None:
    said = naupliad("lot", "test", *words)
    assert (said.code, said.err) == (0, "")
    assert line in said.out


@pytest.fixture
def station_file(tmp_path: Path) -> Path:
    lots = (
        table("[[lot]]", id="early", strain="pozos-colorados"),
        table("[[lot]]", id="late", strain="great-salt-lake", opened="2001-01-01"),
    )
    path = tmp_path / "station.toml"
    cup = (probe("water"), vessel("cup", "water"))
    path.write_text(station_text(*cup, *lots, language="de", temperature_unit="F"), encoding="utf-8")
    return path


def test_a_named_tin_is_judged_by_its_strain_in_the_stations_language_and_unit(station_file: Path) -> None:
    words = ("lot", "test", "--put", "50", "--hatched", "20", "--hours", "30", "--water-c", "25")
    early, late = (
        json.loads(naupliad(*words, "--config", station_file, "--lot", lot, "--json").out)
        for lot in ("early", "late")
    )
    assert (early["verdict"], late["verdict"]) == ("count more", "more time")
    said = naupliad(*words, "--config", station_file, "--lot", "late").out
    assert "77" in said  # 25 °C in °F
    assert "hours" not in said


def test_a_tin_that_nobody_named_is_refused_with_those_there_are(station_file: Path) -> None:
    said = naupliad("lot", "test", "--put", "5", "--hatched", "4", "--lot", "blue", "--config", station_file)
    assert (said.code, said.out) == (2, "")
    assert said.err == "--lot: found 'blue'; allowed: early, late\n"


def test_what_cannot_be_is_refused_with_a_line_for_each_fault() -> None:
    said = naupliad("lot", "test", "--put", "5", "--hatched", "6", "--hours", "nan")
    assert (said.code, said.out, len(said.faults)) == (2, "", 3)
    assert said.faults[0] == "--hatched: found 6; allowed: 0 to 5 animals"
