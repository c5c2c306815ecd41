"""A /dev of files whose GPIO chips answer as the kernel's do, and an lgpio that opens them.

The files are real, and so is how they are opened; only the kernel's answer to the one question is made up:
what stands in the file is the label of the chip's driver.
"""

import ctypes
import errno
import fcntl
import os
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

# What `gpiodetect` listed: a Pi 3 and a Pi 4; a Pi 5 on kernel 6.6.31 and on 6.6.45 (gpiozero issue 1166),
# and one whose chips begin at 11 (as reported; which of them was the header's is ours) [M].
PI_3 = {0: "pinctrl-bcm2835", 1: "brcmvirt-gpio", 2: "raspberrypi-exp-gpio"}
PI_4 = {0: "pinctrl-bcm2711", 1: "raspberrypi-exp-gpio"}
_SOC_5 = ("gpio-brcmstb@107d508500", "gpio-brcmstb@107d508520", "gpio-brcmstb@107d517c00")
_SOC_5_LAST = "gpio-brcmstb@107d517c20"
PI_5_FIRST = {**dict(enumerate((*_SOC_5, _SOC_5_LAST))), 4: "pinctrl-rp1"}
PI_5_LATER = {0: "pinctrl-rp1", **dict(enumerate((*_SOC_5, _SOC_5_LAST), 10))}
PI_5_FROM_11 = {**dict(enumerate((*_SOC_5, _SOC_5_LAST), 11)), 15: "pinctrl-rp1"}
HEADER = [(PI_3, 0), (PI_4, 0), (PI_5_FIRST, 4), (PI_5_LATER, 0), (PI_5_FROM_11, 15)]


class ChipInfo(ctypes.Structure):
    """struct gpiochip_info of linux/gpio.h, its names of GPIO_MAX_NAME_SIZE = 32 bytes."""

    _fields_ = (("name", ctypes.c_char * 32), ("label", ctypes.c_char * 32), ("lines", ctypes.c_uint32))


# _IOR(0xB4, 0x01, struct gpiochip_info), asm-generic/ioctl.h: direction, size, type, number.
GET_CHIP_INFO = 2 << 30 | ctypes.sizeof(ChipInfo) << 16 | 0xB4 << 8 | 0x01


def lay_chips(dev: Path, labels: dict[int, str]) -> None:
    """The chips' files, as group gpio may open them."""
    dev.mkdir(parents=True, exist_ok=True)
    for number, label in labels.items():
        chip = dev / f"gpiochip{number}"
        chip.write_text(label)
        chip.chmod(0o660)


def answering(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on files called gpiochipN answer as chips."""

    def ioctl(fd: int, request: int, arg: bytes = b"", *_: object) -> bytes:
        path = Path(f"/proc/self/fd/{fd}").readlink()
        chip = path.name.startswith("gpiochip") and path.is_file()
        if not chip or request != GET_CHIP_INFO or len(arg) != ctypes.sizeof(ChipInfo):
            raise OSError(errno.ENOTTY, os.strerror(errno.ENOTTY))
        return bytes(ChipInfo(path.name.encode(), path.read_bytes(), 54))

    monkeypatch.setattr(fcntl, "ioctl", ioctl)


class Lgpio(ModuleType):
    """The library: which chips it was asked to open, and which pins it was asked to claim."""

    def __init__(self, dev: Path) -> None:
        super().__init__("lgpio")
        self.dev = dev
        self.opened: list[int] = []
        self.closed: list[int] = []
        self.claimed: list[int] = []
        self.levels: dict[int, int] = {}

    def gpiochip_open(self, chip: int) -> int:
        if not (self.dev / f"gpiochip{chip}").exists():
            raise RuntimeError("'can not open gpiochip'")  # as lgpio says it
        self.opened.append(chip)
        return 100 + chip

    def gpiochip_close(self, handle: int) -> int:
        self.closed.append(handle)
        return 0

    def gpio_claim_input(self, handle: int, pin: int, *_: int) -> int:
        assert handle == 100 + self.opened[-1]
        self.claimed.append(pin)
        return 0

    def gpio_read(self, handle: int, pin: int) -> int:
        assert handle == 100 + self.opened[-1]
        return self.levels.get(pin, 1)

    def __getattr__(self, name: str) -> Any:
        if name.isupper():
            return hash(name)  # its constants
        if name.startswith("__"):
            raise AttributeError(name)
        return lambda *_: 0
