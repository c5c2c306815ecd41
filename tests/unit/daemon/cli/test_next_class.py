"""`naupliad next-class`: the file it writes, what it says, what it refuses."""

import json
from pathlib import Path

import pytest

from daemon.config import parse_station
from tests.kit.class_records import furnish
from tests.kit.command_line import naupliad
from tests.kit.station import station_text


@pytest.fixture
def state(tmp_path: Path) -> Path:
    furnish(tmp_path / "state", ["milky"], [])
    return tmp_path / "state"


def test_it_writes_the_file_that_ran_last_with_what_was_learned_above_it(state: Path, tmp_path: Path) -> None:
    out = tmp_path / "next.toml"
    said = naupliad("next-class", "--out", out, "--state", state)
    assert said.code == 0, said.err
    text = out.read_text("utf-8")
    assert text.endswith(station_text(every_s=600))
    assert parse_station(text, "new") == parse_station(station_text(every_s=600), "new")
    assert "# Tins of the care log that the file does not name: blue tin." in text
    assert "No value was changed" in said.out
    assert said.out.endswith(f"Written: {out}\n")


def test_a_named_file_is_copied_with_its_comments(state: Path, tmp_path: Path) -> None:
    old, out = tmp_path / "old.toml", tmp_path / "next.toml"
    old.write_text("# by hand\n" + station_text(every_s=600), encoding="utf-8")
    said = naupliad("next-class", "--config", old, "--out", out, "--state", state, "--json")
    assert said.code == 0, said.err
    assert "# by hand" in out.read_text("utf-8")
    assert json.loads(said.out)["file"] == str(out)
    assert old.read_text("utf-8").startswith("# by hand")


def test_what_is_wrong_is_said_in_one_line_and_nothing_is_written(state: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.toml"
    there.write_text("mine", encoding="utf-8")
    bad = tmp_path / "bad.toml"
    bad.write_text("[station]\n", encoding="utf-8")
    for words, line in (
        (("--out", there), "found a file; allowed: a name that is not there yet"),
        (("--out", tmp_path / "gone" / "next.toml"), "found No such file or directory"),
        (("--config", tmp_path / "none.toml", "--out", tmp_path / "a.toml"), "none.toml: "),
    ):
        said = naupliad("next-class", *words, "--state", state)
        assert said.code == 2
        assert line in said.err
        assert said.err.count("\n") == 1
    assert there.read_text("utf-8") == "mine"
    assert naupliad("next-class", "--config", bad, "--out", tmp_path / "b.toml", "--state", state).code == 2
    assert not (tmp_path / "b.toml").exists()
