"""Who says that the clock is right: by the files of a machine, laid out in a folder."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from daemon.clock import CarefulClock, PlayedClock, WallClock, Wrong
from daemon.clock_keeper import Keeper, kept_by, kernel_in_step

NOW = 1_800_000_000


def unknown() -> bool | None:
    return None


def out_of_step() -> bool | None:
    return False


def in_step() -> bool | None:
    return True


def lay(root: Path, **files: str) -> Path:
    """Files by a short name; a service is a folder."""
    places = {
        "timesyncd": "run/systemd/timesync/",
        "set": "run/systemd/timesync/synchronized",
        "chrony": "run/chrony/",
        "battery": "sys/class/rtc/rtc0/since_epoch",
        "board": "proc/device-tree/model",
    }
    for name, text in files.items():
        path = root / places[name]
        if places[name].endswith("/"):
            path.mkdir(parents=True, exist_ok=True)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="ascii")
    return root


@pytest.mark.parametrize(
    ("files", "kernel", "keeper"),
    [
        ({"board": "Pi", "timesyncd": ""}, unknown, Keeper.NOBODY),
        ({"board": "Pi", "timesyncd": "", "set": ""}, unknown, Keeper.NETWORK),
        ({"board": "Pi", "chrony": ""}, out_of_step, Keeper.NOBODY),
        ({"board": "Pi", "chrony": ""}, in_step, Keeper.NETWORK),
        ({"board": "Pi"}, out_of_step, Keeper.NOBODY),
        ({"board": "Pi", "timesyncd": "", "battery": f"{NOW - 3}\n"}, out_of_step, Keeper.BATTERY),
        ({"board": "Pi", "timesyncd": "", "battery": f"{NOW - 61}\n"}, out_of_step, Keeper.NOBODY),
        ({"board": "Pi 5", "timesyncd": "", "battery": "37\n"}, out_of_step, Keeper.NOBODY),
        ({"board": "Pi", "timesyncd": "", "battery": "no time\n"}, out_of_step, Keeper.NOBODY),
        ({"timesyncd": ""}, unknown, Keeper.NOBODY),
        ({}, out_of_step, Keeper.HOST),
    ],
)
def test_who_keeps_the_clock_is_read_from_the_machines_files(
    tmp_path: Path, files: dict[str, str], kernel: Callable[[], bool | None], keeper: Keeper
) -> None:
    assert kept_by(lay(tmp_path, **files), NOW, kernel) is keeper


def test_only_an_unkept_clock_is_doubted_and_only_a_kept_one_is_settled() -> None:
    assert {keeper for keeper in Keeper if not keeper.trusted} == {Keeper.NOBODY}
    assert {keeper for keeper in Keeper if keeper.settled} == {Keeper.NETWORK, Keeper.HOST}


def test_the_kernel_can_be_asked_by_anybody() -> None:
    assert kernel_in_step() in (True, False, None)


def test_what_the_network_said_once_holds_until_the_next_start(tmp_path: Path) -> None:
    said = [True, False]
    clock = WallClock(lay(tmp_path, board="Pi", chrony=""), lambda: said.pop(0))
    assert [clock.keeper(), clock.keeper()] == [Keeper.NETWORK, Keeper.NETWORK]


def test_a_start_of_the_machine_has_the_kernels_name(tmp_path: Path) -> None:
    path = tmp_path / "proc/sys/kernel/random/boot_id"
    path.parent.mkdir(parents=True)
    path.write_text("6f1c\n", encoding="ascii")
    assert WallClock(tmp_path).boot() == "6f1c"


def test_an_unsure_clock_goes_on_from_what_the_store_holds_until_the_right_time_comes() -> None:
    wrong = Wrong(1000, 1300, by_s=-5000)
    clock = CarefulClock(PlayedClock(1000, wrong=[wrong]))
    clock.hold(2000.0)
    seen = []
    for moment in (0, 60, 120, 299, 300):
        clock.wait(moment, threading.Event())
        seen.append((clock.now_s(), clock.keeper().trusted))
    assert seen == [(2000, False), (2060, False), (2120, False), (2299, False), (1300, True)]


def test_an_unsure_clock_that_is_later_than_the_store_is_followed() -> None:
    clock = CarefulClock(PlayedClock(1000, wrong=[Wrong(1000, 1300, by_s=9000)]))
    clock.hold(2000.0)
    assert clock.now_s() == 10_000
