"""naupliad experiment: what it prints, draws and refuses."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.kit.command_line import naupliad

CLASS = "level,cup,of,hatched\n" + "".join(
    f"{level},{cup},50,{hatched}\n"
    for level, cups in (("10", (31, 36, 28, 33)), ("30", (38, 41, 35, 40)), ("60", (12, 20, 15, 9)))
    for cup, hatched in enumerate(cups, start=1)
)


@pytest.fixture
def counts(tmp_path: Path) -> Path:
    (tmp_path / "counts.csv").write_text(CLASS, encoding="utf-8")
    return tmp_path / "counts.csv"


# The contract's keys; figures: scipy 1.17.1 and the issue [C], see the science's own tests.
def test_json_has_the_keys_of_the_contract(counts: Path) -> None:
    said = naupliad("experiment", "result", "--csv", counts, "--json")
    assert (said.code, said.err) == (0, "")
    found = json.loads(said.out)
    assert [set(level) for level in found["levels"]] == [{"level", "share", "low", "high"}] * 3
    assert [level["level"] for level in found["levels"]] == ["10", "30", "60"]
    assert found["test"] == "Kruskal-Wallis exact"
    assert found["statistic"] == pytest.approx(9.2692, abs=5e-5)
    assert found["p"] == pytest.approx(18 / 34_650)
    assert found["p_chi_squared"] == pytest.approx(0.00971, abs=5e-6)
    assert found["smallest_p"] == pytest.approx(6 / 34_650)
    assert found["model"]["degrees"] == [2, 9]
    assert found["model"]["f"] == pytest.approx(40.89, abs=0.005)
    assert found["sentence"].startswith("Most hatched at 30: 77 of 100.")
    assert found["reason"] is None


def test_one_cup_a_level_has_no_p_and_a_reason(tmp_path: Path) -> None:
    (tmp_path / "one.csv").write_text("level,cup,of,hatched\na,1,50,31\nb,1,50,4\n", encoding="utf-8")
    found = json.loads(naupliad("experiment", "result", "--csv", tmp_path / "one.csv", "--json").out)
    assert (found["p"], found["smallest_p"], found["test"], found["statistic"]) == (None, None, "none", None)
    assert "Hurlbert 1984" in found["reason"]


def test_the_sentence_comes_first_then_what_a_report_needs(counts: Path) -> None:
    lines = naupliad("experiment", "result", "--csv", counts).out.splitlines()
    assert lines[0].endswith("so we take it that the levels are not all alike.")
    assert lines[2].startswith("Share hatched, with its interval (95 %): 10: 0.64 (0.53 to 0.74), 4 cups;")


def test_counts_at_several_hours_are_compared_at_equal_development_too(tmp_path: Path) -> None:
    rows = ["level,cup,of,hatched,hours,water_c"]
    for level, water_c, hours, cups in (
        ("cold", 18, 24, (3, 1, 2, 2)),
        ("cold", 18, 47, (40, 37, 42, 41)),
        ("warm", 26, 24, (41, 38, 43, 40)),
        ("warm", 26, 47, (44, 41, 45, 43)),
    ):
        rows += [f"{level},{cup},50,{hatched},{hours},{water_c}" for cup, hatched in enumerate(cups)]
    (tmp_path / "twice.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    words = ("experiment", "result", "--csv", tmp_path / "twice.csv", "--hours", "24")
    lines = naupliad(*words).out.splitlines()
    assert lines[0].startswith("All counted at hour 24: More hatched at warm")
    assert "Each counted when about equally far on (cold at hour 47 and warm at hour 24)" in lines[0]
    assert "we do not know whether" in lines[0]
    found = json.loads(naupliad(*words, "--json").out)
    assert found["equal_development"]["hours_by_level"] == {"cold": 47.0, "warm": 24.0}
    assert (found["lateness"], found["lateness_open"]) == ([], False)
    assert found["hours"] == 24.0
    plain = json.loads(naupliad(*words[:-2], "--json").out)
    assert (plain["hours"], plain["p"]) == (None, found["equal_development"]["p"])
    (tmp_path / "once.csv").write_text(
        "\n".join(row for row in rows if ",47," not in row) + "\n", encoding="utf-8"
    )
    once = ("experiment", "result", "--csv", tmp_path / "once.csv")
    assert "cold may only be late. Count it again at hour 5" in naupliad(*once).out.splitlines()[0]
    (late,) = json.loads(naupliad(*once, "--json").out)["lateness"]
    assert (late["late"], late["verdict"]) == ("cold", "could be late")


def test_json_gives_no_slope_that_the_text_would_not_claim(counts: Path) -> None:
    found = json.loads(naupliad("experiment", "result", "--csv", counts, "--json").out)
    assert found["slope"] is None
    assert found["no_slope_reason"].endswith("no single slope describes that.")


@pytest.mark.parametrize("hours", ["0", "-1", "9,500", "nan", "721"])
def test_hours_that_cannot_be_are_refused_in_one_line(counts: Path, hours: str) -> None:
    said = naupliad("experiment", "result", "--csv", counts, "--hours", hours)
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert "--hours" in said.err
    assert "allowed: " in said.err


@pytest.mark.parametrize("level", ["dark", "DARK"])
def test_levels_that_differ_by_capitals_alone_are_refused(tmp_path: Path, level: str) -> None:
    (tmp_path / "c.csv").write_text(f"level,cup,of,hatched\nDark,1,50,31\n{level},2,50,4\n", encoding="utf-8")
    said = naupliad("experiment", "result", "--csv", tmp_path / "c.csv")
    refused = f"{tmp_path / 'c.csv'}:3: found the level 'Dark' written in another way; allowed: one way"
    assert said.faults == [refused]


def test_a_table_with_semicolons_and_decimal_commas_says_the_same(counts: Path, tmp_path: Path) -> None:
    (tmp_path / "c.csv").write_text(counts.read_text(encoding="utf-8").replace(",", ";"), encoding="utf-8")
    said = naupliad("experiment", "result", "--csv", tmp_path / "c.csv")
    assert said == naupliad("experiment", "result", "--csv", counts)
    assert said.code == 0


def test_the_plot_is_an_svg_file_that_is_not_written_over(counts: Path, tmp_path: Path) -> None:
    words = ("experiment", "result", "--csv", counts, "--plot", tmp_path / "cups.svg")
    assert naupliad(*words).code == 0
    assert ElementTree.parse(tmp_path / "cups.svg").getroot().tag == "{http://www.w3.org/2000/svg}svg"
    again = naupliad(*words)
    assert (again.code, len(again.faults)) == (2, 1)
    assert "allowed: another path, or --replace" in again.err
    assert naupliad(*words, "--replace").code == 0
    refused = naupliad(*words[:4], "--plot", tmp_path / "cups.png")
    assert refused.faults == ["--plot: found 'cups.png'; allowed: a name that ends in .svg"]


def test_wrong_counts_are_refused_with_a_line_each_and_nothing_drawn(counts: Path, tmp_path: Path) -> None:
    counts.write_text(CLASS + "60,5,50,51\n60,6,no,1\n", encoding="utf-8")
    said = naupliad("experiment", "result", "--csv", counts, "--plot", tmp_path / "cups.svg")
    assert (said.code, said.out) == (2, "")
    assert [fault.split(": found")[0] for fault in said.faults] == [
        f"{counts}:14: hatched",
        f"{counts}:15: of",
    ]
    assert not (tmp_path / "cups.svg").exists()


@pytest.mark.parametrize("csv", ["nowhere.csv", "."])
def test_a_file_that_is_none_is_refused_in_one_line(tmp_path: Path, csv: str) -> None:
    said = naupliad("experiment", "result", "--csv", tmp_path / csv)
    assert (said.code, len(said.faults)) == (2, 1)


POWER = ("experiment", "power", "--levels", "3", "--cups", "4", "--of", "50", "--share", "0.8")


def test_power_says_what_cups_find_how_many_do_and_what_it_assumed() -> None:
    lines = naupliad(*POWER, "--difference", "0.2").out.splitlines()
    found = json.loads(naupliad(*POWER, "--difference", "0.2", "--json").out)
    assert lines[0].startswith("3 levels of 4 cups, 50 cysts each: of 100 such experiments about ")
    assert f"About {found['enough_cups']} cups at each level find it in 80 of 100" in lines[1]
    assert lines[2].startswith("Assumed: one level hatches 80 of 100, one 60, others midway.")
    assert 0.0 < found["power"] < 0.8 < 1.0
    assert found["assumed"]["shares"] == pytest.approx([0.8, 0.7, 0.6])
    assert "Even 40 cups" in naupliad(*POWER, "--difference", "0.01").out


def test_power_refuses_what_cannot_be_with_its_option() -> None:
    said = naupliad(*POWER, "--difference", "0.9")
    assert (said.code, said.faults) == (2, ["--difference: found 0.9; allowed: up to the share, 0.8"])
    none = naupliad(*POWER, "--difference", "0")
    assert (none.code, none.faults) == (2, ["--difference: found 0; allowed: above 0, up to the share"])
    several = naupliad(*POWER[:3], "1", *POWER[4:], "--difference", "0")
    assert [fault.split(":")[0] for fault in several.faults] == ["--levels", "--difference"]


@pytest.mark.parametrize("share", ["0.8", "0,8", "80", "80%", "80 %", ""])
def test_power_takes_a_share_as_people_write_it_or_a_usual_one(share: str) -> None:
    asked = POWER[: POWER.index("--share")]
    usual = naupliad(*asked, "--share", "0.8", "--difference", "0.2")
    said = naupliad(*asked, *(["--share", share] if share else []), "--difference", "20 %")
    assert (said.code, said.out) == (0, usual.out)


@pytest.mark.parametrize("share", ["-1", "101", "much", "8 g", "nan"])
def test_power_refuses_a_share_that_is_none_in_a_line(share: str) -> None:
    said = naupliad(*POWER, "--difference", share)
    allowed = "a share, such as 0.8, 80 or 80%"
    assert said.faults == [f"experiment power: --difference: found '{share}'; allowed: {allowed}"]


# Garwood's exact interval of 36 animals is 25.21 to 49.84 (scipy.stats.chi2 [C]); in 15 mL a 15th of that.
def test_aliquots_give_animals_a_ml_with_their_exact_interval() -> None:
    words = ("experiment", "aliquots", "12", "15", "9", "--ml", "5", "--volume-ml", "200")
    found = json.loads(naupliad(*words, "--json").out)
    assert found["per_ml"] == pytest.approx({"middle": 2.4, "low": 25.21 / 15, "high": 49.84 / 15}, abs=5e-4)
    assert found["in_all"]["middle"] == pytest.approx(480.0)
    assert naupliad(*words).out.splitlines()[0] == "2.4 animals in a mL (1.68 to 3.32, 95 %)."
    assert json.loads(naupliad(*words[:-2], "--json").out)["in_all"] is None


@pytest.mark.parametrize("words", [("--ml", "0", "3"), ("--ml", "5", "--", "-3"), ("--ml", "nan", "3")])
def test_aliquots_that_cannot_be_are_refused_in_one_line(words: tuple[str, ...]) -> None:
    said = naupliad("experiment", "aliquots", *words)
    assert (said.code, len(said.faults)) == (2, 1)
    assert "allowed" in said.err


def test_spoonfuls_beyond_the_volume_are_refused_and_what_was_counted_is_in_it() -> None:
    words = ("experiment", "aliquots", "12", "30", "2", "--ml", "5", "--volume-ml")
    beyond = naupliad(*words, "10")
    assert (beyond.code, beyond.faults) == (
        2,
        ["--volume-ml: found 10; allowed: what was counted at least (3 spoonfuls of 5 mL, 15 mL in all)"],
    )
    whole = json.loads(naupliad(*words, "15", "--json").out)["in_all"]
    assert (whole["middle"], whole["low"]) == (44.0, 44.0)
