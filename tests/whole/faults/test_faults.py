"""What goes wrong around a station: disk, store, files, threads. The page about it names each test."""

import errno
import os
import re
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.post.message import words_of
from daemon.running.disk.store import open_store
from daemon.store import mishaps, readings, runs
from daemon.store.broken_file import NewestGood, finish, look_at, set_aside
from daemon.store.file import FILE_NAME, StoreBroken, StoreInUse, WritingStore, open_for_reading
from daemon.store.mishaps import SetAside
from sensors.reading import Quality, Reading
from tests.kit.checkout import ROOT
from tests.kit.command_line import PATIENCE_S, begin, ended, naupliad, process_of, until
from tests.kit.lost_writes import built_shim
from tests.kit.running_daemon import OFTEN_S, SELDOM_S, rehearsing, running, served, somebody_there
from tests.kit.somebody_else import as_somebody_else, let_others_in
from tests.kit.unsure_machine import BEGAN, Machine

TODAY = date(2027, 1, 15)
KEPT = "station.db.broken-2027-01-15"


def reading_at(at: int) -> Reading:
    return Reading(at, "cup-water", 24.0, Quality.GOOD)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """A store with readings on many pages, closed."""
    folder = tmp_path / "state"
    folder.mkdir()
    store = WritingStore(folder)
    with store.transaction() as connection:
        readings.add(
            connection, [Reading(at, "cup-water", 24.0, Quality.GOOD) for at in range(0, 300_000, 60)]
        )
        runs.keep_station_file(connection, 0, "[station]")
    store.close()
    return folder


@pytest.fixture
def shim(tmp_path: Path) -> Path:
    made = built_shim(tmp_path)
    if made is None:
        pytest.skip("no C compiler here to build tests/data/lost_writes.c with")
    return made


def spoil(path: Path) -> bytes:
    """Write nonsense over the middle of a file; what stands in it then."""
    content = bytearray(path.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 4096] = b"\xa5" * 4096
    path.write_bytes(content)
    return bytes(content)


def set_aside_if_broken(path: Path, newest_good: NewestGood = lambda _: None) -> SetAside | None:
    """As a start does it."""
    finish(path)
    found = look_at(path).broken
    return None if found is None else set_aside(path, TODAY, found, newest_good)


# --- a store that is broken


def test_a_store_that_is_whole_is_left_where_it_is(state: Path) -> None:
    assert set_aside_if_broken(state / FILE_NAME) is None
    assert [path.name for path in state.iterdir() if path.name.startswith("station.db.broken")] == []
    assert set_aside_if_broken(state / "nothing here") is None


def test_a_store_with_a_page_of_nonsense_is_kept_as_it_is_under_another_name(state: Path) -> None:
    spoiled = spoil(state / FILE_NAME)
    aside = set_aside_if_broken(state / FILE_NAME)
    assert aside is not None
    assert (aside.kept_as, aside.backup) == (KEPT, None)
    assert aside.found
    assert (state / KEPT).read_bytes() == spoiled
    assert not (state / FILE_NAME).exists()


def test_two_broken_stores_of_one_day_are_both_kept(state: Path) -> None:
    (state / FILE_NAME).write_bytes(b"no database at all" * 100)
    set_aside_if_broken(state / FILE_NAME)
    (state / FILE_NAME).write_bytes(b"nor is this one" * 100)
    aside = set_aside_if_broken(state / FILE_NAME)
    assert aside is not None
    assert aside.kept_as == f"{KEPT}-2"
    assert (state / KEPT).read_bytes().startswith(b"no database")
    assert (state / f"{KEPT}-2").read_bytes().startswith(b"nor is")


def test_the_log_of_a_broken_store_is_kept_with_it(state: Path) -> None:
    log = state / f"{FILE_NAME}-wal"
    (state / FILE_NAME).write_bytes(b"no database at all" * 100)
    log.write_bytes(b"what was written last")
    set_aside_if_broken(state / FILE_NAME)
    assert (state / f"{KEPT}-wal").read_bytes() == b"what was written last"
    assert not log.exists()


def test_a_backup_takes_the_place_of_a_broken_store(state: Path, tmp_path: Path) -> None:
    backup = state / "kept-yesterday.db"
    backup.write_bytes((state / FILE_NAME).read_bytes())
    spoil(state / FILE_NAME)
    aside = set_aside_if_broken(state / FILE_NAME, lambda folder: folder / "kept-yesterday.db")
    assert aside is not None
    assert aside.backup == "kept-yesterday.db"
    assert look_at(state / FILE_NAME).broken is None
    with closing(open_for_reading(state)) as connection:
        assert readings.newest_at(connection) == 299_940


def test_a_file_that_only_cannot_be_read_now_is_not_called_broken(tmp_path: Path) -> None:
    (tmp_path / "folder.db").mkdir()
    assert look_at(tmp_path / "folder.db").broken is None


def test_only_the_daemon_sets_a_store_aside(tmp_path: Path) -> None:
    """A command that records a deed says that the store is broken, and leaves it."""
    (tmp_path / FILE_NAME).write_bytes(b"no database at all" * 100)
    with pytest.raises(StoreBroken):
        WritingStore(tmp_path)
    assert [path.name for path in tmp_path.iterdir() if "broken" in path.name] == []


def test_the_store_remembers_what_it_took_the_place_of(tmp_path: Path) -> None:
    store = WritingStore(tmp_path)
    assert mishaps.last_set_aside(store.connection) is None
    aside = SetAside(KEPT, "file is not a database", None)
    with store.transaction() as connection:
        mishaps.keep_set_aside(connection, aside, 1_800_000_000)
    assert mishaps.last_set_aside(store.connection) == (1_800_000_000, aside)
    store.close()


def test_a_daemon_that_finds_its_store_broken_reads_on_keeps_the_file_and_says_so_in_one_letter(
    tmp_path: Path,
) -> None:
    config, state = somebody_there(tmp_path), tmp_path / "state"
    state.mkdir()
    (state / FILE_NAME).write_bytes(b"no database at all" * 100)
    with running(config, state) as daemon:
        assert daemon.beats() >= 1
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        said = daemon.stop()
    assert said.code == 0
    kept = [path for path in state.iterdir() if path.name.startswith("station.db.broken-")]
    assert [path.read_bytes()[:11] for path in kept] == [b"no database"]
    assert f"it is kept as {kept[0].name}, an empty one begins" in said.err
    words = words_of(letter.read_bytes())
    assert words.subject.startswith("Station's records were damaged")
    assert kept[0].name in words.text
    assert "write in the care log what is in the vessels, and when it was set" in " ".join(words.text.split())
    with running(config, state) as again:
        assert len(again.rows("SELECT id FROM letter WHERE kind = 'storage'")) == 1
        assert again.stop().code == 0


def test_where_a_backup_took_the_place_the_letter_says_from_when_on_things_must_be_told_anew(
    tmp_path: Path,
) -> None:
    config, state, now = somebody_there(tmp_path), tmp_path / "state", int(time.time())
    state.mkdir()
    store = WritingStore(state)
    with store.transaction() as connection:
        readings.add(connection, [reading_at(now - 1200)])  # less than an outage is told of
        mishaps.keep_set_aside(
            connection, SetAside(KEPT, "file is not a database", "station-2027-01-14.db"), now
        )
    store.close()
    with running(config, state) as daemon:
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        assert daemon.stop().code == 0
    told = " ".join(words_of(letter.read_bytes()).text.split())
    assert "write in the care log again what was done after" in told


def test_a_disk_too_full_for_the_backup_leaves_the_broken_store_where_it_is(
    state: Path, tmp_path: Path
) -> None:
    spoiled = spoil(state / FILE_NAME)
    with pytest.raises(OSError, match="No such file"):  # as any copy that fails
        set_aside_if_broken(state / FILE_NAME, lambda folder: folder / "gone.db")
    assert (state / FILE_NAME).read_bytes() == spoiled


@pytest.mark.parametrize("backed_up", [False, True])
def test_the_word_of_a_store_set_aside_is_not_lost_when_the_power_goes_before_it_is_written(
    state: Path, tmp_path: Path, backed_up: bool
) -> None:
    """Cut between the last rename and the row in the new store's ledger, which is what is left here."""
    config, now = somebody_there(tmp_path), int(time.time())
    (state / KEPT).write_bytes(b"no database at all")
    (state / f"{KEPT}-wal").write_bytes(b"its log")
    if not backed_up:
        (state / FILE_NAME).unlink()
    with running(config, state) as daemon:
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        told = " ".join(words_of(letter.read_bytes()).text.split())
        assert f"kept as {KEPT}." in told
        assert ("A backup took its place" in told) == backed_up
        assert daemon.stop().code == 0
    with running(config, state) as again:
        assert len(again.rows("SELECT id FROM letter WHERE kind = 'storage'")) == 1
        assert again.rows("SELECT max(at) >= ? FROM reading", now) == [(1,)]
        assert again.stop().code == 0


def test_a_backup_whose_last_rename_was_cut_off_takes_the_place_at_the_next_start(state: Path) -> None:
    (state / FILE_NAME).rename(state / f".{FILE_NAME}.copied")
    assert set_aside_if_broken(state / FILE_NAME) is None
    with closing(open_for_reading(state)) as connection:
        assert readings.newest_at(connection) == 299_940


def test_a_copy_that_was_cut_short_is_never_taken_for_a_backup(state: Path) -> None:
    (state / f".{FILE_NAME}.copied").write_bytes(b"half")
    assert set_aside_if_broken(state / FILE_NAME) is None
    assert not (state / f".{FILE_NAME}.copied").exists()


def test_a_store_of_which_the_card_gives_a_page_back_no_more_is_set_aside(
    tmp_path: Path, state: Path, shim: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every read of the store's file from its third page on fails with EIO; a rename does not."""
    config, lost = somebody_there(tmp_path), tmp_path / "lost"
    lost.write_text(str(2 * 4096))
    monkeypatch.setenv("LD_PRELOAD", str(shim))
    monkeypatch.setenv("LOST_READS_FROM", str(lost))
    before = (state / FILE_NAME).read_bytes()
    with running(config, state) as daemon:
        until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])
        lost.unlink()
        assert daemon.stop().code == 0
    kept = [path.read_bytes() for path in state.iterdir() if path.name.startswith(f"{FILE_NAME}.broken-")]
    assert before in kept  # its empty log is kept beside it


# --- a disk that fails while the station runs


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS], ids=["full", "read-only"])
def test_a_disk_that_fails_ends_the_daemon_in_one_line_and_it_goes_on_when_the_disk_is_well(
    tmp_path: Path, shim: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    config, state, fails = rehearsing(tmp_path, OFTEN_S), tmp_path / "state", tmp_path / "fails"
    monkeypatch.setenv("LD_PRELOAD", str(shim))
    monkeypatch.setenv("LOST_WRITES_ERRNO", str(fails))
    with running(config, state, hurried=True) as daemon:
        before = daemon.beats()
        fails.write_text(str(number))
        said = ended(daemon.process)
    assert said.code == 1
    assert "Traceback" not in said.err
    assert said.faults[-1].startswith(f"{state}/station.db: found ")
    # Only the store is made to fail here, so that the last word can stand among the letters.
    last_word = words_of((state / "letters" / "0000-storage.eml").read_bytes())
    assert last_word.subject.startswith("Nothing is watched: card f")
    # The service starts it again and again; it says the same for as long as the disk fails.
    still = ended(begin("run", "--config", config, "--state", state, folder=tmp_path))
    assert still.code == 1
    assert "Traceback" not in still.err
    fails.unlink()
    with running(config, state, hurried=True) as again:
        until("a new beat", lambda: again.beats() > before)
        assert again.rows("PRAGMA integrity_check") == [("ok",)]
        assert again.stop().code == 0


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO], ids=["full", "failing"])
def test_a_deed_that_the_disk_does_not_take_is_refused_in_one_line_with_and_without_a_daemon(
    tmp_path: Path, shim: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    config, state, fails = rehearsing(tmp_path, SELDOM_S), tmp_path / "state", tmp_path / "fails"
    monkeypatch.setenv("LD_PRELOAD", str(shim))
    monkeypatch.setenv("LOST_WRITES_ERRNO", str(fails))
    words = ("care", "add", "--state", state, "cup", "stir")
    with running(config, state) as daemon:
        fails.write_text(str(number))
        by_daemon = ended(begin(*words, folder=tmp_path))
        fails.unlink()
        assert daemon.stop().code == 0
    fails.write_text(str(number))
    alone = ended(begin(*words, folder=tmp_path))
    fails.unlink()
    assert daemon.rows("SELECT * FROM deed") == []
    for said in (by_daemon, alone):
        assert (said.code in (1, 2), said.out, len(said.faults)) == (True, "", 1)
        assert said.err.startswith(f"{state}/station.db: found ")
        assert said.err.endswith("Nothing was done\n")


def test_a_daemon_waits_for_a_command_that_just_writes_to_its_store(tmp_path: Path) -> None:
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    state.mkdir()
    writing = WritingStore(state)
    with served(config, state, tmp_path) as (daemon, notice):
        assert daemon.process.stderr is not None
        while "waiting for it" not in daemon.process.stderr.readline():
            assert daemon.process.poll() is None
        writing.close()
        notice("READY=1")
        assert daemon.stop().code == 0


def test_a_store_that_somebody_holds_for_good_is_waited_for_half_a_minute(tmp_path: Path) -> None:
    holding, waiting = WritingStore(tmp_path), Waiting()
    with pytest.raises(StoreInUse, match="allowed: one writer"):
        open_store(tmp_path, 0, waiting)  # type: ignore[arg-type]  # all of a clock that is asked here
    assert waiting.now_s == 30
    holding.close()


class Waiting:
    """A clock that is there at once."""

    now_s = 0.0

    def monotonic_s(self) -> float:
        return self.now_s

    def wait(self, until_monotonic_s: float, _wake: threading.Event) -> bool:
        self.now_s = until_monotonic_s
        return True


def test_a_deed_that_the_store_did_not_take_is_not_believed_either(tmp_path: Path) -> None:
    machine, wake = Machine(tmp_path), threading.Event()
    machine.deeds.append(0)  # nothing is set
    machine.inbox = Inbox(tmp_path / INBOX, wake)
    words = {"ask": "record", "at": BEGAN, "vessel": "cup", "deed": "set", "amount": "0.05", "unit": "g"}
    machine.run(1)
    assert machine.home is not None
    assert machine.store is not None
    pages = machine.store.connection.execute("PRAGMA page_count").fetchone()[0]
    machine.store.connection.execute(f"PRAGMA max_page_count = {pages}")  # it is full from here on
    with ThreadPoolExecutor(1) as beside:
        asked = beside.submit(ask, tmp_path / INBOX, words, PATIENCE_S)
        assert wake.wait(PATIENCE_S)
        machine.home.between(machine.now_s())
        told = asked.result()
    assert told is not None
    assert told["error"].startswith(f"{machine.store.path}: found database or disk is full; ")
    assert machine.home.beliefs.running() == []
    machine.inbox.close()
    machine.kill()


def test_a_state_folder_that_lets_nobody_in_is_named_in_one_line_also_under_a_service_manager(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    state.mkdir(mode=0o700 if os.geteuid() == 0 else 0)
    let_others_in(tmp_path)
    for under in ("", str(tmp_path / "notify")):
        monkeypatch.setenv("NOTIFY_SOCKET", under)
        with as_somebody_else():
            said = naupliad("run", "--config", config, "--state", state)
        assert (said.code, len(said.faults)) == (2, 1)
        assert said.err.startswith(f"{state}: found ")
        assert said.err.strip().endswith("allowed: a folder this user can write to")


def test_a_state_folder_that_cannot_be_written_is_named_with_what_is_allowed(tmp_path: Path) -> None:
    config = rehearsing(tmp_path, OFTEN_S)
    for folder in ("/proc/naupliad", "/proc/self"):  # not even root can make a file there
        said = ended(begin("run", "--config", config, "--state", folder, folder=tmp_path))
        assert (said.code, len(said.faults)) == (2, 1)
        assert said.err.startswith(f"{folder}: found ")
        assert said.err.strip().endswith("allowed: a folder this user can write to")


# --- files and threads


def test_a_thread_that_dies_in_the_running_daemon_ends_it_so_that_it_is_started_anew(tmp_path: Path) -> None:
    """A thread of the workers is made to die; the unit says Restart=always (below)."""
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    program = tmp_path / "dying.py"
    program.write_text(
        "import sys\n"
        "from daemon.running import run\n"
        "from daemon.cli import main\n"
        "class Dying(run.ThreadWorkers):\n"
        "    def settle(self):\n"
        "        if not self._lanes:\n"
        "            self.submit(sys.exit, lambda *_: None, lane='mail')\n"
        "            self._threads[0].join()\n"
        "        super().settle()\n"
        "run.ThreadWorkers = Dying\n"
        "main()\n",
        encoding="utf-8",
    )
    said = ended(process_of(program, "run", "--config", config, "--state", state))
    assert said.code == 1
    assert said.faults[-1].startswith("worker: found its thread ended")
    assert "Traceback" not in said.err


def test_the_unit_starts_a_daemon_that_ended_and_never_gives_up() -> None:
    unit = (ROOT / "systemd" / "naupliad.service").read_text(encoding="utf-8").splitlines()
    assert {"Restart=always", "StartLimitIntervalSec=0", "OOMPolicy=continue"} <= set(unit)


# --- the page


def test_every_row_of_the_page_about_faults_names_a_test_that_is_there() -> None:
    page = (ROOT / "docs" / "explanation" / "reliability.md").read_text(encoding="utf-8")
    table = page.partition("## Faults, one by one")[2].splitlines()
    rows = [line for line in table if line.startswith("|")][2:]
    assert len(rows) > 10
    for row in rows:
        named = re.findall(r"`(tests/[\w/]+\.py)::(test_\w+)`", row)
        assert named, row
        for path, test in named:
            assert f"def {test}(" in (ROOT / path).read_text(encoding="utf-8"), (path, test)
