"""`naupliad experiment new`, `list` and `form`: a seat map, kept, and sheets that give no level away."""

import json
from pathlib import Path

import pytest

from daemon.store.file import WritingStore
from tests.kit.command_line import Said, naupliad
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
    assert "1    J3       H3       L6" in said.out
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
    assert told["seats"][0] == {"row": 1, "place": 1, "cup": "J3", "level": "25 g/L"}
    (listed,) = json.loads(experiment(state, "list", "--json").out)
    assert listed == {**told, "counts": 0}


def test_what_speaks_against_a_design_is_said_before_it_is_set(state: Path) -> None:
    words = ("--factor", "salt", "--levels", "10; 25 + warm; 120", "--cups", "2", "--of", "10")
    said = experiment(state, "new", *words)
    assert said.code == 0
    assert "Two cups a level cannot show a difference." in said.out
    assert "more than one thing is changed" in said.out
    assert "120 g/L: hardly any animals are known to live there." in said.out
    assert "That is few cysts a cup" in said.out
    assert not any("allowed" in line for line in said.out.splitlines())


def test_a_sound_design_is_left_alone(state: Path) -> None:
    said = experiment(state, "new", *SALT)
    assert said.out.index("Seat map") - said.out.index("50 cysts in each cup.") < 30


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
