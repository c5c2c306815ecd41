"""A first start under a service manager: it waits for a station file, and the inbox helps meanwhile."""

import hashlib
import signal
from pathlib import Path
from typing import Any

import pytest

from daemon.errors import NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from tests.kit.command_line import begin, ended, surroundings, until
from tests.kit.running_daemon import OFTEN_S, rehearsing, served
from tests.kit.station import station_text
from tests.kit.sysfs import attach

pytestmark = pytest.mark.usefixtures("undrawn")

RIGHT = station_text(driver="rehearsal", every_s=OFTEN_S)
ON_A_WIRE = RIGHT.replace('"rehearsal"', '"ds18b20"\naddress = "28-0000000000aa"', 1).replace(
    '"rehearsal"', '"iio"\ndevice = "bme280"', 1
)
# It looks by itself only after hours: what comes sooner has woken it.
_LOOKS_LATE = """
from daemon.running import first_file

assert first_file._LOOK_S < 100
first_file._LOOK_S = 10_000
"""
# Its 1-Wire bus is a folder; it looks and tries again at once.
_ON_A_TREE = """
from functools import partial
from pathlib import Path
from daemon import station_probes
from daemon.running import first_file
from sensors.probe_opening import Roots

station_probes.openers = partial(station_probes.openers, roots=Roots(w1=Path("{tree}")))
assert first_file._LOOK_S < first_file._TRY_AGAIN_S < 100
first_file._LOOK_S = first_file._TRY_AGAIN_S = 0.2
"""
_CUT_AT_THE_RENAME = """
import os, signal

real = os.replace

def replace(source, target, **more):
    if str(target).endswith("/station.toml"):
        os.kill(os.getpid(), signal.SIGKILL)
    return real(source, target, **more)

os.replace = replace
"""


def planted(folder: Path, program: str) -> Path:
    """A folder from which a daemon runs this first of all."""
    where = folder / "planted"
    where.mkdir()
    (where / "sitecustomize.py").write_text(program, encoding="utf-8")
    return where


def told(state: Path, **words: Any) -> dict[str, Any]:
    answer = ask(state / INBOX, words)
    assert answer is not None
    return answer


@pytest.mark.parametrize("found", [None, "", "[station]\nname = "])
def test_it_waits_for_a_file_that_is_missing_empty_or_broken_and_takes_up_the_one_that_is_kept(
    tmp_path: Path, found: str | None
) -> None:
    """`/etc/naupliad/station.toml` is a link into the state folder; without the file it leads nowhere."""
    state = tmp_path / "state"
    state.mkdir()
    config, true = tmp_path / "station.toml", state / "station.toml"
    config.symlink_to(true)
    if found is not None:
        true.write_text(found, encoding="utf-8")
    digest = "" if found is None else hashlib.sha256(found.encode()).hexdigest()
    with served(config, state, tmp_path, planted(tmp_path, _LOOKS_LATE)) as (daemon, notice):
        assert "nothing is watched yet" in notice("STATUS=")
        notice("READY=1")
        notice("WATCHDOG=1")
        refused = told(state, ask="now")["error"]
        assert refused.startswith("inbox: found no station file to go by yet; allowed: ")
        seen = told(state, ask="station-file")
        assert (seen["path"], seen["text"], seen["digest"]) == (str(true), found, digest)
        assert (seen["writable"], seen["why"], seen["watching"]) == (True, "", False)
        assert seen["faults"]
        kept = told(state, ask="keep-file", text=RIGHT, instead_of=digest)
        assert kept == {"kept": str(true), "before": "" if found is None else f"{true}.before"}
        notice("RELOADING=1")
        notice("READY=1")
        assert told(state, ask="station-file")["watching"] is True
        assert true.read_text(encoding="utf-8") == RIGHT
        assert found is None or true.with_name("station.toml.before").read_text(encoding="utf-8") == found
        assert config.is_symlink()
        assert daemon.stop().code == 0


def test_a_file_that_is_half_written_is_waited_for_until_it_is_whole(tmp_path: Path) -> None:
    config, state = tmp_path / "station.toml", tmp_path / "state"
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        config.write_text(RIGHT[: RIGHT.index("[[vessel]]")], encoding="utf-8")
        assert any("vessel" in notice("STATUS=") for _ in range(5))
        config.write_text(RIGHT, encoding="utf-8")
        notice("READY=1")
        until("a beat", lambda: daemon.beats() > 0)
        assert daemon.stop().code == 0


def test_a_signal_ends_the_wait_at_once_and_takes_the_inbox_away(tmp_path: Path) -> None:
    late = planted(tmp_path, _LOOKS_LATE)
    with served(tmp_path / "station.toml", tmp_path / "state", tmp_path, late) as (daemon, notice):
        notice("READY=1")
        assert daemon.stop(signal.SIGTERM).code == 0
    assert not (tmp_path / "state" / INBOX).exists()


def test_a_second_daemon_on_the_same_inbox_is_refused_in_one_line(tmp_path: Path) -> None:
    state = tmp_path / "state"
    with served(tmp_path / "station.toml", state, tmp_path) as (daemon, notice):
        notice("READY=1")
        environ = {**surroundings(), "NOTIFY_SOCKET": str(tmp_path / "nobody")}
        words = ("run", "--config", tmp_path / "station.toml", "--state", state)
        said = ended(begin(*words, folder=tmp_path, env=environ))
        assert said.code == 1
        assert said.faults[-1].startswith(f"{state / INBOX}: another daemon listens there")
        assert daemon.stop().code == 0


def test_killed_between_the_file_before_and_the_new_one_it_begins_again_with_what_stood(
    tmp_path: Path,
) -> None:
    """The page asks for a file to be kept, `.before` stands already, and the power goes."""
    state, config = tmp_path / "state", tmp_path / "station.toml"
    config.write_text("[station]\nname = ", encoding="utf-8")
    with served(config, state, tmp_path, planted(tmp_path, _CUT_AT_THE_RENAME)) as (daemon, notice):
        notice("READY=1")
        digest = told(state, ask="station-file")["digest"]
        with pytest.raises(NaupliadError, match=r"hung up without an answer|line to the daemon broke"):
            told(state, ask="keep-file", text=RIGHT, instead_of=digest)
        assert ended(daemon.process).code == -signal.SIGKILL
    assert config.read_text(encoding="utf-8") == "[station]\nname = "
    assert config.with_name("station.toml.before").read_bytes() == config.read_bytes()
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        assert told(state, ask="station-file")["digest"] == digest
        told(state, ask="keep-file", text=RIGHT, instead_of=digest)
        notice("READY=1")
        assert config.read_text(encoding="utf-8") == RIGHT
        assert [*tmp_path.glob(".station.toml*")] == []
        assert daemon.stop().code == 0


def test_at_a_terminal_a_missing_file_is_refused_as_ever(tmp_path: Path) -> None:
    words = ("run", "--config", tmp_path / "station.toml", "--state", tmp_path / "state")
    said = ended(begin(*words, folder=tmp_path))
    assert (said.code, len(said.faults)) == (2, 1)
    assert "found no such file" in said.err


def test_a_right_file_without_its_thermometer_is_waited_with_too_so_that_the_page_can_mend_it(
    tmp_path: Path,
) -> None:
    config, state = tmp_path / "station.toml", tmp_path / "state"
    config.write_text(ON_A_WIRE, encoding="utf-8")
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        seen = told(state, ask="station-file")
        assert (seen["faults"], seen["watching"]) == ([], False)
        assert seen["waits_for"][-1] == "no water thermometer can be read, so nothing was started"
        told(state, ask="keep-file", text=RIGHT, instead_of=seen["digest"])
        notice("READY=1")
        until("a beat", lambda: daemon.beats() > 0)
        assert daemon.stop().code == 0


def test_what_is_missing_is_told_once_the_file_is_right_and_taken_up_by_itself_when_it_comes(
    tmp_path: Path,
) -> None:
    config, state, tree = tmp_path / "station.toml", tmp_path / "state", tmp_path / "w1"
    tree.mkdir()
    with served(config, state, tmp_path, planted(tmp_path, _ON_A_TREE.format(tree=tree))) as (daemon, notice):
        notice("READY=1")
        config.write_text(ON_A_WIRE, encoding="utf-8")
        assert any('probe "cup-water": no 1-Wire bus' in notice("STATUS=") for _ in range(5))
        assert told(state, ask="now")["error"].startswith("inbox: found nothing watched yet: ")
        attach(tree, "28-0000000000aa", 21.0)
        notice("READY=1")
        until("a beat", lambda: daemon.beats() > 0)
        assert daemon.stop().code == 0


def test_a_running_daemon_keeps_another_file_and_takes_it_up(tmp_path: Path) -> None:
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    with served(config, state, tmp_path, hurried=True) as (daemon, notice):
        notice("READY=1")
        seen = told(state, ask="station-file")
        other = seen["text"].replace("Small room", "Large room")
        told(state, ask="keep-file", text=other, instead_of=seen["digest"])
        notice("RELOADING=1")
        assert "Large room" in notice("STATUS=")
        assert daemon.stop().code == 0


def test_a_daemon_that_runs_answers_every_word_of_the_set_up_beside_its_beats(tmp_path: Path) -> None:
    config, state = rehearsing(tmp_path, OFTEN_S), tmp_path / "state"
    line = {"driver": "ds18b20", "measures": "water_c", "keys": {"address": "28-000000000000"}}
    with served(config, state, tmp_path) as (daemon, notice):
        notice("READY=1")
        assert told(state, ask="ice", do="begin", **line)["state"] == "reading"
        assert told(state, ask="light", do="look")["state"] == "none"
        account = {"host": "mail.school.example", "user": "shrimp"}
        assert told(state, ask="keep-password", **account, password="swim-7") == {"kept": True}
        seen = told(state, ask="station-file")
        assert (seen["mail_password"], seen["mail_accounts"][0]["port"]) == ("kept", 465)
        assert "no way out" in told(state, ask="sample-letter", text=seen["text"])["error"]
        assert told(state, ask="checkup")["findings"][0]["grade"] == "ok"
        until("there is no such probe", lambda: told(state, ask="ice", do="look")["state"] == "over")
        beats = daemon.beats()
        until("a beat", lambda: daemon.beats() > beats)
        stopped = daemon.stop()
    assert stopped.code == 0
    assert "swim-7" not in stopped.out + stopped.err
