"""The machine looked over by the inbox's word `checkup`: by a real child, beside everything else."""

import json
import os
import subprocess
import sys
import threading
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from daemon.commissioning.checkup.look_over import findings
from daemon.errors import NaupliadError
from daemon.setting_up import checkup_desk
from daemon.setting_up.checkup_desk import CheckupDesk
from daemon.store.file import WritingStore
from tests.kit.command_line import surroundings, until
from tests.kit.file_machine import machine
from tests.kit.set_up_daemon import asked, place_in
from tests.kit.station import probe, station_text, vessel
from tests.kit.sysfs import attach

GUARD_S = 20.0
# Begins to speak and does not come to an end by itself, but for a test that fails.
ENDLESS = (sys.executable, "-c", "import signal; signal.alarm(15); print('[', flush=True); signal.pause()")
PINS = (
    probe("tray-water", driver="ds18b20", address="28-00000a1b2c3d"),
    probe("cell", "light_fraction", "photocell", pin=22),
    probe("low", "float_low", "float", pin=17),
    probe("light", "light_fraction", "mcp3008", channel=0),
    vessel("tray-a", "tray-water"),
)


@pytest.fixture(autouse=True)
def imports_from_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", surroundings()["PYTHONPATH"])


def test_what_the_command_finds_is_answered_over_the_inbox(tmp_path: Path) -> None:
    (tmp_path / "station.toml").write_text(station_text(driver="rehearsal"), encoding="utf-8")
    WritingStore(tmp_path).close()
    with asked(place_in(tmp_path)) as told:
        answered, again = told("checkup"), told("checkup")
    found = {one["subject"]: one for one in answered["findings"]}
    assert found["station file"]["grade"] == "ok"
    assert "last reading: never" in found["store"]["account"]
    assert all(one.keys() == {"grade", "subject", "account", "do"} for one in answered["findings"])
    subjects = [one["subject"] for one in again["findings"]]
    said = by_hand("-m", "daemon", "checkup", "--json", folder=tmp_path)
    assert subjects == [one["subject"] for one in json.loads(said)]


def by_hand(*words: str, folder: Path) -> str:
    """What the command says of the same station, as a process of its own."""
    command = [sys.executable, *words, "--config", str(folder / "station.toml"), "--state", str(folder)]
    return subprocess.run(command, capture_output=True, text=True, check=False).stdout


def test_while_one_is_under_way_a_second_is_refused_at_once_and_other_words_are_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = threading.Event()

    class Endless(CheckupDesk):
        def answer(self, words: Mapping[str, Any]) -> dict[str, Any]:
            begun.set()
            return super().answer(words)

    monkeypatch.setattr(checkup_desk, "CheckupDesk", partial(Endless, child=ENDLESS))
    with asked(place_in(tmp_path)) as told:
        first = threading.Thread(target=told, args=("checkup",))
        first.start()
        assert begun.wait(GUARD_S)
        second, other = told("checkup"), told("station-file")
        assert first.is_alive()
    first.join(GUARD_S)
    assert second == {"error": "checkup: found one that is under way; allowed: to wait for its answer"}
    assert other["text"] is None


def test_what_is_wrong_is_an_answer_and_no_error(tmp_path: Path) -> None:
    told = CheckupDesk(place_in(tmp_path)).answer({})
    (first, *_) = told["findings"]
    assert (first["grade"], first["subject"]) == ("wrong", "station file")


def test_a_child_that_does_not_end_is_killed_and_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    children: list[subprocess.Popen[str]] = []

    class Noted(subprocess.Popen):  # type: ignore[type-arg]
        def __init__(self, *words: Any, **how: Any) -> None:
            super().__init__(*words, **how)
            children.append(self)

    monkeypatch.setattr(subprocess, "Popen", Noted)
    desk = CheckupDesk(place_in(tmp_path), child=ENDLESS, patience_s=0.2)
    with pytest.raises(NaupliadError) as refused:
        desk.answer({})
    told = "checkup: found nothing within 0.2 s; allowed: naupliad checkup on the machine itself"
    assert str(refused.value) == told
    assert [child.returncode for child in children] == [-9]


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("raise SystemExit('out of\\nmemory')", "(memory)"),
        ("print('{}')", "(it ended with 0)"),
        ("import os; os.kill(os.getpid(), 9)", "(it ended with -9)"),
    ],
)
def test_a_child_that_fails_is_told_in_one_line(tmp_path: Path, code: str, why: str) -> None:
    desk = CheckupDesk(place_in(tmp_path), child=(sys.executable, "-c", code))
    with pytest.raises(NaupliadError) as refused:
        desk.answer({})
    assert str(refused.value) == (
        f"checkup: found no answer {why}; allowed: naupliad checkup on the machine itself"
    )


def test_a_daemon_that_ends_takes_the_child_with_it(tmp_path: Path) -> None:
    desk = CheckupDesk(place_in(tmp_path), child=ENDLESS, patience_s=GUARD_S)
    refusals: list[str] = []

    def ask() -> None:
        try:
            desk.answer({})
        except NaupliadError as refused:
            refusals.append(str(refused))

    asking = threading.Thread(target=ask)
    asking.start()
    until("the child is there", lambda: desk._child is not None)
    desk.end()
    asking.join(GUARD_S)
    assert refusals == [
        "checkup: found no answer (it ended with -9); allowed: naupliad checkup on the machine itself"
    ]


def test_it_opens_no_pin_and_reads_no_probe(tmp_path: Path) -> None:
    """A probe's file that is a pipe would hold whoever reads it; a pin takes one of these libraries."""
    folder = attach(tmp_path / "sys/bus/w1/devices", "28-00000a1b2c3d", 21.0)
    (folder / "w1_slave").unlink()
    os.mkfifo(folder / "w1_slave")
    (tmp_path / "station.toml").write_text(station_text(*PINS), encoding="utf-8")
    found: list[str] = []

    def look_over() -> None:
        config = tmp_path / "station.toml"
        found.extend(one.subject for one in findings(config, tmp_path, machine(tmp_path), reach=False))

    looking = threading.Thread(target=look_over, daemon=True)
    looking.start()
    looking.join(GUARD_S)
    assert not looking.is_alive()
    assert {"GPIO", "SPI", "1-Wire"} <= set(found)
    code = (
        "import sys; from daemon.cli import main\n"
        "try: main()\n"
        "finally: print(sorted({'gpiozero', 'lgpio', 'spidev', 'w1thermsensor'} & set(sys.modules)))"
    )
    assert by_hand("-c", code, "checkup", folder=tmp_path).splitlines()[-1] == "[]"
