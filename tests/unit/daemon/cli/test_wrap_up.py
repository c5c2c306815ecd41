"""`naupliad wrap-up`: what it says of each step, the report it writes, what it refuses."""

import json
from contextlib import closing
from pathlib import Path

import pytest

from daemon.store.file import WritingStore
from tests.kit.class_records import copies, furnish
from tests.kit.command_line import naupliad
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import station_text

NOTES = ["Milky, smells of eggs", "Greta poured too much"]

pytestmark = pytest.mark.usefixtures("undrawn")


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A day of a cup in which a batch was set, as `naupliad replay` leaves it."""
    place = tmp_path_factory.mktemp("played")
    began = unix("2027-01-14T08:00:00+00:00")
    (place / "station.toml").write_text(station_text(every_s=600), encoding="utf-8")
    tape = write_tape(place / "tape.csv", tape_rows(began, 144, good(24.0), 600))
    care = write_care(place / "care.csv", f"{stamp(began + 600)},cup,set,0.05,g,salt_g_per_l=25;lot=blue tin")
    station = ("--config", place / "station.toml")
    said = naupliad("replay", tape, "--care", care, *station, "--out", place / "out")
    assert said.code == 0, said.err
    return place / "out"


def test_it_leads_through_the_steps_and_changes_nothing(played: Path) -> None:
    before = (played / "station.db").read_bytes()
    said = naupliad("wrap-up", "--state", played)
    assert said.code == 0, said.err
    assert [line for line in said.out.splitlines() if line[:1].isdigit()] == [
        "1. Silence",
        "2. A report of the batch",
        "3. What is left over",
        "4. Class data",
        "5. The next class",
    ]
    assert "naupliad care add" in said.out
    assert "Never release" in said.out
    assert (played / "station.db").read_bytes() == before


def test_its_commands_name_the_folder_that_was_given(played: Path) -> None:
    steps = json.loads(naupliad("wrap-up", "--state", played, "--json").out)["steps"]
    commands = [one for step in steps for one in step["commands"]]
    ours = [one for one in commands if "systemctl" not in one]
    assert len(ours) >= 5
    assert all(one.endswith(f" --state {played}") for one in ours)
    assert all("--state" not in one for one in commands if one not in ours)
    _, *report = next(one for one in ours if "batch.html" in one).split()
    out = played.parent / "pasted.html"
    again = [word.replace("batch.html", str(out)) for word in report]
    assert naupliad(*again).code == 0
    assert "“Hatched” in the picture: of the cysts that can hatch, calculated." in out.read_text("utf-8")
    refused = naupliad(*again)
    assert (refused.code, refused.err) == (2, f"{out}: found a file; allowed: another path, or --replace\n")
    assert naupliad(*again, "--replace").code == 0


def test_its_steps_are_json_for_programs(played: Path) -> None:
    steps = json.loads(naupliad("wrap-up", "--state", played, "--json").out)["steps"]
    assert [step["key"] for step in steps] == ["silence", "report", "left-over", "class-data", "next"]
    assert all(step["title"] and step["lines"] for step in steps)


@pytest.mark.parametrize(("name", "begins"), [("batch.pdf", b"%PDF-"), ("batch.html", b"<!DOCTYPE html>")])
def test_the_report_is_a_pdf_or_one_html_file(played: Path, tmp_path: Path, name: str, begins: bytes) -> None:
    out = tmp_path / name
    said = naupliad("wrap-up", "--report", out, "--state", played, "--json")
    assert said.code == 0, said.err
    assert json.loads(said.out)["report"] == str(out)
    assert out.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--report", "OUT/batch.doc"), "found .doc; allowed: .pdf, .html"),
        (("--report", "OUT/gone/batch.pdf"), "found no such folder; allowed: one that is there"),
        (("--vessel", "nobody"), "--vessel: found 'nobody'; allowed: cup"),
        (
            ("--wipe", "--report", "OUT/batch.pdf"),
            "--wipe: found --report beside it; allowed: first",
        ),
        (("--all", "--vessel", "cup"), "--all: found --vessel beside it; allowed: one of them"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    played: Path, tmp_path: Path, words: tuple[str, ...], line: str
) -> None:
    said = naupliad("wrap-up", *(one.replace("OUT", str(tmp_path)) for one in words), "--state", played)
    assert said.code == 2
    assert line in said.err
    assert said.err.count("\n") == 1


@pytest.fixture
def class_over(tmp_path: Path) -> Path:
    furnish(tmp_path / "state", NOTES, ["margarete.k"])
    copies(tmp_path / "state", NOTES)
    return tmp_path / "state"


def test_what_a_wipe_would_do_is_shown_before_and_nothing_is_done(class_over: Path) -> None:
    said = naupliad("wrap-up", "--state", class_over)
    assert said.code == 0, said.err
    for line in (
        "Would blank notes in the care log: 2",
        "Would blank names of who silenced alarms: 1",
        "Would rewrite backups: station-2027-01-15.db",
    ):
        assert line in said.out
    assert NOTES[0].encode() in (class_over / "station.db").read_bytes()


def test_a_wipe_says_each_step_and_proves_it_and_claims_nothing_of_copies_elsewhere(class_over: Path) -> None:
    said = naupliad("wrap-up", "--wipe", "--state", class_over)
    assert said.code == 0, said.err
    assert "Proven gone: 3 texts searched in" in said.out
    assert "Not reached: letters that went out." in said.out
    assert "Not reached: what a memory card's cells still hold" in said.out
    again = json.loads(naupliad("wrap-up", "--wipe", "--state", class_over, "--json").out)
    assert (again["texts"], again["left"]) == (0, [])


def test_what_is_not_gone_is_named_and_the_command_ends_with_1(tmp_path: Path) -> None:
    furnish(tmp_path / "state", NOTES, [], waiting=1)
    said = naupliad("wrap-up", "--wipe", "--state", tmp_path / "state", "--json")
    assert said.code == 1
    assert [one["text"] for one in json.loads(said.out)["left"]] == [NOTES[-1]]
    assert "found class data that is not gone; allowed: none" in said.err


def test_while_a_daemon_runs_it_says_to_stop_it_in_one_line(class_over: Path) -> None:
    with closing(WritingStore(class_over)):
        said = naupliad("wrap-up", "--wipe", "--state", class_over)
    assert said.code == 1
    assert "stop the daemon first: sudo systemctl stop naupliad. Nothing was wiped" in said.err
    assert said.err.count("\n") == 1
    assert NOTES[0].encode() in (class_over / "station.db").read_bytes()
