"""An account that the station's folder does not let in is told what lets it in, not only that it may not."""

import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.store.file import WritingStore
from tests.kit.command_line import Said, naupliad
from tests.kit.somebody_else import as_somebody_else, let_others_in

REMEDY = "sudo usermod -aG naupliad $USER, then sign out and in again"


@pytest.fixture
def closed(tmp_path: Path) -> Iterator[Path]:
    """A state folder with a store and an inbox, which only its owner enters, and where that is us, nobody."""
    folder = tmp_path / "state"
    folder.mkdir()
    WritingStore(folder).close()
    inbox = Inbox(folder / INBOX, threading.Event())
    folder.chmod(0o700 if os.geteuid() == 0 else 0)
    let_others_in(tmp_path)
    yield folder
    folder.chmod(0o700)
    inbox.close()


def said(*words: str | Path) -> Said:
    with as_somebody_else():
        return naupliad(*words)


@pytest.mark.parametrize("words", [("now",), ("care", "list"), ("care", "add", "tray-a", "top-up", "5")])
def test_who_may_not_look_into_the_folder_is_told_how_to_be_let_in(
    closed: Path, words: tuple[str, ...]
) -> None:
    told = said(*words, "--state", closed)
    assert (told.code, told.out, len(told.faults)) == (2, "", 1)
    assert str(closed) in told.err
    assert REMEDY in told.err


def test_who_may_not_speak_to_the_daemon_is_told_how_to_be_let_in(closed: Path) -> None:
    told = said("post", "try", "--state", closed)
    assert (told.code, told.out, len(told.faults)) == (1, "", 1)
    assert REMEDY in told.err


def test_the_folders_owner_is_let_in(tmp_path: Path) -> None:
    WritingStore(tmp_path).close()
    assert "that no station has used yet" in naupliad("now", "--state", tmp_path).err


def test_a_station_file_that_cannot_be_read_is_named_in_one_line(tmp_path: Path) -> None:
    """Not by the command line: a daemon that ran before goes by the file it ran by then."""
    config = tmp_path / "station.toml"
    config.write_text("[station]", encoding="utf-8")
    config.chmod(0o600 if os.geteuid() == 0 else 0)
    let_others_in(tmp_path)
    told = said("run", "--config", config, "--state", tmp_path / "state")
    assert (told.code, told.out) == (2, "")
    found = "found a file that cannot be read (Permission denied)"
    assert told.faults == [f"{config}: {found}; allowed: the path of a readable file"]
