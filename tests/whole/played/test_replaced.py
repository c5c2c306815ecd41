"""A folder that is just played anew: what people record in it meanwhile is not lost with the earlier play."""

import fcntl
import signal
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.kit.command_line import begin, ended, naupliad, until
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.station import station_text

BEGAN = 1_800_000_000
HOURS = 6


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A tape that was replayed into a folder of its own."""
    (tmp_path / "station.toml").write_text(station_text(zone="UTC"), encoding="utf-8")
    write_tape(tmp_path / "tape.csv", tape_rows(BEGAN, HOURS * 60, good(24.0)))
    write_care(tmp_path / "care.csv", f"{stamp(BEGAN)},cup,set,0.05,g,salt_g_per_l=25")
    assert naupliad(*_words(tmp_path)).code == 0
    return tmp_path


@pytest.fixture
def no_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """`care` waits ten seconds for a store: they pass at once."""
    waited_s = [0.0]

    def wait(seconds: float) -> None:
        waited_s[0] += seconds

    monkeypatch.setattr("daemon.cli.requests.sleep", wait)
    monkeypatch.setattr("daemon.cli.requests.monotonic", lambda: waited_s[0])


def _words(place: Path) -> list[str | Path]:
    care, station = place / "care.csv", place / "station.toml"
    return ["replay", place / "tape.csv", "--care", care, "--config", station, "--out", place / "state"]


def _deeds(place: Path) -> list[str]:
    with closing(sqlite3.connect(place / "state" / "station.db")) as connection:
        return [str(row[0]) for row in connection.execute("SELECT deed FROM deed ORDER BY id")]


@pytest.fixture
def replaying(place: Path) -> Iterator[None]:
    """The same folder, being replayed by a process that was halted on its way."""
    process = begin(*_words(place), "--replace", folder=place)
    made = place / "state" / ".unfinished" / "station.db"
    until("the play is under way", lambda: process.poll() is not None or made.exists())
    process.send_signal(signal.SIGSTOP)
    try:
        yield
    finally:
        process.send_signal(signal.SIGCONT)
        assert ended(process).code == 0


@pytest.mark.usefixtures("replaying", "no_patience")
def test_nothing_is_recorded_in_a_folder_that_is_being_replaced(place: Path) -> None:
    said = naupliad("care", "add", "--state", place / "state", "cup", "stir")
    assert (said.code, said.out, len(said.faults)) == (1, "", 1)
    assert "found another naupliad writing here" in said.err
    assert _deeds(place) == ["set"]


@pytest.mark.usefixtures("replaying")
def test_a_folder_is_not_replayed_twice_at_once(place: Path) -> None:
    said = naupliad(*_words(place), "--replace")
    assert (said.code, len(said.faults)) == (1, 1)
    assert "found another naupliad writing here" in said.err


def test_what_is_recorded_once_it_was_replaced_stays(place: Path) -> None:
    lock = (place / "state" / "station.db.lock").stat().st_ino
    assert naupliad(*_words(place), "--replace").code == 0
    assert (place / "state" / "station.db.lock").stat().st_ino == lock
    assert naupliad("care", "add", "--state", place / "state", "cup", "stir").code == 0
    assert _deeds(place) == ["set", "stir"]


def test_a_play_replaces_nothing_while_a_deed_is_being_recorded(place: Path) -> None:
    before = (place / "state" / "station.db").read_bytes()
    with (place / "state" / "station.db.lock").open("r+") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        said = naupliad(*_words(place), "--replace")
    assert (said.code, len(said.faults)) == (1, 1)
    assert "found another naupliad writing here" in said.err
    assert (place / "state" / "station.db").read_bytes() == before
