"""`naupliad rehearse`: told weekends through the real daemon, and what it believed against what was true."""

import json
import os
import pty
import signal
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from daemon.play.story_file import read_story
from daemon.play.story_world import Heard, StoryWorld
from daemon.play.world.vessel import Outcome, Truth
from tests.kit.command_line import begin, ended, naupliad, surroundings, until
from tests.kit.played import Played
from tests.kit.plays import Plays
from tests.kit.recordings import unix, write_story
from tests.kit.rehearsals import AGAIN, TWICE
from tests.kit.telling import WEEKENDS as STORIES
from tests.kit.undrawn import drawn

pytestmark = pytest.mark.usefixtures("undrawn")


@pytest.mark.parametrize("name", STORIES)
def test_a_story_runs_through_and_the_letters_it_calls_for_come(rehearsed: Plays[Played], name: str) -> None:
    said = rehearsed[name].said
    assert (said.code, [line for line in said.faults if line.startswith(name)]) == (0, [])


@pytest.mark.parametrize("name", STORIES)
def test_the_account_names_every_letter_and_every_file(rehearsed: Plays[Played], name: str) -> None:
    out, folder = rehearsed[name].said.out, rehearsed[name].folder
    letters = rehearsed[name].summary["letters"]
    assert len(letters) >= 5
    for letter in letters:
        assert f"{letter['kind']:<8} {letter['subject']}\n" in out
        assert f"\n  {letter['file']}\n" in out
    assert f"\nWritten to {folder.name}:\n" in out
    listed = [line.strip() for line in out.split("Written to ")[1].splitlines()[1:]]
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert set(listed) == there - {"station.db.lock"}


@pytest.mark.parametrize("name", STORIES)
def test_nothing_moves_on_what_is_no_terminal(rehearsed: Plays[Played], name: str) -> None:
    said = rehearsed[name].said
    assert not {"\r", "\x1b"} & set(said.out + said.err)
    assert "playing" not in said.err


def test_a_report_made_later_has_the_chart_that_was_drawn_that_night(
    rehearsed: Plays[Played], tmp_path: Path
) -> None:
    played = rehearsed["long-weekend"].folder
    with drawn():
        said = naupliad("report", "2027-01-22", "--state", played, "--out", tmp_path / "report")
    assert said.code == 0
    again = (tmp_path / "report" / "charts" / "2027-01-22.png").read_bytes()
    assert again == (played / "charts" / "2027-01-22.png").read_bytes()


@pytest.mark.long  # in short: test_replay.py::test_the_same_tape_gives_the_same_bytes_twice
def test_the_same_story_gives_the_same_bytes_twice(rehearsed: Plays[Played]) -> None:
    first, second = rehearsed[TWICE].folder, rehearsed[AGAIN].folder
    names = sorted(
        path.relative_to(first) for path in first.rglob("*") if path.suffix in {".eml", ".png", ".json"}
    )
    assert len(names) > 8
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes(), name
    for table in ("reading", "estimate", "deed", "alarm", "letter", "outage"):
        query = f"SELECT * FROM {table}"
        assert rehearsed[TWICE].rows(query) == rehearsed[AGAIN].rows(query)


def test_with_json_the_summary_is_all_that_is_said(rehearsed: Plays[Played]) -> None:
    assert json.loads(rehearsed[AGAIN].said.out) == rehearsed[AGAIN].summary


def test_another_seed_gives_another_weekend(tmp_path: Path) -> None:
    one, other = write_story(tmp_path / "one.toml"), tmp_path / "other.toml"
    other.write_text(one.read_text(encoding="utf-8").replace("seed = 7", "seed = 8"), encoding="utf-8")
    summaries = []
    for story in (one, other):
        assert naupliad("rehearse", story, "--out", tmp_path / story.stem).code == 0
        summaries.append((tmp_path / story.stem / "summary.json").read_bytes())
    assert summaries[0] != summaries[1]


# What was true is asked of the story's own world: it is played once more with the letters that came, and
# must do the same deeds again, or it would not be the world that the daemon saw.


@dataclass(frozen=True)
class Truths:
    """How a story's one vessel truly was."""

    vessel: str
    set_at: int
    outcome: Outcome
    at: Callable[[int], Truth]


def true_world(played: Played, name: str) -> Truths:
    story = read_story(name)
    (vessel,) = (vessel.id for vessel in story.station.vessels)
    deeds = played.rows("SELECT at, deed, amount, detail FROM deed ORDER BY at, id")
    world = StoryWorld(story)
    heard = heard_by(played, vessel, deeds)
    told = [
        deed
        for at in range(story.begins, story.ends + 60, 60)
        for deed in world.deeds(at, [letter for letter in heard if letter.at < at])
    ]
    assert [(d.at, d.deed, d.amount, dict(d.detail)) for d in told] == [
        (at, deed, amount, json.loads(detail)) for at, deed, amount, detail in deeds
    ]
    outcome = world.outcome()[vessel]
    assert outcome.set_at is not None
    return Truths(vessel, outcome.set_at, outcome, lambda at: world.truth(at)[vessel])


def heard_by(played: Played, vessel: str, deeds: list[tuple[Any, ...]]) -> list[Heard]:
    """The letters as the person heard them: what a leave letter asked stands in the top-up that followed."""
    heard = []
    for letter in played.summary["letters"]:
        at, above_ml = unix(letter["at"]), {}
        poured = [json.loads(detail) for then, deed, _, detail in deeds if deed == "top-up" and then > at]
        if letter["kind"] == "leave" and poured:
            above_ml = {vessel: float(poured[0].get("above_ml", 0.0))}
        heard.append(Heard(at, letter["kind"], above_ml))
    return heard


@pytest.fixture(scope="module")
def truths(rehearsed: Plays[Played]) -> dict[str, Truths]:
    rehearsed.all(STORIES)
    return {name: true_world(rehearsed[name], name) for name in STORIES}


# p10 to p90 should hold the truth four times in five (contract). The hours of a weekend hang together (two
# clumsy fillings spoil them all), so three weekends cannot prove the four in five; test_calibration.py
# asks hundreds of cups. Here only the weekends together are held to anything, and to less: to three in five,
# so that a range plainly too sure fails. What each weekend gives is printed.
AT_LEAST = 0.6


def held_in_all(quantity: str, rehearsed: Plays[Played], true: Callable[[str, int], float | None]) -> float:
    """The share of hourly ranges, over all stories, that held what `true` says of (story, time)."""
    held: dict[str, list[bool]] = {name: [] for name in STORIES}
    query = "SELECT at, p10, p90 FROM estimate WHERE quantity = ? AND at % 3600 = 0 ORDER BY at"
    for name, told in held.items():
        for at, low, high in rehearsed[name].rows(query, quantity):
            if (value := true(name, at)) is not None:
                told.append(low <= value <= high)
        print(f"{quantity}, {name}: {sum(told)} of {len(told)} hours")  # noqa: T201 - with -s
    every = [one for told in held.values() for one in told]
    assert len(every) > 50
    return sum(every) / len(every)


def test_the_true_loss_lies_in_what_was_believed(rehearsed: Plays[Played], truths: dict[str, Truths]) -> None:
    assert held_in_all("loss_ml", rehearsed, lambda name, at: truths[name].at(at).loss_ml) >= AT_LEAST


def test_the_true_salinity_lies_in_what_was_believed(
    rehearsed: Plays[Played], truths: dict[str, Truths]
) -> None:
    share = held_in_all(
        "salinity_g_per_kg", rehearsed, lambda name, at: truths[name].at(at).salinity_g_per_kg
    )
    assert share >= AT_LEAST


def test_the_hatch_lies_in_what_was_believed_of_it_before_it_came(
    rehearsed: Plays[Played], truths: dict[str, Truths]
) -> None:
    # Three batches are three draws, whatever the hours: the three times of a hatch are held to it together.
    shares = []
    for quantity in ("hatch_t10", "hatch_t50", "hatch_t90"):

        def true(name: str, at: int, quantity: str = quantity) -> float | None:
            came = getattr(truths[name].outcome, quantity)
            return float(came) if at <= came else None

        shares.append(held_in_all(quantity, rehearsed, true))
    assert sum(shares) / 3 >= AT_LEAST


def test_the_coldest_water_of_the_next_16_hours_lies_in_what_was_believed(
    rehearsed: Plays[Played], truths: dict[str, Truths]
) -> None:
    def true(name: str, at: int) -> float | None:
        if at + 16 * 3600 > read_story(name).ends:
            return None
        return min(truths[name].at(then).water_c for then in range(at, at + 16 * 3600, 300))

    assert held_in_all("water_c_min_next_16h", rehearsed, true) >= AT_LEAST


def test_in_the_default_story_the_half_hatched_lay_in_the_range_of_every_hour_before_it(
    rehearsed: Plays[Played], truths: dict[str, Truths]
) -> None:
    came = truths["long-weekend"].outcome.hatch_t50
    assert came is not None
    query = "SELECT p10, p90 FROM estimate WHERE quantity = 'hatch_t50' AND at <= ?"
    ranges = rehearsed["long-weekend"].rows(query, came)
    assert len(ranges) > 30
    assert all(low <= came <= high for low, high in ranges)


def test_the_cold_letter_comes_while_the_cups_are_truly_cold(
    rehearsed: Plays[Played], truths: dict[str, Truths]
) -> None:
    (letter,) = (row for row in rehearsed["long-weekend"].summary["letters"] if row["kind"] == "cold")
    limit_c = read_story("long-weekend").station.vessels[0].cold_c
    assert truths["long-weekend"].at(unix(letter["at"])).water_c < limit_c


def test_a_story_whose_call_is_not_met_ends_with_one_and_says_which(tmp_path: Path) -> None:
    story = write_story(tmp_path / "short.toml", '\n[[must]]\nkind = "hatch"\n')
    said = naupliad("rehearse", story, "--out", tmp_path / "out")
    assert said.code == 1
    (line,) = said.faults
    assert line.startswith("short: letters of kind hatch between ")
    assert "found 0" in line
    assert (tmp_path / "out" / "summary.json").is_file()


def test_without_a_chart_a_play_is_told_and_kept_all_the_same(tmp_path: Path) -> None:
    write_story(tmp_path / "short.toml")
    # A drawing library that will not load, found before the real one.
    (tmp_path / "broken" / "matplotlib").mkdir(parents=True)
    (tmp_path / "broken" / "matplotlib" / "__init__.py").write_text("raise ImportError('out of order')\n")
    said = ended(begin("rehearse", "short.toml", folder=tmp_path, env=surroundings(tmp_path / "broken")))
    assert (said.code, len(said.faults)) == (0, 1)
    assert said.err.startswith("the chart of 2027-03-11 was not drawn: ")
    assert "out of order" in said.err
    assert (tmp_path / "rehearsal-short" / "summary.json").is_file()


def test_on_a_terminal_a_bar_shows_how_far_it_is(tmp_path: Path) -> None:
    write_story(tmp_path / "short.toml")
    ours, theirs = pty.openpty()
    with begin("rehearse", "short.toml", folder=tmp_path, stderr=theirs) as process:
        os.close(theirs)
        shown = b""
        try:
            while piece := os.read(ours, 4096):
                shown += piece
        except OSError:  # Linux: the other side of the terminal is closed
            pass
        os.close(ours)
        assert ended(process).code == 0
    assert b"playing" in shown
    assert b"100%" in shown


def test_without_out_each_run_takes_the_next_free_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    write_story(tmp_path / "short.toml")
    (tmp_path / "rehearsal-short-2").mkdir()  # taken, if only by name
    for _ in range(2):
        assert naupliad("rehearse", "short.toml").code == 0
    folders = sorted(path.name for path in tmp_path.iterdir() if path.is_dir())
    assert folders == ["rehearsal-short", "rehearsal-short-2", "rehearsal-short-3"]


@pytest.fixture
def earlier_run(tmp_path: Path) -> Path:
    """A folder that could be a run of before: its files say only where they come from."""
    out = tmp_path / "out"
    (out / "letters").mkdir(parents=True)
    (out / "letters" / "0099-cold.eml").write_text("of before")
    (out / "charts").mkdir()
    (out / "charts" / "2020-01-01.png").write_text("of before")
    (out / "summary.json").write_text("of before")
    return out


def files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_an_earlier_run_is_refused_and_left_as_it_was(tmp_path: Path, earlier_run: Path) -> None:
    before = files(tmp_path)
    said = naupliad("rehearse", "--out", earlier_run)
    assert (said.code, len(said.faults)) == (2, 1)
    assert "another folder, or --replace" in said.err
    assert files(tmp_path) == before


def test_replace_keeps_nothing_of_the_earlier_run(tmp_path: Path, earlier_run: Path) -> None:
    story = write_story(tmp_path / "short.toml")
    assert naupliad("rehearse", story, "--out", earlier_run, "--replace").code == 0
    assert not [name for name, content in files(earlier_run).items() if content == b"of before"]
    assert json.loads((earlier_run / "summary.json").read_text(encoding="utf-8"))["station"] == "Small room"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "short.toml"]


def test_a_folder_with_something_else_in_it_is_refused_even_with_replace(
    tmp_path: Path, earlier_run: Path
) -> None:
    (earlier_run / "thesis.odt").write_text("years of work")
    before = files(tmp_path)
    for words in ((), ("--replace",)):
        said = naupliad("rehearse", "--out", earlier_run, *words)
        assert (said.code, len(said.faults)) == (2, 1)
        assert "'thesis.odt'" in said.err
    assert files(tmp_path) == before


def test_the_working_folder_itself_can_take_a_run_and_take_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    story = write_story(tmp_path / "short.toml")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    for words in ((), ("--replace",)):
        assert naupliad("rehearse", story, "--out", ".", *words).code == 0
        assert (tmp_path / "here" / "summary.json").is_file()
    shown = {path.name for path in Path().iterdir()} - {"station.db.lock"}
    assert shown == {"station.db", "charts", "summary.json"}  # no letter was due in three hours


# Also root, under which tests may run, cannot make a folder in these places.
@pytest.mark.parametrize("place", ["a file/out", "a file/deep/out", "a file", "/proc/naupliad-out"])
def test_a_folder_that_cannot_be_made_is_refused_at_once(tmp_path: Path, place: str) -> None:
    (tmp_path / "a file").write_text("content")
    said = naupliad("rehearse", "--out", tmp_path / place)
    assert (said.code, len(said.faults), said.out) == (2, 1, "")
    assert "allowed: " in said.err
    assert files(tmp_path) == {"a file": b"content"}


@pytest.mark.parametrize("replacing", [False, True])
def test_a_run_that_is_broken_off_leaves_nothing_half_written(
    tmp_path: Path, earlier_run: Path, replacing: bool
) -> None:
    # Two months: it is not over before this process, on a busy machine, comes to break it off.
    story = write_story(tmp_path / "endless.toml")
    story.write_text(
        story.read_text(encoding="utf-8").replace("ends = 2027-03-11", "ends = 2027-05-09"), "utf-8"
    )
    before = files(tmp_path)
    out = earlier_run if replacing else tmp_path / "new"
    process = begin("rehearse", story, "--out", out, "--replace", folder=tmp_path)
    # Python ends by the signal itself, not by our code, where it comes in the midst of an import.
    until(
        "readings are being written",
        lambda: [log for log in tmp_path.rglob("station.db-wal") if log.stat().st_size > 100_000],
    )
    process.send_signal(signal.SIGINT)
    said = ended(process)
    assert (said.code, said.err.strip()) == (130, "naupliad: stopped")
    assert files(tmp_path) == before
    assert not (tmp_path / "new").exists()
