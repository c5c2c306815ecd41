"""An account that the station's folder does not let in is told what lets it in, not only that it may not."""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from daemon.inbox import INBOX, Inbox
from daemon.store.file import WritingStore
from tests.kit.command_line import Said, naupliad

NOBODY = 65534  # Debian's account that owns nothing (policy 9.2.2)
REMEDY = "sudo usermod -aG naupliad $USER, then sign out and in again"


@contextmanager
def as_somebody_else() -> Iterator[None]:
    """As an account that is neither root nor the folder's; one that is not root is kept out by the mode."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def closed(tmp_path: Path) -> Iterator[Path]:
    """A state folder with a store and an inbox, which only its owner enters, and where that is us, nobody."""
    folder = tmp_path / "state"
    folder.mkdir()
    WritingStore(folder).close()
    inbox = Inbox(folder / INBOX, threading.Event())
    folder.chmod(0o700 if os.geteuid() == 0 else 0)
    for above in (tmp_path, *list(tmp_path.parents)[:2]):
        above.chmod(0o755)  # pytest's own folders; the closed one is to be what stands in the way
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
