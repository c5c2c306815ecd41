"""Which of the kernel's GPIO chips carries the Pi's header: found by its label, for its number is no promise.

The header of one and the same Pi 5 was gpiochip4, then gpiochip0, and on some kernels neither is there.
"""

import fcntl
import os
import re
import struct
from dataclasses import dataclass
from pathlib import Path

from sensors.errors import NotFitted

# The label of the driver of the header's chip, the newest first: drivers/pinctrl/pinctrl-rp1.c (a Pi 5) and
# drivers/pinctrl/bcm/pinctrl-bcm2835.c (a Pi 4; all before) of the kernel [M].
HEADER_LABELS = ("pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835")

# GPIO_GET_CHIPINFO_IOCTL and struct gpiochip_info, linux/gpio.h [R]: name, label, number of lines.
_INFO = struct.Struct("32s32sI")
_GET_INFO = 2 << 30 | _INFO.size << 16 | 0xB4 << 8 | 0x01


@dataclass(frozen=True, slots=True)
class GpioChip:
    """A chip: the number that /dev/gpiochipN bears, its file, and its driver's label."""

    number: int
    path: Path
    label: str


def header_chip(probe: str, dev: Path = Path("/dev")) -> GpioChip:
    """The chip with the header's pins, once opened as the pin library opens it; the only one is taken for it.

    Raises PermissionError where a chip may not be opened and none that may is the header's, NotFitted where
    there is none, or none of several is it.
    """
    chips, refused = _chips(dev)
    for label in HEADER_LABELS:
        for chip in chips:
            if chip.label == label:
                return chip
    if refused is not None:
        raise refused
    if len(chips) == 1:
        return chips[0]
    if not chips:
        raise NotFitted(probe, f"no GPIO chip in {dev}", "Pins are there on a Raspberry Pi only.")
    found = ", ".join(f"{chip.path.name} ({chip.label})" for chip in chips)
    raise NotFitted(
        probe,
        f"none of the GPIO chips is the header's: found {found}, allowed: {', '.join(HEADER_LABELS)}",
        "Bring the Pi up to date (sudo apt full-upgrade) and restart it.",
    )


def _chips(dev: Path) -> tuple[list[GpioChip], PermissionError | None]:
    """All chips that answer, by number, and why one may not be opened. A link to a chip is no further one."""
    chips, refused = [], None
    for path in dev.glob("gpiochip*"):
        number = re.fullmatch(r"gpiochip(\d+)", path.name)
        if number is None or path.is_symlink():
            continue
        try:
            chips.append(GpioChip(int(number[1]), path, _label(path)))
        except PermissionError as error:
            refused = error
        except OSError:  # no chip, or one that went
            continue
    return sorted(chips, key=lambda chip: chip.number), refused


def _label(path: Path) -> str:
    """What its driver calls a chip; opened for writing as well, as lgpio does. Raises OSError."""
    chip = os.open(path, os.O_RDWR | os.O_CLOEXEC | os.O_NONBLOCK)
    try:
        _, label, _ = _INFO.unpack(fcntl.ioctl(chip, _GET_INFO, bytes(_INFO.size)))
    finally:
        os.close(chip)
    told = label.split(b"\0")[0].decode("ascii", errors="replace")
    return told if told.isprintable() else "?"
