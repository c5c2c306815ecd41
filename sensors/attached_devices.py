"""What the kernel shows, whether or not a station file names it: 1-Wire devices, IIO and hwmon channels.

Pins and SPI have no answer that says "I am here", so a float switch, a photocell or an MCP3008 cannot be
found this way.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sensors.kernel_channels import CHANNEL_STEMS, channels, number, own_or_shared
from sensors.one_wire import OneWireBus
from sensors.probe_opening import Roots
from sensors.reading import Measure

# Chips and power supplies that watch themselves, and the hwmon twins of what is found elsewhere (a DS18B20 is
# also a `w1_slave_temp`). Names of the kernel's drivers, from memory [M].
_NOT_THE_ROOM = re.compile(
    r".*thermal.*|rp1_adc|rpi_volt|w1_slave_temp|iio_hwmon|nvme|drivetemp|coretemp|k10temp|acpitz|pwmfan|.*pmic.*"
)
_OTHER_FAMILIES = {
    "00": "noise and no device: the pull-up resistor of 4.7 kΩ between data and 3.3 V is missing or too weak",
    "10": "a DS18S20: no driver here reads it; use a DS18B20",
    "22": "a DS1822: no driver here reads it; use a DS18B20",
    "3b": "a thermocouple's converter: no driver here reads it; use a DS18B20",
}
_FULL_BITS = 12


@dataclass(frozen=True, slots=True)
class AttachedDevice:
    """A device or channel that a driver here can read, with the keys that open it.

    `names` are all that the station file may call its device.
    """

    driver: str
    measures: Measure
    keys: dict[str, Any]
    names: frozenset[str]
    channel: str = ""

    def is_named_by(self, driver: str, measures: Measure, keys: Mapping[str, Any]) -> bool:
        """Whether a probe of the station file is this one."""
        if driver != self.driver:
            return False
        if driver == "ds18b20":
            return keys.get("address") in self.names
        stem = CHANNEL_STEMS[driver].get(measures)
        if stem is None or keys.get("device") not in self.names:
            return False
        return self.channel in ((keys["channel"],) if "channel" in keys else _found_alone(driver, stem))


@dataclass(frozen=True, slots=True)
class Stranger:
    """A device that is there and that no driver here reads, and what that may mean."""

    name: str
    account: str


@dataclass(frozen=True, slots=True)
class OneWireFacts:
    """What the kernel says of a DS18B20 beside its temperature; None where it does not say.

    `genuine_number`: its number has the pattern of the genuine part, 28-0000 and eight digits. Many copies
    have another, some have the same: it proves nothing of how well the probe measures.
    """

    resolution_bits: int | None
    parasite: bool | None
    genuine_number: bool

    @property
    def step_c(self) -> float:
        """The smallest step of its temperature, °C: 1/16 at 12 bit, double for each bit less (data sheet)."""
        return float(0.0625 * 2 ** (_FULL_BITS - (self.resolution_bits or _FULL_BITS)))


def attached_devices(roots: Roots) -> tuple[AttachedDevice, ...]:
    """Everything that a driver here can read now, DS18B20 first; nothing where the kernel shows nothing."""
    wires = OneWireBus(roots.w1).attached()
    return (
        *(AttachedDevice("ds18b20", Measure.WATER_C, {"address": a}, frozenset({a})) for a in wires),
        *_channels_of("iio", roots.iio),
        *_channels_of("hwmon", roots.hwmon),
    )


def strangers(roots: Roots) -> tuple[Stranger, ...]:
    """What else hangs on the 1-Wire bus."""
    names = (folder.name for folder in _folders(roots.w1))
    others = sorted(n for n in names if re.fullmatch("[0-9a-f]{2}-[0-9a-f]{12}", n) and n[:2] != "28")
    unknown = "no thermometer that a driver here reads; use a DS18B20"
    return tuple(Stranger(name, _OTHER_FAMILIES.get(name[:2], unknown)) for name in others)


def one_wire_facts(base: Path, address: str) -> OneWireFacts:
    """What the kernel says of a DS18B20."""
    bits = _whole(base / address / "resolution")
    power = _whole(base / address / "ext_power")
    return OneWireFacts(
        bits if bits in range(9, _FULL_BITS + 1) else None,
        {0: True, 1: False}.get(-1 if power is None else power),
        address.startswith("28-0000"),
    )


def _channels_of(driver: str, base: Path) -> Iterator[AttachedDevice]:
    called = {folder: _name(folder) for folder in _folders(base)}
    twins = Counter(called.values())
    for folder, name in called.items():
        if name is None or _NOT_THE_ROOM.fullmatch(name):
            continue
        device = name if twins[name] == 1 and re.fullmatch(r"[\w:.,@-]+", name) else folder.name
        for measures, stem in CHANNEL_STEMS[driver].items():
            if measures is Measure.WATER_C:  # a thermometer of the kernel's is taken for one of the air
                continue
            for channel in _readable(driver, folder, stem):
                alone = channel in _found_alone(driver, stem)
                keys = {"device": device, **({} if alone else {"channel": channel})}
                yield AttachedDevice(driver, measures, keys, frozenset({device, name, folder.name}), channel)


def _readable(driver: str, folder: Path, stem: str) -> list[str]:
    """The channels of a kind that give a value in a unit: processed, or raw with a scale."""
    if driver == "hwmon":
        return channels(folder, f"{stem}[0-9]*_input")
    raw = channels(folder, f"{stem}*_raw")
    return sorted(
        {
            *channels(folder, f"{stem}*_input"),
            *(channel for channel in raw if own_or_shared(folder, channel, stem, "scale")),
        }
    )


def _found_alone(driver: str, stem: str) -> tuple[str, ...]:
    """The channels that a driver takes when the station file names none."""
    return (f"{stem}1",) if driver == "hwmon" else (stem, f"{stem}0")


def _folders(base: Path) -> list[Path]:
    try:
        return sorted(base.iterdir())
    except OSError:
        return []


def _name(folder: Path) -> str | None:
    try:
        return (folder / "name").read_text(encoding="utf-8").strip()
    except (OSError, ValueError):
        return None


def _whole(attribute: Path) -> int | None:
    try:
        return int(number(attribute))
    except (OSError, ValueError, OverflowError):
        return None
