"""Light, room temperature and humidity from any sensor that Linux itself drives: IIO and hwmon channels.

Units after the kernel's documentation (ABI/testing/sysfs-bus-iio, hwmon/sysfs-interface): temperatures in
milli-°C, relative humidity in milli-percent, illuminance in lux. An IIO `_raw` counts as
(raw + offset) · scale. A device that is not there reads `absent` and is found again, whatever its number
has become; an answer that is no number reads `crc`.
"""

import re
from pathlib import Path
from typing import NoReturn

from sensors.errors import KeyFault, NotFitted, WrongKeys
from sensors.reading import Measure, Quality, Reading, judged

IIO_DEVICES = Path("/sys/bus/iio/devices")
HWMON_DEVICES = Path("/sys/class/hwmon")

# What the names of a measure's channels begin with, by driver.
CHANNEL_STEMS = {
    "iio": {
        Measure.LIGHT_LUX: "in_illuminance",
        Measure.ROOM_C: "in_temp",
        Measure.WATER_C: "in_temp",
        Measure.ROOM_RH_PCT: "in_humidityrelative",
    },
    "hwmon": {Measure.ROOM_C: "temp", Measure.WATER_C: "temp", Measure.ROOM_RH_PCT: "humidity"},
}


class IioChannel:
    """One channel of an IIO device, named by its `name` file or its folder."""

    def __init__(
        self,
        id: str,  # noqa: A002 - the Probe protocol's word
        measures: Measure,
        device: str,
        *,
        channel: str | None = None,
        offset_c: float = 0.0,
        base: Path = IIO_DEVICES,
    ) -> None:
        """Open it. Raises NotFitted without any IIO device, WrongKeys for a channel the device has not."""
        self.id = id
        self.measures = measures
        self.offset_c = offset_c
        self._base, self._device = base, device
        self._stem = CHANNEL_STEMS["iio"][measures]
        self._channels = (channel,) if channel else (self._stem, f"{self._stem}0")
        _must_exist(id, base, "IIO", "for a BME280, say: dtoverlay=i2c-sensor,bme280")
        self._check_channel()

    def read(self, at: int) -> Reading:
        """Read it."""
        try:
            value = self._value(_folder_of(self._base, self._device))
        except (OSError, ValueError) as error:
            return Reading(at, self.id, None, _quality(error))
        return _settled(at, self.id, self.measures, value, self.offset_c)

    def close(self) -> None:
        """Nothing is held between readings."""

    def _check_channel(self) -> None:
        """A device that answers now must have the channel, and in units, not in mere counts."""
        _channel_fits(self.id, self._channels[0], self._stem)
        folder = _found(self.id, self._base, self._device)
        if folder is None:
            return
        processed, raw = channels(folder, "in_*_input"), channels(folder, "in_*_raw")
        scaled = [name for name in raw if own_or_shared(folder, name, self._stem, "scale")]
        fit = [name for name in processed + scaled if name.startswith(self._stem)]
        if not set(self._channels) & set(fit):
            _refuse_channel(self.id, self._channels[0], fit, folder)

    def _value(self, folder: Path) -> float:
        for channel in self._channels:
            if (folder / f"{channel}_input").exists():
                return number(folder / f"{channel}_input")
            scale = own_or_shared(folder, channel, self._stem, "scale")
            if scale and (folder / f"{channel}_raw").exists():
                offset = own_or_shared(folder, channel, self._stem, "offset")
                added = number(offset) if offset else 0.0
                return (number(folder / f"{channel}_raw") + added) * number(scale)
        raise FileNotFoundError(folder)


class HwmonChannel:
    """One channel of a hwmon device, named by its `name` file or its folder."""

    def __init__(
        self,
        id: str,  # noqa: A002 - the Probe protocol's word
        measures: Measure,
        device: str,
        *,
        channel: str | None = None,
        offset_c: float = 0.0,
        base: Path = HWMON_DEVICES,
    ) -> None:
        """Open it. Raises NotFitted without any hwmon device, WrongKeys for a channel the device has not."""
        self.id = id
        self.measures = measures
        self.offset_c = offset_c
        self._base, self._device = base, device
        stem = CHANNEL_STEMS["hwmon"][measures]
        self._channel = channel or f"{stem}1"
        _must_exist(id, base, "hwmon", "for an SHT3x, say: dtoverlay=i2c-sensor,sht3x")
        _channel_fits(id, self._channel, stem)
        folder = _found(id, base, device)
        fit = channels(folder, f"{stem}*_input") if folder else [self._channel]
        if folder and self._channel not in fit:
            _refuse_channel(id, self._channel, fit, folder)

    def read(self, at: int) -> Reading:
        """Read it: `absent` also where the device reports its own sensor as faulty."""
        try:
            folder = _folder_of(self._base, self._device)
            fault = folder / f"{self._channel}_fault"
            if fault.exists() and number(fault) != 0:
                return Reading(at, self.id, None, Quality.ABSENT)
            value = number(folder / f"{self._channel}_input")
        except (OSError, ValueError) as error:
            return Reading(at, self.id, None, _quality(error))
        return _settled(at, self.id, self.measures, value, self.offset_c)

    def close(self) -> None:
        """Nothing is held between readings."""


def _settled(at: int, probe: str, measures: Measure, value: float, offset_c: float) -> Reading:
    """The reading of a value in the kernel's unit; the offset only after the value itself was believed."""
    in_unit = value if measures is Measure.LIGHT_LUX else value / 1000.0
    reading = judged(at, probe, measures, in_unit)
    return judged(at, probe, measures, in_unit + offset_c) if reading.good else reading


def _quality(error: Exception) -> Quality:
    return Quality.ABSENT if isinstance(error, OSError) else Quality.CRC


def number(attribute: Path) -> float:
    """The number in an attribute. Raises OSError where it gives none, ValueError where it is no number."""
    return float(attribute.read_text(encoding="ascii"))


def own_or_shared(folder: Path, channel: str, kind: str, suffix: str) -> Path | None:
    """A channel's own attribute, or the one that all channels of its kind share."""
    paths = (folder / f"{channel}_{suffix}", folder / f"{kind}_{suffix}")
    return next((path for path in paths if path.exists()), None)


def channels(folder: Path, pattern: str) -> list[str]:
    """The channels whose files match, without the files' last word."""
    return sorted(re.sub("_(input|raw)$", "", path.name) for path in folder.glob(pattern))


def _matches(base: Path, device: str) -> list[Path]:
    folders = sorted(base.iterdir())
    return [f for f in folders if f.name == device] or [f for f in folders if _name(f) == device]


def _name(folder: Path) -> str | None:
    try:
        return (folder / "name").read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return None


def _folder_of(base: Path, device: str) -> Path:
    """The device's folder now. Raises FileNotFoundError without one; two of one name would be a guess."""
    matches = _matches(base, device)
    if len(matches) != 1:
        raise FileNotFoundError(base / device)
    return matches[0]


def _found(probe: str, base: Path, device: str) -> Path | None:
    """The device's folder at set-up, None where it is not there yet. Raises WrongKeys for two of one name."""
    matches = _matches(base, device)
    if len(matches) > 1:
        which = " or ".join(match.name for match in matches)
        raise WrongKeys(probe, KeyFault("device", device, f"one device; two have this name, say {which}"))
    return matches[0] if matches else None


def _must_exist(probe: str, base: Path, kind: str, example: str) -> None:
    """Raises NotFitted where the machine shows no devices of the kind at all."""
    if not base.is_dir():
        raise NotFitted(
            probe,
            f"no {kind} devices: {base} is not there",
            f"Load the sensor's driver in /boot/firmware/config.txt ({example}) and restart the Pi.",
        )


def _channel_fits(probe: str, channel: str, kind: str) -> None:
    """Raises WrongKeys for a channel of another kind: its numbers would be taken for this measure's."""
    if not channel.startswith(kind):
        raise WrongKeys(probe, KeyFault("channel", channel, f"a name that begins with {kind}"))


def _refuse_channel(probe: str, channel: str, fit: list[str], folder: Path) -> NoReturn:
    """Raises WrongKeys that names the channels which would do."""
    allowed = ", ".join(fit) or "none: this device measures something else"
    raise WrongKeys(probe, KeyFault("channel", channel, f"{allowed} (of {folder.name})"))
