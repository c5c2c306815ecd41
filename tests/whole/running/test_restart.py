"""A restart by its snapshot, with real processes: kept at a clean stop, gone on from, and never needed."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from daemon.watching.snapshot import file
from tests.kit.command_line import until
from tests.kit.running_daemon import OFTEN_S, care, rehearsing, running

ALL = {"vessel cup", "trust", "old hatches"}


@pytest.fixture(scope="module")
def stopped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a station file and a state in which a daemon ran, heard of a deed and was stopped."""
    folder = tmp_path_factory.mktemp("stopped")
    with running(rehearsing(folder, OFTEN_S), folder / "state") as daemon:
        care(daemon.state, "add", "cup", "set", "0.05", "--unit", "g")
        assert daemon.stop().code == 0
    return folder


@pytest.fixture
def state(stopped: Path, tmp_path: Path) -> Path:
    shutil.copytree(stopped, tmp_path / "copy")
    return tmp_path / "copy" / "state"


def beats_on(state: Path) -> str:
    """Start, beat, stop; what the journal said."""
    with running(state.parent / "station.toml", state) as daemon:
        before = daemon.beats()
        until("another beat", lambda: daemon.beats() > before)
        said = daemon.stop()
    assert (said.code, said.out) == (0, "")
    return said.err


def head(state: Path) -> Any:
    """What the snapshot says of itself."""
    return file.said(file.read(state)[0])


def test_a_clean_stop_keeps_what_is_believed_and_the_next_start_goes_on_from_it(state: Path) -> None:
    kept = head(state)
    assert set(kept["keys"]) == ALL
    care(state, "add", "cup", "top-up", "20", "--unit", "ml")  # by a command without a daemon
    said = beats_on(state)
    assert "start from a snapshot" in said
    assert head(state)["at"] > kept["at"]


def spoiled(path: Path) -> None:
    whole = bytearray(path.read_bytes())
    whole[len(whole) // 2] ^= 1
    path.write_bytes(whole)


def a_pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


@pytest.mark.parametrize("strike", [spoiled, a_pipe])
def test_without_a_whole_snapshot_all_is_read_anew_and_the_next_stop_keeps_one(
    state: Path, strike: Callable[[Path], None]
) -> None:
    strike(state / file.FILE_NAME)
    assert "start from a snapshot" not in beats_on(state)
    assert set(head(state)["keys"]) == ALL
