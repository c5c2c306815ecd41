"""The drivers a probe may name: those of `sensors.drivers`, and two that play; each with its own keys."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from daemon.config.checks import ABSENT, REQUIRED, Check, Key, Refused, fault, identifier, matching, one_of
from daemon.input.file import shown
from sensors import drivers as sensor_drivers
from sensors.light_scale import scale_fault
from sensors.reading import Measure

_STORY = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_CHANNEL_STEM = re.compile(r"(in_)?[a-z]+")
_TEMPERATURES = frozenset({Measure.WATER_C, Measure.ROOM_C})
# What a kernel channel gives, by its name (Linux: ABI/testing/sysfs-bus-iio, hwmon/sysfs-interface).
_CHANNEL_GIVES = {
    "in_illuminance": frozenset({Measure.LIGHT_LUX}),
    "in_temp": _TEMPERATURES,
    "in_humidityrelative": frozenset({Measure.ROOM_RH_PCT}),
    "temp": _TEMPERATURES,
    "humidity": frozenset({Measure.ROOM_RH_PCT}),
}


def file_name(value: object) -> str:
    """A path to a tape, relative to the station file or absolute."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 500:
        return value
    raise Refused(shown(value), "the path of a tape, from the folder of this file")


PLAYED: dict[str, dict[str, Key]] = {
    # A tape that is replayed names itself: who opens the probe asks for the file.
    "tape": {"file": Key(file_name, ABSENT)},
    "rehearsal": {"story": Key(matching(_STORY, "a story's name: letters, digits, '-' and '_'"), ABSENT)},
}
DRIVERS = (*sensor_drivers.DRIVERS, *PLAYED)
PROBE_KEYS: dict[str, Key] = {
    "id": Key(identifier),
    "measures": Key(one_of(*Measure)),
    "driver": Key(one_of(*DRIVERS)),
}


def driver_keys(driver: str, measures: Measure | None) -> dict[str, Key]:
    """The keys a probe of this driver may hold beside id, measures and driver."""
    if driver in PLAYED:
        return PLAYED[driver]
    no_offset = measures is not None and measures not in _TEMPERATURES
    taken = [key for key in sensor_drivers.DRIVERS[driver].keys if not (no_offset and key.name == "offset_c")]
    return {key.name: Key(_check_of(key), REQUIRED if key.required else ABSENT) for key in taken}


def mismatch(driver: str, measures: Measure, values: Mapping[str, Any], path: str) -> str | None:
    """The fault of a driver, or its channel, that cannot measure what the probe says; None when it can."""
    can = sensor_drivers.DRIVERS[driver].measures if driver in sensor_drivers.DRIVERS else frozenset(Measure)
    if measures not in can:
        allowed = ", ".join(m for m in Measure if m in can)
        return fault(f"{path}.measures", f"{shown(str(measures))} with driver {driver}", allowed)
    channel = values.get("channel")
    if isinstance(channel, str):
        stem = _CHANNEL_STEM.match(channel)
        if stem is None or measures not in _CHANNEL_GIVES.get(stem[0], frozenset()):
            known = [name for name in _CHANNEL_GIVES if name.startswith("in_") is (driver == "iio")]
            fit = [name for name in known if measures in _CHANNEL_GIVES[name]]
            allowed = f"{' or '.join(fit)}, with a number where the device has several"
            return fault(f"{path}.channel", f"{shown(channel)} for {measures}", allowed)
    return None


def scale_mismatch(raw: Mapping[str, Any], values: Mapping[str, Any], path: str) -> str | None:
    """The fault of `dark` and `lit` that do not go together; None when they do, or one is faulty itself."""
    if any(key in raw and key not in values for key in ("dark", "lit")):
        return None
    wrong = scale_fault(values)
    if wrong is None:
        return None
    found = "nothing" if wrong.found is None else shown(wrong.found)
    return fault(f"{path}.{wrong.key}", found, wrong.allowed)


def takes_up(probe: Mapping[str, Any]) -> tuple[object, ...] | None:
    """What a probe alone may use of the hardware; None where sharing does no harm."""
    if "pin" in probe:
        return ("pin", probe["pin"])
    if probe.get("driver") in PLAYED:
        return None
    if "address" in probe:
        return (probe["address"],)
    device, driver = probe.get("device", 0), probe.get("driver")
    return (driver, device, probe["channel"] if "channel" in probe else probe.get("measures"))


def with_file_beside(keys: dict[str, Any], folder: Path) -> dict[str, Any]:
    """The keys with a tape's path taken from the station file's folder."""
    return {**keys, "file": str(folder / keys["file"])} if "file" in keys else keys


def _check_of(key: sensor_drivers.DriverKey) -> Check:
    def check(value: object) -> object:
        if not key.fits(value):
            raise Refused(shown(value), key.allowed)
        return value

    return check
