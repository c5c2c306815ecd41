"""Who says that the machine's clock is right, as far as one can find out without being root."""

import ctypes
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path

# systemd-timesyncd makes the file once it has set the clock since the start.
_SET = "run/systemd/timesync/synchronized"
_SERVICES = ("run/systemd/timesync", "run/chrony", "run/ntpsec", "run/ntpd")
_BATTERY_CLOCKS = "sys/class/rtc"
# A small computer's board tells its model here; it has no battery clock unless one was fitted.
_BOARD = "proc/device-tree/model"
_AGREES_S = 60
# adjtimex(2): what it returns while the clock is not in step with anything, and the room its struct needs.
_TIME_ERROR = 5
_STRUCT_LONGS = 64


class Keeper(StrEnum):
    """Who keeps the clock right."""

    NETWORK = "network"
    BATTERY = "battery"
    HOST = "host"
    NOBODY = "nobody"

    @property
    def trusted(self) -> bool:
        """Whether the time may be given without a word of doubt."""
        return self is not Keeper.NOBODY

    @property
    def settled(self) -> bool:
        """Whether a later step is somebody's will, and not the correction of a clock that was wrong."""
        return self in (Keeper.NETWORK, Keeper.HOST)


def kernel_in_step() -> bool | None:
    """Whether a time service holds the kernel's clock in step; None where the kernel does not say.

    adjtimex(2) with no mode set only asks. Chrony and ntpd are known by this alone.
    """
    try:
        ask = ctypes.CDLL(None).adjtimex
    except (OSError, AttributeError):
        return None
    answer = ask(ctypes.byref((ctypes.c_long * _STRUCT_LONGS)()))
    return None if answer < 0 else answer != _TIME_ERROR


def kept_by(root: Path, now_s: int, kernel: Callable[[], bool | None] = kernel_in_step) -> Keeper:
    """Who says that `now_s` (Unix seconds) is right, by the files below `root`.

    A battery clock counts where it agrees with the wall clock within a minute: one without a battery, or one
    nothing was taken from, does not. No time service and no board: the clock is the business of whoever
    runs this machine.
    """
    if (root / _SET).exists() or kernel():
        return Keeper.NETWORK
    if any(abs(clock_s - now_s) <= _AGREES_S for clock_s in _battery_clocks(root)):
        return Keeper.BATTERY
    served = any((root / service).is_dir() for service in _SERVICES)
    return Keeper.NOBODY if served or (root / _BOARD).exists() else Keeper.HOST


def _battery_clocks(root: Path) -> list[int]:
    found = []
    for clock in sorted((root / _BATTERY_CLOCKS).glob("rtc*/since_epoch")):
        try:
            found.append(int(clock.read_text(encoding="ascii")))
        except (OSError, ValueError):  # a clock that lost its battery has no time to give
            continue
    return found
