"""The station file changes while the daemon runs, or is broken at its start: what is gone by and said."""

import json
import os
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.post.message import words_of
from daemon.running.station_file_watch import Followed, StationFileWatch, file_state, follow
from daemon.store import mishaps, runs
from daemon.store.file import WritingStore
from daemon.store.mishaps import Overlooked, SetAside
from tests.kit.command_line import begin, ended, naupliad, until
from tests.kit.running_daemon import OFTEN_S, Running, rehearsing, running, served, somebody_there
from tests.kit.somebody_else import as_somebody_else, let_others_in
from tests.kit.station import station_text
from tests.kit.unsure_machine import STATION, Machine

pytestmark = pytest.mark.usefixtures("undrawn")

BROKEN = "[station]\nname = "
DAY_S = 86_400


# --- noticed after a beat


class Watched:
    """A file under watch, and what came of it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.text = station_text(driver="rehearsal")
        path.write_text(self.text, encoding="utf-8")
        followed = Followed(parse_station(self.text, str(path)), self.text, file_state(path), None)
        self.overlooked: list[Overlooked | None] = []
        self.begun_anew = 0
        self.watch = StationFileWatch(path, followed, self.overlooked.append, self._begin_anew)

    def _begin_anew(self) -> None:
        self.begun_anew += 1

    def save(self, text: str) -> None:
        """As an editor does that writes beside and renames: each saved file is another inode."""
        beside = self.path.with_suffix(".new")
        beside.write_text(text, encoding="utf-8")
        beside.rename(self.path)

    def beats(self, count: int) -> None:
        for at in range(count):
            self.watch.after_beat(at)


@pytest.fixture
def watched(tmp_path: Path) -> Watched:
    return Watched(tmp_path / "station.toml")


def test_a_changed_file_is_taken_up_once_it_stood_still_for_a_beat(watched: Watched) -> None:
    watched.beats(3)
    watched.save(watched.text.replace("Small room", "Large room"))
    watched.beats(1)
    assert watched.begun_anew == 0
    watched.beats(1)
    assert (watched.begun_anew, watched.overlooked) == (1, [])


def test_a_file_that_is_being_written_is_let_be(watched: Watched) -> None:
    for cut in range(1, 9):
        with watched.path.open("w", encoding="utf-8") as file:
            file.write(watched.text[: cut * len(watched.text) // 9])
        watched.beats(1)
    watched.save(watched.text.replace("Small room", "Large room"))
    watched.beats(2)
    assert (watched.begun_anew, watched.overlooked) == (1, [])


def test_another_comment_changes_nothing(watched: Watched) -> None:
    watched.save("# checked in May\n" + watched.text)
    watched.beats(5)
    assert (watched.begun_anew, watched.overlooked) == (0, [])


@pytest.mark.parametrize("spoil", ["half", "gone", "unknown key", "a folder", "a pipe", "a terminal"])
def test_a_file_that_is_refused_is_told_of_once_and_the_right_one_again(watched: Watched, spoil: str) -> None:
    match spoil:
        case "half":
            watched.save(watched.text[:40])
        case "gone":
            watched.path.unlink()
        case "unknown key":
            watched.save(watched.text.replace("low_ml", "lw_ml"))
        case "a folder":
            watched.path.unlink()
            watched.path.mkdir()
        case "a pipe":
            watched.path.unlink()
            os.mkfifo(watched.path)
        case "a terminal":
            watched.path.unlink()
            watched.path.symlink_to("/dev/ptmx")  # each opening makes a terminal, of which nobody reads
    watched.beats(6)
    assert len(watched.overlooked) == 1
    told = watched.overlooked[0]
    assert told is not None
    assert told.path == str(watched.path)
    assert told.faults[0].startswith(str(watched.path))
    if spoil == "a folder":
        watched.path.rmdir()
    watched.save(watched.text)
    watched.beats(6)
    assert watched.overlooked[1:] == [None]
    assert watched.begun_anew == 0


def test_a_file_that_can_be_read_no_more_is_told_of_though_nothing_in_it_changed(watched: Watched) -> None:
    let_others_in(watched.path.parent)
    with as_somebody_else():
        watched.beats(2)
    close(watched.path)
    with as_somebody_else():
        watched.beats(6)
    (told,) = watched.overlooked
    assert told is not None
    assert told.faults[0].startswith(f"{watched.path}: found a file that cannot be read (Permission denied)")
    watched.path.chmod(0o644)
    with as_somebody_else():
        watched.beats(6)
    assert (watched.overlooked[1:], watched.begun_anew) == ([None], 0)


def close(path: Path) -> None:
    """To all but root, who may always: whoever else runs the tests is kept out by the mode as well."""
    path.chmod(0o600 if os.geteuid() == 0 else 0)


# --- what is gone by at the start


@pytest.fixture
def ran_before(tmp_path: Path) -> tuple[Path, Path, str]:
    """A broken station file, a state folder, and the text that the store there was last run by."""
    text = station_text(driver="rehearsal")
    store = WritingStore(tmp_path)
    with store.transaction() as connection:
        runs.keep_station_file(connection, 1_800_000_000, text)
    store.close()
    (tmp_path / "station.toml").write_text(BROKEN, encoding="utf-8")
    return tmp_path / "station.toml", tmp_path, text


def test_where_nobody_looks_on_the_file_before_is_gone_by(ran_before: tuple[Path, Path, str]) -> None:
    path, state, text = ran_before
    followed, name = follow(path, state, lambda station: station.name, alone=True)
    assert (followed.text, name) == (text, "Small room")
    assert followed.overlooked is not None
    assert followed.overlooked.faults[0].startswith(f"{path}: found a text that is no TOML")


def test_a_file_that_cannot_be_read_is_overlooked_as_a_broken_one(ran_before: tuple[Path, Path, str]) -> None:
    path, state, text = ran_before
    let_others_in(state)
    close(path)
    with as_somebody_else():
        followed, name = follow(path, state, lambda station: station.name, alone=True)
    assert (followed.text, name) == (text, "Small room")
    assert followed.overlooked is not None
    assert "Permission denied" in followed.overlooked.faults[0]


def test_where_somebody_looks_on_or_nothing_ran_before_the_file_is_refused(
    ran_before: tuple[Path, Path, str], tmp_path: Path
) -> None:
    path, state, _ = ran_before
    for folder, alone in ((state, False), (tmp_path / "nothing", True)):
        with pytest.raises(InputError, match="no TOML"):
            follow(path, folder, lambda station: station, alone=alone)


def test_a_file_whose_secret_or_tape_is_missing_is_refused_like_one_with_a_typo(
    ran_before: tuple[Path, Path, str],
) -> None:
    path, state, text = ran_before
    path.write_text(text.replace("Small room", "Large room"), encoding="utf-8")

    def fit(station: object) -> None:
        if getattr(station, "name", "") == "Large room":
            raise InputError("tape.csv: found no such file; allowed: the path of a readable file")

    followed, _ = follow(path, state, fit, alone=True)
    assert followed.station.name == "Small room"
    assert followed.overlooked == Overlooked(
        str(path), ("tape.csv: found no such file; allowed: the path of a readable file",)
    )


# --- what is said


def letters(machine: Machine) -> list[tuple[str, str]]:
    """Subject and words of what was written of a kind."""
    assert machine.store is not None
    rows = machine.store.connection.execute(
        "SELECT message FROM letter WHERE kind = 'storage' AND state = 'sent' ORDER BY number"
    )
    told = [words_of(message) for (message,) in rows]
    return [(words.subject, " ".join(words.text.split())) for words in told]


def of(*faults: str) -> Overlooked:
    return Overlooked("/etc/naupliad/station.toml", faults)


BEATS_A_DAY = DAY_S // STATION.sample_every_s


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """On a Thursday at 09:00, with somebody there and nothing set: no other letter takes it in."""
    made = Machine(tmp_path)
    made.deeds.append(0)
    made.run(1)
    yield made
    made.kill()


def test_the_same_mistakes_are_told_once_and_others_once_more(machine: Machine) -> None:
    assert machine.home is not None
    for faults in (("one",), ("one",), ("one", "two"), ("one", "two")):
        machine.home.overlook_file(of(*faults))
        machine.run(BEATS_A_DAY)
    machine.run(BEATS_A_DAY)  # over the weekend, to Monday morning
    assert [subject for subject, _ in letters(machine)] == ["Mistake in the station file, Small room"] * 2


def test_a_file_that_is_right_again_before_the_letter_could_go_is_not_told_of(machine: Machine) -> None:
    assert machine.home is not None
    machine.run(BEATS_A_DAY // 2)  # nobody is there any more
    machine.home.overlook_file(of("one"))
    machine.run(1)
    machine.home.overlook_file(None)
    machine.run(2 * BEATS_A_DAY)
    assert letters(machine) == []


def test_what_befell_store_and_file_together_stands_in_one_letter(machine: Machine) -> None:
    assert machine.home is not None
    assert machine.store is not None
    machine.run(BEATS_A_DAY // 2)
    with machine.store.transaction() as connection:
        mishaps.keep_set_aside(
            connection, SetAside("station.db.broken-2027-01-14", "torn", None), machine.true
        )
    machine.true += 60
    machine.home.overlook_file(of("one"))
    machine.run(BEATS_A_DAY)
    ((subject, text),) = letters(machine)
    assert subject == "Mistake in the station file, Small room"
    assert "The records of Small room were damaged. The station reads again." in text.partition("Also")[2]


# --- the daemon itself


def kept_text(daemon: Running) -> str:
    return str(daemon.rows("SELECT text FROM station_file ORDER BY at DESC LIMIT 1")[0][0])


@pytest.mark.long
def test_a_broken_station_file_leaves_the_old_one_at_work_and_is_told_in_one_letter(tmp_path: Path) -> None:
    config, state = somebody_there(tmp_path), tmp_path / "state"
    right = config.read_text(encoding="utf-8")
    with running(config, state, hurried=True) as daemon:
        config.write_text(right.replace("low_ml", "lw_ml"), encoding="utf-8")
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        words = words_of(letter.read_bytes())
        assert words.subject.startswith("Mistake in the station file")
        told = " ".join(words.text.split())
        assert "vessel[1].lw_ml: found an unknown key (did you mean low_ml?)" in told
        assert "Goes by the one of" in told
        shown = naupliad("now", "--state", state).out
        assert f"The station file {config} is not taken, since" in shown
        as_json = json.loads(naupliad("now", "--state", state, "--json").out)
        assert any("vessel[1].lw_ml" in fault for fault in as_json["station_file_not_taken"])
        before = daemon.beats()
        until("two more beats by the old file", lambda: daemon.beats() > before + 1)
        config.write_text(right + "# now it is right\n", encoding="utf-8")
        until("it is right", lambda: "is not taken" not in naupliad("now", "--state", state).out)
        assert len(daemon.rows("SELECT id FROM letter WHERE kind = 'storage'")) == 1
        said = daemon.stop()
    assert said.code == 0
    assert said.err.count("is not taken; the station goes on by the file it ran by before") == 1
    assert "is right again" in said.err


def test_a_broken_file_at_the_start_under_a_service_manager_does_not_keep_the_cups_unwatched(
    tmp_path: Path,
) -> None:
    config, state = somebody_there(tmp_path), tmp_path / "state"
    right = config.read_text(encoding="utf-8")
    with running(config, state, hurried=True) as daemon:
        assert daemon.stop().code == 0
    config.write_text(BROKEN, encoding="utf-8")
    by_hand = ended(begin("run", "--config", config, "--state", state, folder=tmp_path))
    assert (by_hand.code, len(by_hand.faults)) == (2, 1)
    assert by_hand.err.startswith(f"{config}: found a text that is no TOML")
    with served(config, state, tmp_path, hurried=True) as (again, notice):
        notice("READY=1")
        assert "is not taken" in notice("STATUS=")
        until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])
        config.write_text(right, encoding="utf-8")
        assert "is not taken" not in notice("STATUS=")
        said = again.stop()
    assert said.code == 0
    assert f"{config}: found a text that is no TOML" in said.err


def test_a_pipe_in_the_files_place_holds_up_neither_start_nor_beat_nor_stop(tmp_path: Path) -> None:
    config, state = somebody_there(tmp_path), tmp_path / "state"
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        config.unlink()
        os.mkfifo(config)
        while "is not taken" not in notice("STATUS="):
            pass
        before = daemon.beats()
        until("two more beats", lambda: daemon.beats() > before + 1)
        said = daemon.stop()
    assert (said.code, f"{config}: found a pipe; allowed:" in said.err) == (0, True)
    with served(config, state, tmp_path, hurried=True) as (again, notice):
        notice("READY=1")
        assert again.stop().code == 0


def test_a_station_whose_thermometer_is_gone_runs_on_and_reads_it_absent(tmp_path: Path) -> None:
    if time.monotonic() < 300:
        pytest.skip("this machine was started less than five minutes ago: drivers may still come up")
    config, state = somebody_there(tmp_path), tmp_path / "state"
    gone = config.read_text(encoding="utf-8").replace(
        'driver = "rehearsal"', 'driver = "ds18b20"\naddress = "28-0316a2795f1c"', 1
    )
    config.write_text(gone, encoding="utf-8")
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        never_ran = daemon.stop()
    assert (never_ran.code, (state / "station.db").exists()) == (0, False)  # one that never ran waits for it
    assert "no water thermometer can be read" in never_ran.err
    config = somebody_there(tmp_path)
    with running(config, state, hurried=True) as daemon:
        assert daemon.stop().code == 0
    config.write_text(gone, encoding="utf-8")
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        newest = "SELECT quality FROM reading WHERE probe = ? ORDER BY at DESC LIMIT 1"
        assert daemon.rows(newest, "cup-water") == [("absent",)]
        assert daemon.rows(newest, "room-air") == [("good",)]
        assert daemon.stop().code == 0


def open_now(daemon: Running) -> tuple[int, int]:
    """How many file descriptors and threads a process has."""
    proc = Path("/proc", str(daemon.process.pid))
    return len([*(proc / "fd").iterdir()]), len([*(proc / "task").iterdir()])


@pytest.mark.long
def test_three_changes_are_taken_up_one_by_one_by_the_same_process_and_leave_nothing_open(
    tmp_path: Path,
) -> None:
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    text = config.read_text(encoding="utf-8")
    with running(config, state, hurried=True) as daemon:
        until("all is under way", lambda: daemon.beats() > 1)
        at_first = open_now(daemon)
        for change in range(3):
            now = text.replace("Small room", f"Room {change}")
            config.write_text(now, encoding="utf-8")
            until("it is taken up", lambda now=now: kept_text(daemon) == now)
            before = daemon.beats()
            until("it beats on", lambda before=before: daemon.beats() > before)
            assert daemon.process.poll() is None
        until("nothing more is open", lambda: open_now(daemon) == at_first)
        assert daemon.stop().code == 0
    times = [at for (at,) in daemon.rows("SELECT DISTINCT at FROM reading ORDER BY at")]
    gaps = [after - before for before, after in pairwise(times)]
    print(f"the longest gap: {max(gaps)} s")  # noqa: T201 - with -s
    assert daemon.rows("SELECT count(*) FROM outage") == [(0,)]
