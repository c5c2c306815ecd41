"""Light, room temperature and humidity from any sensor that Linux itself drives: IIO and hwmon channels.

Units after the kernel's documentation (ABI/testing/sysfs-bus-iio, hwmon/sysfs-interface): temperatures in
milli-°C, relative humidity in milli-percent, illuminance in lux. An IIO `_raw` counts as
(raw + offset) · scale. A device that is not there reads `absent` and is found again, whatever its number
has become; an answer that is no number reads `crc`.
"""

from pathlib import Path

from sensors.folders import (
    channel_fits,
    channels,
    folder_of,
    found,
    must_exist,
    number,
    own_or_shared,
    refuse_channel,
)
from sensors.reading import Measure, Quality, Reading, judged

IIO_DEVICES = Path("/sys/bus/iio/devices")
HWMON_DEVICES = Path("/sys/class/hwmon")

_IIO_TYPES = {
    Measure.LIGHT_LUX: "in_illuminance",
    Measure.ROOM_C: "in_temp",
    Measure.WATER_C: "in_temp",
    Measure.ROOM_RH_PCT: "in_humidityrelative",
}
_HWMON_TYPES = {Measure.ROOM_C: "temp", Measure.WATER_C: "temp", Measure.ROOM_RH_PCT: "humidity"}


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
        self._type = _IIO_TYPES[measures]
        self._channels = (channel,) if channel else (self._type, f"{self._type}0")
        must_exist(id, base, "IIO", "for a BME280, say: dtoverlay=i2c-sensor,bme280")
        self._check_channel()

    def read(self, at: int) -> Reading:
        """Read it."""
        try:
            value = self._value(folder_of(self._base, self._device))
        except (OSError, ValueError) as error:
            return Reading(at, self.id, None, _quality(error))
        return _settled(at, self.id, self.measures, value, self.offset_c)

    def close(self) -> None:
        """Nothing is held between readings."""

    def _check_channel(self) -> None:
        """A device that answers now must have the channel, and in units, not in mere counts."""
        channel_fits(self.id, self._channels[0], self._type)
        folder = found(self.id, self._base, self._device)
        if folder is None:
            return
        processed, raw = channels(folder, "in_*_input"), channels(folder, "in_*_raw")
        scaled = [name for name in raw if own_or_shared(folder, name, self._type, "scale")]
        fit = [name for name in processed + scaled if name.startswith(self._type)]
        if not set(self._channels) & set(fit):
            refuse_channel(self.id, self._channels[0], fit, folder)

    def _value(self, folder: Path) -> float:
        for channel in self._channels:
            if (folder / f"{channel}_input").exists():
                return number(folder / f"{channel}_input")
            scale = own_or_shared(folder, channel, self._type, "scale")
            if scale and (folder / f"{channel}_raw").exists():
                offset = own_or_shared(folder, channel, self._type, "offset")
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
        self._channel = channel or f"{_HWMON_TYPES[measures]}1"
        must_exist(id, base, "hwmon", "for an SHT3x, say: dtoverlay=i2c-sensor,sht3x")
        channel_fits(id, self._channel, _HWMON_TYPES[measures])
        folder = found(id, base, device)
        fit = channels(folder, f"{_HWMON_TYPES[measures]}*_input") if folder else [self._channel]
        if folder and self._channel not in fit:
            refuse_channel(id, self._channel, fit, folder)

    def read(self, at: int) -> Reading:
        """Read it: `absent` also where the device reports its own sensor as faulty."""
        try:
            folder = folder_of(self._base, self._device)
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
