"""The 1-Wire bus as the kernel shows it: who is attached, and one conversion for all probes.

Where the kernel's `therm_bulk_read` may be written, one trigger lets all probes convert at once (about
0.8 s for all, not each). The kernel (drivers/w1/slaves/w1_therm.c) has three traps, met here:
it takes only exactly `trigger\\n` in one write and accepts anything else in silence; it marks every
probe as converted even where the conversion failed; and a probe that nobody read after a trigger
gives that old value at its next read.
"""

import re
import time
from collections.abc import Callable
from pathlib import Path
from weakref import WeakValueDictionary

from sensors.errors import NotFitted

W1_DEVICES = Path("/sys/bus/w1/devices")

# The kernel sleeps in the write for at least 95 ms (9 bit; 750 ms at 12 bit). A write that comes back
# sooner has converted nothing: the bus did not answer, or a signal cut the sleep.
_SHORTEST_CONVERSION_S = 0.09
_UNREAD_RESULTS = "1"


class OneWireBus:
    """All 1-Wire masters of the machine, for the probes that joined."""

    def __init__(self, base: Path = W1_DEVICES, *, monotonic: Callable[[], float] = time.monotonic) -> None:
        self.base = base
        self._monotonic = monotonic
        self._joined: set[str] = set()
        self._old: set[str] = set()
        self._converted_at: int | None = None

    def join(self, probe: str, address: str) -> None:
        """Count a probe in. Raises NotFitted where the machine has no 1-Wire bus."""
        if not any(self.base.glob("w1_bus_master*")):
            raise NotFitted(
                probe,
                f"no 1-Wire bus in {self.base}",
                "Add the line dtoverlay=w1-gpio to /boot/firmware/config.txt and restart the Pi.",
            )
        self._joined.add(address)

    def leave(self, address: str) -> None:
        """Count a probe out."""
        self._joined.discard(address)

    def attached(self) -> tuple[str, ...]:
        """The addresses of the DS18B20 attached now, in order; none where there is no bus."""
        try:
            names = [folder.name for folder in self.base.iterdir()]
        except OSError:
            return ()
        return tuple(sorted(name for name in names if re.fullmatch("28-[0-9a-f]{12}", name)))

    def convert(self, at: int) -> None:
        """Let all probes convert at once for the beat `at`, where that helps and is allowed; once a beat."""
        if at == self._converted_at:
            return
        self._converted_at = at
        self._old.clear()
        for bulk in sorted(self.base.glob("w1_bus_master*/therm_bulk_read")):
            if not (len(self._joined) > 1 and self._trigger(bulk)) and _has_unread(bulk):
                self._old |= self._joined

    def gives_old_value(self, address: str) -> bool:
        """Whether the next read of the probe may hand out an earlier conversion; asking clears it."""
        old = address in self._old
        self._old.discard(address)
        return old

    def _trigger(self, bulk: Path) -> bool:
        """Whether all probes of the bus have converted now."""
        began = self._monotonic()
        try:
            with bulk.open("r+b", buffering=0) as attribute:
                attribute.write(b"trigger\n")
        except OSError:
            return False
        return self._monotonic() - began >= _SHORTEST_CONVERSION_S


def _has_unread(bulk: Path) -> bool:
    try:
        return bulk.read_bytes().strip() == _UNREAD_RESULTS.encode()
    except OSError:
        return False


_BUSES: WeakValueDictionary[Path, OneWireBus] = WeakValueDictionary()


def bus_at(base: Path) -> OneWireBus:
    """The bus of a folder: the same for all its probes, so that they convert together."""
    bus = _BUSES.get(base)
    if bus is None:
        bus = _BUSES[base] = OneWireBus(base)
    return bus
