"""Plays that several processes need: each is played once, and nobody waits who could play another."""

import threading
from pathlib import Path

import pytest

from tests.kit.command_line import PATIENCE_S
from tests.kit.plays import Plays


def test_a_play_that_two_need_is_played_once_and_who_must_wait_plays_another_meanwhile(
    tmp_path: Path,
) -> None:
    at_work, other_is_played, played = threading.Event(), threading.Event(), list[str]()

    def play(name: str, folder: Path) -> str:
        played.append(name)
        if name == "first":
            at_work.set()
            assert other_is_played.wait(PATIENCE_S)
        else:
            other_is_played.set()
        return str(folder)

    ours, theirs = (Plays(tmp_path, play, needed=("first", "second")) for _ in range(2))
    got: list[str] = []
    them = threading.Thread(target=lambda: at_work.wait(PATIENCE_S) and got.append(theirs["first"]))
    them.start()
    assert ours["first"] == str(tmp_path / "first")
    them.join(PATIENCE_S)
    assert got == [str(tmp_path / "first")]
    assert ours.all(("second", "first")) == [str(tmp_path / "second"), *got]
    assert played == ["first", "second"]


def test_a_play_that_fails_is_not_tried_by_everybody_and_tells_each_why(tmp_path: Path) -> None:
    tries: list[str] = []

    def play(name: str, _folder: Path) -> None:
        tries.append(name)
        raise RuntimeError("the curtain is stuck")

    for plays in (Plays(tmp_path, play), Plays(tmp_path, play)):
        with pytest.raises(AssertionError, match="the curtain is stuck"):
            plays["hamlet"]
    assert tries == ["hamlet"]
