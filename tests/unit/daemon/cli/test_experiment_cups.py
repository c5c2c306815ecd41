"""`naupliad experiment`: a seat map, kept; sheets that give no level away; counts, and what they show."""

import csv
import json
from collections.abc import Mapping
from contextlib import closing
from io import StringIO
from pathlib import Path

import pytest

from daemon.science.hatching import pace
from daemon.store import experiments
from daemon.store.file import WritingStore
from tests.kit.checkout import DOCS
from tests.kit.command_line import Said, naupliad
from tests.kit.page_station import cold_room
from tests.kit.station import station_text

SALT = ("--factor", "salt", "--levels", "10 g/L,25 g/L,40 g/L", "--cups", "4", "--of", "50", "--seed", "7")


@pytest.fixture
def state(tmp_path: Path) -> Path:
    folder = tmp_path / "state"
    folder.mkdir()
    store = WritingStore(folder)
    with store.transaction() as connection:
        connection.execute("INSERT INTO station_file VALUES (1, ?)", (station_text(driver="rehearsal"),))
    store.close()
    return folder


def experiment(state: Path, *words: str) -> Said:
    return naupliad("experiment", *words, "--state", state)


def test_a_new_experiment_shows_its_seat_map_and_is_listed(state: Path) -> None:
    said = experiment(state, "new", *SALT, "--idea", "Does salt matter?")
    assert (said.code, said.err) == (0, "")
    assert "Row 1 stands nearest to the window." in said.out
    assert "1    F3       N3       H7" in said.out
    listed = experiment(state, "list")
    assert listed.out.startswith("Experiment 1: salt; Does salt matter?; begun ")
    assert listed.out.endswith("; seed 7; 0 counts of 12 cups\n")


def test_the_form_tells_no_level_and_the_list_of_levels_tells_all(state: Path) -> None:
    experiment(state, "new", *SALT)
    blind, levels = experiment(state, "form").out, experiment(state, "form", "--levels").out
    assert "g/L" not in blind
    codes = [
        line.split()[0] for line in blind.partition("Form for counting")[2].splitlines() if "____" in line
    ]
    assert codes == sorted(codes)
    assert len(codes) == 12
    told = dict(line.split(": ") for line in levels.splitlines() if " g/L: " in line)
    assert sorted(code for line in told.values() for code in line.split(", ")) == codes


def test_what_is_kept_is_printed_for_programs_as_well(state: Path) -> None:
    told = json.loads(experiment(state, "new", *SALT, "--json").out)
    assert (told["id"], told["levels"], told["seed"]) == (1, ["10 g/L", "25 g/L", "40 g/L"], 7)
    assert told["seats"][0] == {"row": 1, "place": 1, "cup": "F3", "level": "25 g/L"}
    (listed,) = json.loads(experiment(state, "list", "--json").out)
    assert listed == {**told, "counts": 0, "lost": []}


def test_what_speaks_against_a_design_is_said_before_it_is_set(state: Path) -> None:
    words = ("--factor", "salt", "--levels", "10; 25 + warm; 120", "--cups", "2", "--of", "10")
    said = experiment(state, "new", *words)
    assert said.code == 0
    # Two cups of three levels: 3!·(2!)³ of 6! dealings, p 0.067.
    assert "These cups cannot show a difference, however large: chance alone could make it." in said.out
    assert "Take 3 cups of each at least." in said.out
    assert "Two cups a level hardly show how cups differ by themselves. Take 3 of each or more." in said.out
    assert "more than one thing is changed" in said.out
    assert "120 g/L: hardly any animals are known to live there." in said.out
    assert "That is few cysts a cup" in said.out
    assert not any("allowed" in line for line in said.out.splitlines())


def test_a_sound_design_is_left_alone(state: Path) -> None:
    said = experiment(state, "new", *SALT).out
    between = said[said.index("50 cysts in each cup.") : said.index("Seat map")]
    assert between.splitlines()[1:] == [
        "These cups can show a difference, if there is a large one.",
        # By the play of tests/unit/daemon/planning/experiment/test_noticed.py.
        " ".join(
            (
                "How large? Suppose that 80 of 100 hatch at the best level.",
                "Where another one hatches 55 or fewer, 8 of 10 such experiments show it.",
            )
        ),
        # 3!·(4!)³ of 12! dealings part the levels so: 1 in 5775.
        "The clearest result there can be comes about by chance at most once in 5775 times.",
        "",
    ]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("new", *SALT[:2], "--levels", "10", *SALT[4:]), "levels: found 1; allowed: 2 to 6"),
        (
            ("new", *SALT[:4], "--cups", "0", "--of", "50"),
            "cups: found 0; allowed: a whole number from 1 to 20",
        ),
        (("form",), "experiment: found none; allowed: after 'naupliad experiment new'"),
        (("form", "--experiment", "3"), "--experiment: found 3, which nobody began"),
    ],
)
def test_wrong_use_is_told_in_a_line_and_nothing_is_kept(
    state: Path, words: tuple[str, ...], line: str
) -> None:
    said = experiment(state, *words)
    assert (said.code, said.out) == (2, "")
    assert len(said.faults) == 1
    assert line in said.err
    assert experiment(state, "list").out == "No experiment was begun.\n"


# A class example, of 50 each (synthetic). By hand: rank sums 27, 41 and 10, so
# H = 12/(12·13)·(27² + 41² + 10²)/4 − 39 = 9.2692, and exp(−H/2) = 0.00971 is the p of two degrees.
CLASS = {"10 g/L": (31, 36, 28, 33), "25 g/L": (38, 41, 35, 40), "40 g/L": (12, 20, 15, 9)}


def codes_of(state: Path) -> Mapping[str, list[str]]:
    told = experiment(state, "form", "--levels").out
    lines = (line.split(": ") for line in told.splitlines() if " g/L: " in line or " °C: " in line)
    return {level: codes.split(", ") for level, codes in lines}


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(StringIO(text)))


def test_a_class_counts_by_code_and_what_it_shows_is_what_they_give_by_hand(
    state: Path, tmp_path: Path
) -> None:
    experiment(state, "new", *SALT)
    for level, codes in codes_of(state).items():
        for code, hatched in zip(codes, CLASS[level], strict=True):
            assert experiment(state, "count", code.lower(), str(hatched)).err == ""
    assert experiment(state, "list").out.endswith("12 counts of 12 cups\n")
    assert experiment(state, "export", "--out", str(tmp_path / "counts.csv")).err == ""
    shown = json.loads(naupliad("experiment", "result", "--csv", tmp_path / "counts.csv", "--json").out)
    assert [one["level"] for one in shown["levels"]] == list(CLASS)
    assert shown["statistic"] == pytest.approx(9.2692, abs=5e-5)
    assert shown["p_chi_squared"] == pytest.approx(0.00971, abs=5e-6)


def test_what_was_exported_is_taken_again_as_it_stands(state: Path, tmp_path: Path) -> None:
    experiment(state, "new", *SALT)
    codes = codes_of(state)["25 g/L"]
    for code in codes[:3]:
        experiment(state, "count", code, "30", "--hours", "24")
    said, file = experiment(state, "export", "--early").out, tmp_path / "counts.csv"
    assert counted(state) == [
        ["level", "cup", "of", "hatched", "hours", "salt_g_per_l"],
        *[["25 g/L", code, "50", "30", "24", "25"] for code in codes[:3]],
    ]
    file.write_text(f"{said}25 g/L,{codes[3]},50,31,24,25\n", encoding="utf-8")
    taken = experiment(state, "counts", "--csv", str(file))
    assert (taken.out, taken.err) == ("experiment 1: 4 counts noted; 4 of 12 cups counted\n", "")
    assert counted(state)[-1] == ["25 g/L", codes[3], "50", "31", "24", "25"]


def counted(state: Path) -> list[list[str]]:
    """The header of a table written early, and the rows of cups that are counted."""
    return [row for row in rows(experiment(state, "export", "--early").out) if row[3]]


@pytest.mark.parametrize(
    ("factor", "levels"), [("warmth", "18, 26"), ("salt", "10, 60"), ("light", "dark, lit")]
)
def test_what_any_experiment_exports_it_takes_again(
    state: Path, tmp_path: Path, factor: str, levels: str
) -> None:
    experiment(state, "new", "--factor", factor, "--levels", levels, *SALT[4:])
    file = tmp_path / "counts.csv"
    codes = [row["cup"] for row in json.loads(experiment(state, "list", "--json").out)[0]["seats"]]
    for code in codes:
        experiment(state, "count", code, "30", "--hours", "24")
    experiment(state, "export", "--out", str(file))
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.out, said.err) == ("experiment 1: 8 counts noted; 8 of 8 cups counted\n", "")


def test_a_salt_that_its_level_does_not_say_is_refused_in_a_line_and_a_warmth_is_kept(
    state: Path, tmp_path: Path
) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text("cup,of,hatched,salt_g_per_l\nF3,50,30,26\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    allowed = "the salt as it was set, or nothing"
    assert (said.code, said.err) == (2, f"{file}:2: salt_g_per_l: found 26; allowed: {allowed}\n")
    file.write_text("cup,of,hatched,hours,water_c\nF3,50,30,24,22.5\n", encoding="utf-8")
    assert experiment(state, "counts", "--csv", str(file)).code == 0
    assert counted(state)[1] == ["25 g/L", "F3", "50", "30", "24", "22.5", "25"]


# Half of a hatch by published lots takes longer at 18 than at 26 °C: daemon/science/hatching.py.
@pytest.mark.parametrize("measured", [True, False])
def test_measured_water_says_when_two_levels_were_equally_far_on(
    state: Path, tmp_path: Path, measured: bool
) -> None:
    levels = ("dark", "light")
    words = ("--factor", "light", "--levels", ",".join(levels), "--cups", "4", "--of", "50", "--json")
    seats = json.loads(experiment(state, "new", *words).out)["seats"]
    codes = {level: [seat["cup"] for seat in seats if seat["level"] == level] for level in levels}
    late = 24.0 * pace(26.0) / pace(18.0)
    for level, hours, water_c in (("dark", late, 18.0), ("light", 24.0, 26.0)):
        for number, code in enumerate(codes[level]):
            water = ("--water-c", str(water_c)) if measured else ()
            said = experiment(state, "count", code, str(30 + number), "--hours", f"{hours:.2f}", *water)
            assert said.code == 0
    assert experiment(state, "export", "--out", str(tmp_path / "counts.csv")).code == 0
    said = naupliad("experiment", "result", "--csv", tmp_path / "counts.csv")
    assert said.code == (0 if measured else 2)
    if measured:
        assert "Each counted when about equally far on" in said.out
        assert "equally warm" not in said.out
    else:
        assert "which takes water_c or salt_g_per_l of every cup" in said.err


def test_a_result_names_lost_cups_when_and_why(state: Path, tmp_path: Path) -> None:
    experiment(state, "new", *SALT)
    for number, code in enumerate(code for codes in codes_of(state).values() for code in codes[1:]):
        experiment(state, "count", code, str(20 + number))
    lost = [codes[0] for codes in codes_of(state).values()]
    assert experiment(state, "count", lost[0], "--lost", "--why", "broken").code == 0
    assert experiment(state, "count", lost[1], "--lost").code == 0
    exported = rows(experiment(state, "export", "--early", "--out", str(tmp_path / "c.csv")).out or "")
    assert exported == []
    table = rows((tmp_path / "c.csv").read_text(encoding="utf-8"))
    assert table[0] == ["level", "cup", "of", "hatched", "salt_g_per_l", "lost", "why"]
    assert [row[:4] for row in table if row[1] in lost[:2]] == [
        ["10 g/L", lost[0], "", ""],
        ["25 g/L", lost[1], "", ""],
    ]
    told = json.loads(naupliad("experiment", "result", "--csv", tmp_path / "c.csv", "--json").out)
    assert [(one["cup"], one["level"], one["why"]) for one in told["lost"]] == [
        (lost[0], "10 g/L", "broken"),
        (lost[1], "25 g/L", None),
    ]
    assert all(one["at"].endswith("+00:00") for one in told["lost"])
    said = naupliad("experiment", "result", "--csv", tmp_path / "c.csv").out
    assert f"Lost cups: {lost[0]} at 10 g/L (broken) and {lost[1]} at 25 g/L." in said
    assert "All cups of" not in said
    assert experiment(state, "counts", "--csv", str(tmp_path / "c.csv")).code == 0  # its rows are no counts
    refused = experiment(state, "count", "F3", "9", "--why", "broken")
    assert (refused.code, refused.err) == (2, "--why: found 'broken'; allowed: with --lost\n")
    for level in ("10 g/L", "25 g/L"):
        for code in codes_of(state)[level]:
            experiment(state, "count", code, "--withdraw")
            experiment(state, "count", code, "--lost")
    experiment(state, "export", "--early", "--out", str(tmp_path / "gone.csv"))
    said = naupliad("experiment", "result", "--csv", tmp_path / "gone.csv").out
    gone = "All cups of the levels 10 g/L and 25 g/L are lost: these counts tell nothing of them."
    assert said.splitlines()[1].endswith(gone)  # in the class's own sentence, as the page has it


@pytest.mark.parametrize(
    ("factor", "levels", "column", "slow"),
    [
        ("salt", ("10 g/L", "60 g/L"), "salt_g_per_l", "60 g/L"),
        ("warmth", ("18 °C", "26 °C"), "water_c", "18 °C"),
    ],
)
def test_levels_of_salt_and_warmth_say_themselves_what_may_only_be_late(
    state: Path, tmp_path: Path, factor: str, levels: tuple[str, str], column: str, slow: str
) -> None:
    experiment(state, "new", "--factor", factor, "--levels", ",".join(levels), "--cups", "4", "--of", "50")
    for level, codes in codes_of(state).items():
        for number, code in enumerate(codes):
            hatched = number + (5 if level == slow else 38)
            experiment(state, "count", code, str(hatched), "--hours", "24")
    file = tmp_path / "counts.csv"
    experiment(state, "export", "--out", str(file))
    assert file.read_text(encoding="utf-8").splitlines()[0] == f"level,cup,of,hatched,hours,{column}"
    said = naupliad("experiment", "result", "--csv", file)
    assert f"{slow} may only be late. Count it again at hour" in said.out


def test_a_correction_keeps_the_old_count_and_a_withdrawal_keeps_it_too(state: Path) -> None:
    experiment(state, "new", *SALT)
    experiment(state, "count", "F3", "31")
    refused = experiment(state, "count", "F3", "13")
    assert (refused.code, refused.err) == (
        2,
        "F3: found a count that stands (31 of 50); allowed: a correction (--correct), or another cup\n",
    )
    corrected = experiment(state, "count", "F3", "13", "--correct")
    assert corrected.out == "experiment 1: F3 13 of 50; 1 of 12 cups counted\n"
    assert (
        experiment(state, "count", "F3", "--withdraw").out == "experiment 1: the count of F3 is withdrawn\n"
    )
    assert experiment(state, "count", "F3", "--withdraw").out == "experiment 1: no count of F3 stands\n"
    with closing(WritingStore(state)) as store:
        kept = [(one.counted.hatched, one.replaces) for one in experiments.counts(store.connection, 1)]
    assert kept == [(31, None), (13, 1)]
    assert counted(state) == [["level", "cup", "of", "hatched"]]


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ("25 g/L,F3,50,51", "hatched: found 51; allowed: 0 to 50"),
        (
            "10 g/L,F3,50,31",
            "counts.csv:3: level: found '10 g/L'; allowed: the level as it was set, or nothing",
        ),
        ("25 g/L,Q0,50,31", "counts.csv:3: cup: found 'Q0'; allowed: a code of the seat map"),
        ("25 g/L,F3,50,31\n25 g/L,F3,50,30", "found this cup a second time"),
        ("25 g/L,F3,50", "found 3 columns; allowed: 4"),
    ],
)
def test_of_a_table_with_a_fault_nothing_is_kept(state: Path, tmp_path: Path, table: str, line: str) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"level,cup,of,hatched\n10 g/L,N3,50,20\n{table}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert line in said.err
    assert experiment(state, "list").out.endswith("0 counts of 12 cups\n")


@pytest.mark.parametrize(
    "table",
    ["cup,hatched\nF3,31", "level,cup,of,hatched\n25,F3,,31", "level;cup;of;hatched\n25,0 g/l;F3;;31"],
)
def test_a_level_in_a_table_may_be_left_out_or_written_otherwise(
    state: Path, tmp_path: Path, table: str
) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"{table}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.out, said.err) == ("experiment 1: 1 count noted; 1 of 12 cups counted\n", "")
    assert counted(state)[1] == ["25 g/L", "F3", "50", "31", "25"]


@pytest.mark.parametrize("row", ["?,F3,50,31,", "25,F3,50,31,40"])
def test_no_refusal_tells_who_counts_which_level_a_cup_has(state: Path, tmp_path: Path, row: str) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"level,cup,of,hatched,salt_g_per_l\n{row}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.code, len(said.faults)) == (2, 1)
    assert "as it was set, or nothing" in said.err
    assert "25" not in said.err.partition("counts.csv:2")[2]


@pytest.mark.parametrize("hours", ["nan", "inf", "0", "-1", "721"])
def test_hours_that_cannot_be_are_refused_in_a_line(state: Path, hours: str) -> None:
    experiment(state, "new", *SALT)
    said = experiment(state, "count", "F3", "4", f"--hours={hours}")
    assert (said.code, len(said.faults)) == (2, 1)
    assert "--hours: found" in said.err


@pytest.mark.parametrize("hatched", ["neun", "4.5", "1e3", "²"])
def test_a_number_that_is_none_is_told_what_is_allowed(state: Path, hatched: str) -> None:
    experiment(state, "new", *SALT)
    said = experiment(state, "count", "F3", hatched)
    assert (said.code, said.err) == (2, f"HATCHED: found {hatched!r}; allowed: a whole number, such as 50\n")


def test_hours_come_later_to_all_counts_from_a_file(state: Path, tmp_path: Path) -> None:
    told = json.loads(experiment(state, "new", *SALT, "--json").out)
    for seat in told["seats"]:
        experiment(state, "count", seat["cup"], "30")
    file = tmp_path / "counts.csv"
    lines = [f"{seat['level']},{seat['cup']},50,30,48" for seat in told["seats"]]
    file.write_text("\n".join(["level,cup,of,hatched,hours", *lines]), encoding="utf-8")
    refused = experiment(state, "counts", "--csv", str(file))
    assert (refused.code, len(refused.faults)) == (2, 1)
    assert "found 12 counts with hours and 12 without, with those that stand" in refused.err
    said = experiment(state, "counts", "--csv", str(file), "--correct")
    assert (said.out, said.err) == ("experiment 1: 12 counts noted; 12 of 12 cups counted\n", "")
    assert {row[4] for row in counted(state)[1:]} == {"48"}


def test_no_table_tells_levels_while_cups_are_still_to_be_counted(state: Path, tmp_path: Path) -> None:
    experiment(state, "new", *SALT)
    codes = sorted(code for some in codes_of(state).values() for code in some)
    for code in codes[:-2]:
        experiment(state, "count", code, "30")
    out = tmp_path / "counts.csv"
    for words in (("export",), ("export", "--out", str(out))):
        refused = experiment(state, *words)
        assert (refused.code, refused.out, len(refused.faults)) == (2, "", 1)
        still = f"found 2 of 12 cups neither counted nor lost: {codes[-2]}, {codes[-1]}; allowed: "
        assert still in refused.err
        assert "--early" in refused.err
        assert "g/L" not in refused.err
    assert not out.exists()
    experiment(state, "count", codes[-2], "--lost")
    assert experiment(state, "export").code == 2
    experiment(state, "count", codes[-1], "9")
    assert experiment(state, "export").code == 0


def test_a_look_before_all_is_counted_names_the_cups_that_are_missing(state: Path, tmp_path: Path) -> None:
    experiment(state, "new", *SALT)
    told = codes_of(state)
    for level in ("10 g/L", "25 g/L"):
        for code in told[level]:
            experiment(state, "count", code, "30")
    out = tmp_path / "counts.csv"
    assert experiment(state, "export", "--early", "--out", str(out)).code == 0
    said = naupliad("experiment", "result", "--csv", out)
    first = said.out.splitlines()[0]
    assert first.startswith("Not all is counted yet; ")
    assert first.endswith(" are missing. What follows may change.")
    assert all(f"{code} at 40 g/L" in first for code in told["40 g/L"])
    shown = json.loads(naupliad("experiment", "result", "--csv", out, "--json").out)
    assert sorted(one["cup"] for one in shown["uncounted"]) == sorted(told["40 g/L"])
    taken = experiment(state, "counts", "--csv", str(out))  # its blank rows are no counts
    assert taken.out == "experiment 1: 8 counts noted; 8 of 12 cups counted\n"


@pytest.mark.parametrize(
    "table",
    [
        "hatched;cup\n31;F3",
        "Becher;geschlüpft\nF3;31",
        "cup;hatched;;\nF3;31,0;;\n;;;",
        "Cup,Hatched\nF3,31.0",
        "hours,hatched,cup\n,31,F3",
        "geschlüpft;Von;Stufe;Becher\n31;50;25,0;F3",
    ],
)
def test_a_table_s_columns_stand_in_any_order_as_a_spreadsheet_leaves_them(
    state: Path, tmp_path: Path, table: str
) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"{table}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.out, said.err) == ("experiment 1: 1 count noted; 1 of 12 cups counted\n", "")
    assert counted(state)[1] == ["25 g/L", "F3", "50", "31", "25"]


@pytest.mark.parametrize("hatched", ["31,5", "1,000", "31,", "31,0,0", "3 1"])
def test_what_may_be_another_whole_number_is_none(state: Path, tmp_path: Path, hatched: str) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"cup;hatched\nF3;{hatched}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.code, len(said.faults)) == (2, 1)
    assert "hatched: found" in said.err


@pytest.mark.parametrize("header", ["cup;level;eggs", "cup,cup,hatched", "level,of,hatched", "A3;9"])
def test_a_header_that_does_not_do_is_told_the_two_columns_that_do(
    state: Path, tmp_path: Path, header: str
) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text(f"{header}\n", encoding="utf-8")
    said = experiment(state, "counts", "--csv", str(file))
    assert (said.code, len(said.faults)) == (2, 1)
    allowed = said.err.partition("allowed: ")[2]
    assert allowed.startswith("cup,hatched, in any order, and beside them some of of, hours")
    assert "level" not in allowed


def test_a_count_without_hours_before_a_table_with_hours_is_named_with_the_way_out(
    state: Path, tmp_path: Path
) -> None:
    experiment(state, "new", *SALT)
    experiment(state, "count", "F3", "31")
    file = tmp_path / "counts.csv"
    file.write_text("cup,hatched,hours\nN3,30,24\nH7,30,24\n", encoding="utf-8")
    refused = experiment(state, "counts", "--csv", str(file))
    found = "found 2 counts with hours and 1 without, with those that stand (look at F3)"
    way_out = "count F3 once more with hours as a correction (--correct), or take that back (--withdraw)"
    assert (refused.code, refused.err) == (2, f"hours: {found}; allowed: for all or none: {way_out}\n")
    # The way out is one.
    file.write_text("cup,hatched,hours\nN3,30,24\nH7,30,24\nF3,31,24\n", encoding="utf-8")
    assert experiment(state, "counts", "--csv", str(file), "--correct").err == ""
    one = experiment(state, "count", "D4", "30")
    assert "found 3 counts with hours and 1 without, with those that stand (look at D4)" in one.err


def test_a_cup_is_lost_and_that_is_taken_back(state: Path) -> None:
    experiment(state, "new", *SALT)
    experiment(state, "count", "N3", "30")
    lost = experiment(state, "count", "f3", "--lost")
    assert lost.out == "experiment 1: F3 is lost; 1 of 12 cups counted, 1 lost\n"
    assert experiment(state, "count", "F3", "31").code == 2
    assert experiment(state, "list").out.endswith("; 1 count of 12 cups, lost: F3\n")
    back = experiment(state, "count", "F3", "--lost", "--withdraw")
    assert back.out == "experiment 1: F3 is not lost; 1 of 12 cups counted\n"
    assert experiment(state, "count", "F3", "31").code == 0


@pytest.mark.parametrize(
    "words", [("count", "F3"), ("count", "F3", "4", "--withdraw"), ("count", "F3", "4", "--lost")]
)
def test_a_count_needs_a_number_or_a_withdrawal(state: Path, words: tuple[str, ...]) -> None:
    experiment(state, "new", *SALT)
    said = experiment(state, *words)
    assert (said.code, len(said.faults)) == (2, 1)
    assert "allowed: how many hatched, or --withdraw or --lost without a number" in said.err


def test_the_page_on_experiments_shows_the_map_that_its_command_draws(state: Path) -> None:
    told = (DOCS / "how-to" / "experiment.md").read_text(encoding="utf-8")
    said = experiment(state, "new", *SALT, "--idea", "Does salt matter?").out
    drawn = said[said.index("Changed is") : said.index("\n\nWho fills")]
    assert drawn in told


def test_a_table_takes_the_place_of_another_only_when_asked_to(state: Path, tmp_path: Path) -> None:
    experiment(state, "new", *SALT)
    file = tmp_path / "counts.csv"
    file.write_text("kept", encoding="utf-8")
    said = experiment(state, "export", "--early", "--out", str(file))
    assert (said.code, len(said.faults), file.read_text(encoding="utf-8")) == (2, 1, "kept")
    assert experiment(state, "export", "--early", "--out", str(file), "--replace").err == ""
    assert file.read_text(encoding="utf-8").startswith("level,cup,of,hatched\n")


def test_while_a_daemon_runs_it_alone_writes_what_the_commands_ask_for(tmp_path: Path) -> None:
    with cold_room(tmp_path) as room:  # its inbox answers in this thread, the commands run in another

        def by_command() -> list[Said]:
            return [
                experiment(room.folder, "new", *SALT),
                experiment(room.folder, "count", "F3", "31"),
                experiment(room.folder, "count", "F3", "51", "--correct"),
                experiment(room.folder, "count", "F3", "13", "--correct"),
            ]

        said = room.while_it_answers(by_command)
        assert [one.code for one in said] == [0, 0, 2, 0]
        assert said[2].err == "F3: hatched: found 51; allowed: a whole number from 0 to 50\n"
        counts = room.rows("SELECT hatched, withdrawn_at IS NULL FROM experiment_count ORDER BY id")
        assert counts == [(31, 0), (13, 1)]


def test_an_experiment_begun_by_mistake_is_deleted_and_one_with_counts_is_not(state: Path) -> None:
    experiment(state, "new", *SALT)
    assert experiment(state, "discard", "1").out == "experiment 1 is deleted\n"
    again = experiment(state, "discard", "1")
    allowed = "as 'naupliad experiment list' says"
    assert (again.code, again.err) == (2, f"EXPERIMENT: found 1, which nobody began; allowed: {allowed}\n")
    assert experiment(state, "list").out == "No experiment was begun.\n"
    experiment(state, "new", *SALT)
    experiment(state, "count", "F3", "31")
    refused = experiment(state, "discard", "2")
    assert (refused.code, len(refused.faults)) == (2, 1)
    assert experiment(state, "list").out.endswith("1 count of 12 cups\n")


def test_a_code_names_one_cup_among_the_experiments_that_are_about(state: Path) -> None:
    told = [json.loads(experiment(state, "new", *SALT[:-1], seed, "--json").out) for seed in "777"]
    # A plan begun twice is one; one that was counted in is another.
    assert [one["id"] for one in told] == [1, 1, 1]
    experiment(state, "count", "F3", "31")
    other = json.loads(experiment(state, "new", *SALT, "--json").out)
    codes, others = ({seat["cup"] for seat in one["seats"]} for one in (told[0], other))
    assert (other["id"], len(others), codes & others) == (2, 12, set())
    layouts = [[seat["level"] for seat in one["seats"]] for one in (told[0], other)]
    assert layouts[0] == layouts[1], "the seed's map is the seed's map"
    of_the_first = experiment(state, "count", "F3", "13")
    assert (of_the_first.code, "--correct" in of_the_first.err) == (2, True)
    noted = experiment(state, "count", other["seats"][0]["cup"], "13")
    assert noted.out == f"experiment 2: {other['seats'][0]['cup']} 13 of 50; 1 of 12 cups counted\n"


def test_a_count_finds_its_experiment_by_the_code(state: Path) -> None:
    experiment(state, "new", *SALT)
    experiment(state, "count", "F3", "31")
    experiment(state, "new", *SALT)
    assert experiment(state, "count", "n3", "13").out == "experiment 1: N3 13 of 50; 2 of 12 cups counted\n"
    assert experiment(state, "count", "F3", "--withdraw").out.startswith("experiment 1: ")
    assert experiment(state, "count", "H7", "--lost").out.startswith("experiment 1: H7 is lost")
    stands_nowhere = experiment(state, "count", "Q0", "13")
    assert (stands_nowhere.code, len(stands_nowhere.faults)) == (2, 1)
    elsewhere = experiment(state, "count", "--experiment", "2", "N3", "13")
    assert (elsewhere.code, len(elsewhere.faults)) == (2, 1)


def test_a_lost_cup_is_marked_on_the_map_and_left_out_of_the_form(state: Path) -> None:
    experiment(state, "new", *SALT)
    experiment(state, "count", "F3", "--lost")
    form = experiment(state, "form").out
    assert form.count("F3") == form.count("F3 ×") == 1
    assert form.count("H7") == 2


@pytest.mark.parametrize(
    ("idea", "levels", "line"),
    [
        ("Does Tomke like salt?", "10; 25", "found 'Tomke', which looks like a person's name"),
        ("Mag Tomke es salzig?", "10; 25", "found 'Tomke', which looks like a person's name"),
        ("", "Tomke,Juro", "found 'Tomke', 'Juro', which look like people's names"),
    ],
)
def test_what_looks_like_a_name_is_asked_about_before_anything_is_begun(
    state: Path, idea: str, levels: str, line: str
) -> None:
    asked = ("new", *SALT[:2], "--levels", levels, *SALT[4:], "--idea", idea)
    said = experiment(state, *asked)
    allowed = "other words, or --no-names where these are none"
    assert (said.code, said.out, said.err) == (2, "", f"experiment: {line}; allowed: {allowed}\n")
    assert experiment(state, "list").out == "No experiment was begun.\n"
    assert experiment(state, *asked, "--no-names").code == 0


def test_an_idea_without_names_is_begun_at_once_in_either_language(state: Path) -> None:
    for idea in ("Does salt matter?", "Ist Salz wichtig?", "Schlüpfen mehr im Dunkeln?"):
        said = experiment(state, "new", *SALT, "--idea", idea)
        assert (said.code, said.err) == (0, "")


def test_the_form_says_how_a_count_is_entered_and_asks_for_no_name(state: Path) -> None:
    experiment(state, "new", *SALT)
    form = experiment(state, "form").out
    assert "naupliad experiment count --experiment 1 CUP HATCHED" in form
    assert "Counted by" not in form
    assert "CUP HATCHED" not in experiment(state, "form", "--levels").out
