"""`naupliad run`: the daemon as a process of its own, on real sockets, signals and the wall clock."""

import fcntl
import json
import os
import re
import signal
import socket
import stat
import time
from dataclasses import dataclass
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from tests.kit.command_line import PATIENCE_S, begin, ended, naupliad, surroundings, until
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.running_daemon import SELDOM_S, care, rehearsing, running, served
from tests.kit.station import PROBES, post, probe, station_text, table, vessel, zone_where_it_is
from tests.kit.web_server import Hook, is_signed, web_server

# The issue says 2 s. Here only a daemon that hangs fails; the figure is printed.
HANGS_S = 10.0


@pytest.fixture
def config(tmp_path: Path) -> Path:
    return rehearsing(tmp_path, SELDOM_S)


def test_without_its_hardware_run_says_what_is_missing_and_makes_nothing(tmp_path: Path) -> None:
    config = tmp_path / "station.toml"
    water = probe("cup-water", driver="ds18b20", address="28-0316a2795f1c")
    text = station_text(water, probe("room-air", "room_c"), vessel("cup", *PROBES))
    config.write_text(text, encoding="utf-8")
    said = ended(begin("run", "--config", config, "--state", tmp_path / "state", folder=tmp_path))
    assert (said.code, said.out) == (1, "")
    assert "cup-water" in said.err
    assert "Traceback" not in said.err
    assert said.faults[-1] == "no water thermometer can be read, so nothing was started"
    assert [path.name for path in tmp_path.iterdir()] == ["station.toml"]


def test_readings_land_in_the_store_at_every_beat(tmp_path: Path) -> None:
    with running(rehearsing(tmp_path, every_s=5), tmp_path / "state") as daemon:
        until("a second beat", lambda: daemon.beats() >= 2)
        times = [row[0] for row in daemon.rows("SELECT DISTINCT at FROM reading ORDER BY at")]
        assert 4 <= times[1] - times[0] <= 6
        rows = daemon.rows("SELECT probe, quality FROM reading WHERE at = ?", times[0])
        assert sorted(rows) == [("cup-water", "good"), ("room-air", "good")]
        said = daemon.stop()
    assert (said.code, said.out) == (0, "")
    assert daemon.stopped_in_s < HANGS_S
    assert not (daemon.state / "inbox.sock").exists()


def test_a_daemon_started_by_hand_keeps_its_state_from_others_as_the_unit_does(
    tmp_path: Path, config: Path
) -> None:
    with running(config, tmp_path / "state", umask=0o022) as daemon:
        modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in daemon.state.iterdir()}
        assert stat.S_IMODE(daemon.state.stat().st_mode) == 0o750
        assert (modes.pop("inbox.sock"), modes["station.db"], set(modes.values())) == (0o660, 0o640, {0o640})


def test_the_running_daemon_loads_no_library_for_doing_many_things_at_once(
    tmp_path: Path, config: Path
) -> None:
    # 3 MB together; they come with APScheduler's scheduler, and the first also with its triggers.
    unwanted = {"asyncio", "concurrent.futures", "multiprocessing"}
    journal = tmp_path / "journal"
    with journal.open("w") as errors:
        told = {"env": {**surroundings(), "PYTHONPROFILEIMPORTTIME": "1"}, "stderr": errors}
        with running(config, tmp_path / "state", **told) as daemon:
            assert daemon.stop().code == 0
    # "import time: self | cumulative | name", a line for every module (python(1), -X importtime)
    loaded = {line.rpartition("|")[2].strip() for line in journal.read_text("utf-8").splitlines()}
    assert "apscheduler.triggers.cron" in loaded
    assert unwanted & loaded == set()


def test_deeds_go_through_the_running_daemon_which_alone_writes(tmp_path: Path, config: Path) -> None:
    with running(config, tmp_path / "state") as daemon:
        state = daemon.state
        began = json.loads(care(state, "add", "cup", "set", "0.5", "--json").out)
        first = began["id"]
        # The daemon says what a deed changed; the command puts it in words.
        assert began["changed"]["hatch_t50"]["before"] is None
        assert began["said"].startswith("Half expected ")
        second = json.loads(
            care(
                state, "correct", str(first), "cup", "set", "0.05", "--detail", "salt_g_per_l=25", "--json"
            ).out
        )
        assert second["replaces"] == first
        third = json.loads(care(state, "add", "cup", "stir", "--json").out)["id"]
        care(state, "withdraw", str(third))
        stands = [(e["id"], e["amount"]) for e in json.loads(care(state, "list", "--json").out)]
        assert stands == [(second["id"], 0.05)]
        everything = json.loads(care(state, "list", "--all", "--json").out)
        assert {e["id"]: e["withdrawn_at"] is not None for e in everything} == {
            first: True,
            second["id"]: False,
            third: True,
        }
        # Nobody else may write meanwhile: these went through the daemon, or not at all.
        with pytest.raises(BlockingIOError):
            hold_the_lock(state)
        at_once = json.loads(naupliad("now", "--state", state, "--json").out)
        assert "loss_ml" in at_once["vessels"]["cup"]["estimates"]
        assert at_once["vessels"]["cup"]["water_c"] is not None
        assert naupliad("now", "--state", state).code == 0
        refused = naupliad("care", "add", "--state", state, "cup", "top-up", "9000")
        assert (refused.code, len(refused.faults)) == (2, 1)
        assert daemon.stop(signal.SIGINT).code == 0
    assert daemon.stopped_in_s < HANGS_S


def hold_the_lock(state: Path) -> None:
    with (state / "station.db.lock").open("r+") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)


def test_a_request_the_daemon_cannot_do_is_answered_in_one_line_and_it_runs_on(
    tmp_path: Path, config: Path
) -> None:
    with running(config, tmp_path / "state") as daemon:
        said = naupliad("care", "withdraw", "--state", daemon.state, "77")
        assert (said.code, len(said.faults)) == (2, 1)
        assert "deed 77: found no such deed" in said.err
        said = naupliad("care", "correct", "--state", daemon.state, "77", "cup", "stir")
        assert (said.code, len(said.faults)) == (2, 1)
        care(daemon.state, "add", "cup", "note", "--detail", "text=still there")
        assert daemon.stop().code == 0


def test_a_second_daemon_on_the_same_state_is_refused(tmp_path: Path, config: Path) -> None:
    with running(config, tmp_path / "state") as daemon:
        said = ended(begin("run", "--config", config, "--state", daemon.state, folder=tmp_path))
        assert (said.code, len(said.faults)) == (1, 1)
        assert said.err.startswith(f"{daemon.state}: found another naupliad writing here")
        care(daemon.state, "add", "cup", "stir")  # and the first one's inbox is still its own
        assert daemon.stop().code == 0


# By default it is quiet from 20:00 on, and what is later than half an hour then waits for the morning.
QUIET = {"quiet": "22:00-07:00"}
WITHOUT_MAIL = table("[post]", **QUIET)


@dataclass(frozen=True)
class Continued:
    """A station that was cold and wrote a letter, before its daemon was started on what it left."""

    config: Path
    state: Path
    last_at: int


@pytest.fixture
def cold_station(tmp_path: Path) -> Continued:
    """More than an hour of cold water up to 19:50 local time; now it is past 20:00, so there is an outage."""
    now = int(time.time())
    zone = zone_where_it_is(20, now)
    last_at = now // 3600 * 3600 - 600
    config = tmp_path / "station.toml"
    text = station_text(every_s=SELDOM_S, zone=zone, attended=())
    config.write_text(f"{text}\n{WITHOUT_MAIL}", encoding="utf-8")
    began = last_at - 69 * SELDOM_S
    tape = write_tape(tmp_path / "tape.csv", tape_rows(began, 70, good(17.0), SELDOM_S))
    care_log = write_care(tmp_path / "care.csv", f"{stamp(began - 4 * 3600)},cup,set,0.05,g,salt_g_per_l=25")
    state = tmp_path / "state"
    said = naupliad("replay", tape, "--care", care_log, "--config", config, "--out", state)
    assert said.code == 0
    assert [path.name for path in (state / "letters").iterdir()] == ["0001-cold.eml"]
    return Continued(config, state, last_at)


def test_a_restart_takes_up_alarms_and_letters_where_they_stood(cold_station: Continued) -> None:
    state = cold_station.state
    cold = "SELECT state FROM alarm WHERE condition = 'cold' ORDER BY id"
    # Of the hours in which the station was off another letter tells, when: that hangs on the time of day.
    letters = "SELECT number, kind, state FROM letter WHERE kind != 'outage' ORDER BY id"
    with running(cold_station.config, state) as daemon:
        # The night's letter was due while the station was off: it comes now, with its chart.
        night = until("the night's letter", lambda: [*(state / "letters").glob("0002-nightly.eml")])[0]
        read = message_from_bytes(night.read_bytes(), policy=policy.default)
        assert isinstance(read, EmailMessage)
        assert read["X-Naupliad-Kind"] == "nightly"
        assert [part for part in read.walk() if part.get_content_type() == "image/png"]
        until("it is marked as sent", lambda: (2, "nightly", "sent") in daemon.rows(letters))
        assert daemon.stop().code == 0
    assert daemon.stopped_in_s < HANGS_S
    stood = daemon.rows(letters), daemon.rows(cold)
    assert stood == ([(1, "cold", "sent"), (2, "nightly", "sent")], [("unacknowledged",)])
    assert daemon.rows("SELECT began FROM outage") == [(cold_station.last_at,)]
    with running(cold_station.config, state) as again:
        at_once = json.loads(naupliad("now", "--state", state, "--json").out)
        assert [alarm["condition"] for alarm in at_once["vessels"]["cup"]["alarms"]] == ["cold"]
        # Only an alarm that stands can be acknowledged; a deed does that.
        care(state, "add", "cup", "stir")
        assert again.rows(cold) == [*stood[1], ("acknowledged",)]
        assert again.rows(letters) == stood[0]
        assert again.stop().code == 0
    assert sorted(path.name for path in (state / "letters").iterdir()) == [
        "0001-cold.eml",
        "0002-nightly.eml",
    ]


def test_the_tape_driver_plays_its_rows_in_real_time(tmp_path: Path) -> None:
    config = tmp_path / "station.toml"
    config.write_text(
        station_text(every_s=5, zone=zone_where_it_is(12, int(time.time())), attended=()), encoding="utf-8"
    )
    write_tape(tmp_path / "tape.csv", tape_rows(1_800_000_000, 100, good(24.25, 20.5), every_s=5))
    with running(config, tmp_path / "state") as daemon:
        rows = daemon.rows("SELECT probe, value, quality FROM reading ORDER BY at, probe LIMIT 2")
        assert rows == [("cup-water", 24.25, "good"), ("room-air", 20.5, "good")]
        assert daemon.stop().code == 0


def test_a_wrong_tape_is_told_before_anything_is_made(tmp_path: Path) -> None:
    config = tmp_path / "station.toml"
    config.write_text(station_text(every_s=5), encoding="utf-8")
    said = ended(begin("run", "--config", config, "--state", tmp_path / "state", folder=tmp_path))
    assert (said.code, len(said.faults)) == (2, 1)
    assert re.search(r"tape\.csv: found no such file", said.err)
    assert not (tmp_path / "state").exists()


def test_a_tape_without_its_file_is_told_before_anything_is_made(tmp_path: Path) -> None:
    config = tmp_path / "station.toml"
    text = station_text(every_s=5).replace('file = "tape.csv"\n', "")
    config.write_text(text, encoding="utf-8")
    said = ended(begin("run", "--config", config, "--state", tmp_path / "state", folder=tmp_path))
    assert (said.code, len(said.faults)) == (2, 2)
    assert re.search(r"probe room-air: file: found nothing; allowed: the path of a tape", said.err)
    assert not (tmp_path / "state").exists()


def test_a_stop_in_the_middle_of_a_drawing_is_quick_and_loses_no_letter(cold_station: Continued) -> None:
    state = cold_station.state
    nightly = "SELECT number, state FROM letter WHERE kind = 'nightly'"
    with running(cold_station.config, state) as daemon:
        assert daemon.stop().code == 0
    assert daemon.stopped_in_s < HANGS_S
    with running(cold_station.config, state) as again:
        until("the night's letter", lambda: again.rows(nightly) == [(2, "sent")])
        assert again.stop().code == 0
    assert [path.name for path in (state / "letters").glob("*nightly*")] == ["0002-nightly.eml"]


def test_a_daemon_that_is_stopped_while_it_starts_ends_at_once_and_well(tmp_path: Path) -> None:
    (tmp_path / "station.toml").write_text(station_text(), encoding="utf-8")
    os.mkfifo(tmp_path / "tape.csv")  # a tape that takes as long to come as the test wants
    process = begin("run", "--config", "station.toml", "--state", "state", folder=tmp_path)
    writer = until("it opens the tape", lambda: opened_for_writing(tmp_path / "tape.csv"))
    # A signal just before it waits is heard only after that: a pipe lets it wait for ever, a file never.
    until("it waits for the tape", lambda: "\nState:\tS" in Path(f"/proc/{process.pid}/status").read_text())
    process.send_signal(signal.SIGTERM)
    said = ended(process)
    os.close(writer)
    assert (said.code, said.out, said.err) == (0, "", "")
    assert not (tmp_path / "state").exists()


def opened_for_writing(pipe: Path) -> int | None:
    """A pipe can be opened without waiting only when somebody reads it."""
    try:
        return os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
    except OSError:
        return None


def test_a_daemon_that_was_killed_is_followed_by_one_that_goes_on(tmp_path: Path, config: Path) -> None:
    state = tmp_path / "state"
    with running(config, state) as daemon:
        care(state, "add", "cup", "note", "--detail", "text=before the power cut")
        daemon.process.kill()
        daemon.process.communicate()
    assert (state / "inbox.sock").exists()  # nobody tidied up
    with running(config, state) as again:
        care(state, "add", "cup", "note", "--detail", "text=after it")
        told = [row[0] for row in again.rows("SELECT detail ->> 'text' FROM deed ORDER BY id")]
        assert told == ["before the power cut", "after it"]
        assert again.stop().code == 0


def test_a_kept_word_that_is_no_good_does_not_keep_a_station_that_ran_before_from_watching(
    cold_station: Continued, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "credentials"
    kept.mkdir()
    monkeypatch.setenv("CREDENTIALS_DIRECTORY", str(kept))
    for name in ("webhook-secret", "webhook-url", "alive-url"):
        (kept / name).write_text("two\nlines\n")
    with cold_station.config.open("a", encoding="utf-8") as file:
        file.write("\n[webhook]\n[alive]\n")
    with served(cold_station.config, cold_station.state, tmp_path) as (daemon, notice):
        notice("READY=1")
        until("the inbox answers", daemon.answers)
        said = daemon.stop()
    assert said.code == 0
    assert said.err.count("holds several lines") == 3
    by_hand = naupliad("run", "--config", cold_station.config, "--state", cold_station.state)
    assert (by_hand.code, len(by_hand.faults)) == (2, 1), "who looks on is told at once"


def test_a_post_that_hangs_does_not_hold_up_the_end(cold_station: Continued) -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        with_mail = post(silent.getsockname()[1], "127.0.0.1", **QUIET)
        text = cold_station.config.read_text(encoding="utf-8").replace(WITHOUT_MAIL, with_mail)
        cold_station.config.write_text(text, encoding="utf-8")
        with running(cold_station.config, cold_station.state) as daemon:
            silent.settimeout(PATIENCE_S)
            line, _ = silent.accept()
            with line:
                assert daemon.stop().code == 0
        assert daemon.stopped_in_s < HANGS_S
        assert daemon.rows("SELECT state FROM letter WHERE kind = 'nightly'") == [("queued",)]


HOOK_SECRET = "forty-two brine shrimp in a jar"
HOOK_TOKEN = "9f8a6c1e2b7d4f03"


def test_the_daemon_itself_posts_its_letters_and_signs_of_life_to_addresses_that_stand_nowhere(
    cold_station: Continued, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "credentials"  # as systemd hands them over
    kept.mkdir()
    monkeypatch.setenv("CREDENTIALS_DIRECTORY", str(kept))
    (kept / "webhook-secret").write_text(HOOK_SECRET)
    with web_server(Hook()) as hook:
        for name in ("webhook", "alive"):
            (kept / f"{name}-url").write_text(f"http://localhost:{hook.port}/{name}/{HOOK_TOKEN}\n")
        with cold_station.config.open("a", encoding="utf-8") as file:
            file.write("\n[webhook]\n[alive]\n")
        with running(cold_station.config, cold_station.state) as daemon:
            until("a sign of life", lambda: [asked for asked in hook.asked if asked.method == "GET"])
            posted = until("a letter", lambda: [asked for asked in hook.asked if asked.method == "POST"])[0]
            said = daemon.stop()
        assert said.code == 0
        told = json.loads(posted.body)
        assert (told["kind"], told["number"]) == ("nightly", 2)
        assert told["text"].endswith("Letter 2.\n")
        assert is_signed(posted, f"http://localhost:{hook.port}/webhook/{HOOK_TOKEN}", HOOK_SECRET)
        assert f"/alive/{HOOK_TOKEN}" in {asked.path for asked in hook.asked if asked.method == "GET"}
        for secret in (HOOK_SECRET, HOOK_TOKEN):
            assert secret not in said.out + said.err
            files = [path for path in cold_station.state.rglob("*") if path.is_file()]
            assert not [path.name for path in files if secret.encode() in path.read_bytes()]
