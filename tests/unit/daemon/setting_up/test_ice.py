"""A thermometer in ice water by the inbox's word `ice`: on files as the kernel lays them, in played time."""

import shutil
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from daemon.errors import InputError
from daemon.setting_up.check import endable
from daemon.setting_up.ice_desk import IceDesk
from daemon.workers import ThreadWorkers
from tests.kit.file_machine import PlayedTime, machine
from tests.kit.sysfs import attach, lay, slave_text

GENUINE, OTHER = "28-00000a1b2c3d", "28-0316a2795f1c"
W1 = "sys/bus/w1/devices"
GUARD_S = 20.0


def words(do: str, address: str = GENUINE, probe: str = "tray-water", **keys: Any) -> dict[str, Any]:
    keys = {"address": address, **keys}
    told = {"driver": "ds18b20", "measures": "water_c", "keys": keys, "probe": probe}
    return {"ask": "ice", "do": do, **told}


def at_once(task: Callable[[], None]) -> None:
    """The whole of a bath is over when `begin` answers, for its time is played."""
    task()


def bathed(root: Path, happens: Callable[[float], None], **keys: Any) -> tuple[dict[str, Any], PlayedTime]:
    """How the check of a probe ends that reads as `happens` lets it."""
    time = PlayedTime(happens)
    desk = IceDesk(machine(root, time), at_once)
    desk.answer(words("begin", **keys))
    return desk.answer({"do": "look"}), time


def steady(root: Path, reads_c: float) -> Callable[[float], None]:
    def happens(_gone_s: float) -> None:
        attach(root / W1, GENUINE, reads_c)

    return happens


def test_a_steady_minute_near_zero_gives_the_offset_without_the_one_it_has(tmp_path: Path) -> None:
    told, time = bathed(tmp_path, steady(tmp_path, 0.3125), offset_c=1.5)
    assert (told["state"], told["probe"], told["steady"]) == ("over", "tray-water", 1.0)
    assert told["offset_c"] == pytest.approx(-0.3125, abs=0.005)
    assert (told["was_c"], told["needs_change"], told["now_c"]) == (1.5, True, 0.3125)
    assert told["account"] == "steady at 0.31 °C after 60 s"
    assert told["advice"].startswith("One point corrects best near it")
    assert time.gone_s == told["after_s"] == 60


def test_an_offset_that_is_right_already_needs_no_change(tmp_path: Path) -> None:
    told, _ = bathed(tmp_path, steady(tmp_path, 0.25), offset_c=-0.25)
    assert (told["offset_c"], told["needs_change"]) == (-0.25, False)
    assert told["advice"] == "tray-water needs no change: its offset_c = -0.25 is right within half a step."


def test_what_is_far_from_zero_has_no_offset_and_is_told_what_to_do(tmp_path: Path) -> None:
    told, _ = bathed(tmp_path, steady(tmp_path, 4.0))
    assert (told["state"], told["offset_c"]) == ("over", None)
    assert told["account"] == "steady at 4.00 °C, which is not near 0 °C"
    assert told["advice"].startswith("Is its tip amid ice that still melts")


def test_a_probe_that_is_pulled_ends_the_check_with_what_to_do(tmp_path: Path) -> None:
    def pulled(gone_s: float) -> None:
        if gone_s < 20:
            attach(tmp_path / W1, GENUINE, 3.0)
        elif (tmp_path / W1 / GENUINE).exists():
            shutil.rmtree(tmp_path / W1 / GENUINE)

    told, time = bathed(tmp_path, pulled)
    assert (told["state"], told["offset_c"], told["now_c"]) == ("over", None, None)
    assert told["account"] == "6 readings in a row were not good"
    assert f"the bus does not show {GENUINE}" in told["advice"]
    assert time.gone_s == 20 + 5 * 5


def test_a_probe_that_is_not_there_is_told_with_what_to_do(tmp_path: Path) -> None:
    told, _ = bathed(tmp_path, lambda _: None)
    assert (told["state"], told["offset_c"]) == ("over", None)
    assert told["account"]
    assert "dtoverlay=w1-gpio" in told["advice"]


def test_while_it_reads_it_is_told_how_it_stands_and_no_other_may_begin(tmp_path: Path) -> None:
    attach(tmp_path / W1, OTHER, 21.0)
    seen: dict[float, dict[str, Any]] = {}

    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 10.0 if gone_s < 30 else 0.125)
        if gone_s:
            seen[gone_s] = desk.answer({"do": "look"})
        if gone_s == 40:
            assert desk.answer(words("begin"))["after_s"] == 35  # pressed twice: it goes on
            with pytest.raises(
                InputError, match=r"found probe 'tray-water' .* being read; allowed"
            ) as refused:
                desk.answer(words("begin", OTHER, "room-2"))
            assert len(refused.value.faults) == 1

    desk: Any = None
    time = PlayedTime(happens)
    desk = IceDesk(machine(tmp_path, time), at_once)
    desk.answer(words("begin"))
    assert {told["state"] for told in seen.values()} == {"reading"}
    assert (seen[25.0]["now_c"], seen[25.0]["steady"]) == (10.0, pytest.approx(20 / 60))
    assert (seen[60.0]["now_c"], seen[60.0]["steady"]) == (0.125, pytest.approx(25 / 60))
    assert time.gone_s == 30 + 60
    assert desk.answer(words("begin", OTHER, "room-2"))["probe"] == "room-2"


def test_a_single_bad_reading_is_told_and_begins_the_minute_anew(tmp_path: Path) -> None:
    seen = {}

    def happens(gone_s: float) -> None:
        folder = attach(tmp_path / W1, GENUINE, 0.125)
        if gone_s == 40:
            (folder / "w1_slave").write_text(slave_text(2, crc_good=False))
        if gone_s in (41.0, 46.0):
            seen[gone_s] = desk.answer({"do": "look"})

    desk: Any = None
    desk = IceDesk(machine(tmp_path, PlayedTime(happens)), at_once)
    desk.answer(words("begin"))
    assert (seen[41.0]["now_c"], seen[41.0]["steady"]) == (None, 0.0)
    assert seen[41.0]["account"] == "no good reading (crc)"
    assert (seen[46.0]["now_c"], seen[46.0]["account"]) == (0.125, "")


def test_who_ends_it_waits_for_no_reading_and_what_was_found_is_forgotten(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 0.125)
        if gone_s == 22.0:
            assert desk.answer({"do": "end"})["state"] == "none"

    desk: Any = None
    time = PlayedTime(happens)
    desk = IceDesk(machine(tmp_path, time), at_once)
    assert desk.answer({"do": "look"})["state"] == "none"
    desk.answer(words("begin"))
    assert time.gone_s == 22.0
    told = desk.answer({"do": "look"})
    assert (told["state"], told["probe"], told["offset_c"]) == ("none", None, None)


def test_the_answer_stands_until_it_is_ended(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 0.125)
    desk = IceDesk(machine(tmp_path), at_once)
    desk.answer(words("begin"))
    assert desk.answer({"do": "look"}) == desk.answer({"do": "look"})
    assert desk.answer({"do": "look"})["state"] == "over"
    assert desk.answer({"do": "end"})["state"] == "none"


@pytest.mark.parametrize("what", ["room air", "light", "float", "no probe", "another word"])
def test_what_must_not_go_into_water_is_refused_in_one_line(tmp_path: Path, what: str) -> None:
    lay(tmp_path / "sys/class/hwmon" / "hwmon0", name="sht3x", temp1_input="20500")
    asked: dict[str, dict[str, Any]] = {
        "room air": {"driver": "hwmon", "measures": "room_c", "keys": {"device": "sht3x"}},
        "light": {"driver": "mcp3008", "measures": "light_fraction", "keys": {"channel": 0}},
        "float": {"driver": "float", "measures": "float_low", "keys": {"pin": 17}},
        "no probe": {},
        "another word": {**words("begin"), "do": "stop"},
    }
    desk = IceDesk(machine(tmp_path), at_once)
    with pytest.raises(InputError, match="allowed") as refused:
        desk.answer({"do": "begin", "probe": "x\ny", **asked[what]})
    assert "\n" not in str(refused.value)
    assert desk.answer({"do": "look"})["state"] == "none"


def test_a_fault_of_our_own_is_told_and_logged(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    def broken() -> float:
        raise RuntimeError("spilt")

    desk = IceDesk(machine(tmp_path, monotonic=broken), at_once)
    desk.answer(words("begin"))
    told = desk.answer({"do": "look"})
    assert (told["state"], told["account"]) == ("over", "the daemon failed at this; its log says how")
    assert "spilt" in caplog.text


def test_a_daemon_that_stops_does_not_wait_for_the_bath(tmp_path: Path) -> None:
    """Its sleep ends at the next piece, whoever ended it and from whichever thread."""
    attach(tmp_path / W1, GENUINE, 0.125)
    workers, reads = ThreadWorkers(threading.Event()), threading.Event()

    class SlowTime(PlayedTime):
        def sleep(self, seconds: float) -> None:
            reads.set()
            threading.Event().wait(0.001)  # time that truly passes, without end
            self.gone_s += 0.0

    def start(task: Callable[[], None]) -> None:
        workers.submit(task, lambda *_: None, lane="set-up ice")

    # Without an end there is no verdict: the clock stands.
    desk = IceDesk(machine(tmp_path, SlowTime()), start)
    desk.answer(words("begin"))
    assert reads.wait(GUARD_S)
    desk.end()
    workers.close(GUARD_S)
    assert not [thread for thread in threading.enumerate() if thread.name == "workers set-up ice"]


def test_an_end_is_noticed_within_a_piece_of_a_sleep() -> None:
    time, ended = PlayedTime(), threading.Event()
    slept = endable(machine(Path("/nowhere"), time), ended)
    slept.sleep(5)
    assert time.gone_s == 5
    ended.set()
    slept.sleep(5)
    assert time.gone_s == 5
