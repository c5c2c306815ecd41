"""Water temperature from a DS18B20 on the 1-Wire bus, through w1thermsensor.

±0.5 °C from −10 to +85 °C, steps of 0.0625 °C at 12 bit (data sheet). Nothing is ever written to the
probe; its calibration is `offset_c`, added here.

What a bad reading becomes: no folder, or the kernel refuses: `absent`. Check sum wrong, nothing or half
of it read, after one more try: `crc`. 85 °C, the value at power-on: `reset`. Outside the believable
range, so also 127.94 °C (a failed conversion) and the −110 °C of a pulled wire: `range`.
"""

import importlib
import os
from typing import Any

from sensors.drivers import DRIVERS
from sensors.errors import KeyFault, NotFitted, WrongKeys
from sensors.one_wire import OneWireBus
from sensors.reading import Measure, Quality, Reading, judged

_POWER_ON_C = 85.0


class Ds18b20:
    """One DS18B20. An address that is not attached is no error: the probe reads `absent` until it is."""

    def __init__(
        self,
        id: str,  # noqa: A002 - the Probe protocol's word
        address: str,
        *,
        measures: Measure = Measure.WATER_C,
        offset_c: float = 0.0,
        bus: OneWireBus | None = None,
    ) -> None:
        """Open it. Raises WrongKeys for an address that is none, NotFitted without bus or library."""
        key = DRIVERS["ds18b20"].keys[0]
        if not key.fits(address):
            raise WrongKeys(id, KeyFault(key.name, address, key.allowed))
        self.id = id
        self.measures = measures
        self.address = address
        self.offset_c = offset_c
        self._bus = bus or OneWireBus()
        self._library = _library(id)
        # The library keeps its folder on the class; a class of our own leaves that one alone.
        self._sensor_class: Any = type(
            "Attached", (self._library.W1ThermSensor,), {"BASE_DIRECTORY": self._bus.base}
        )
        self._bus.join(id, address)

    def read(self, at: int) -> Reading:
        """Read it; a reading with a broken check sum is tried once more."""
        self._bus.convert(at)
        if self._bus.gives_old_value(self.address):
            self._read_once(at)
        reading = self._read_once(at)
        return self._read_once(at) if reading.quality is Quality.CRC else reading

    def close(self) -> None:
        """Leave the bus."""
        self._bus.leave(self.address)

    def _read_once(self, at: int) -> Reading:
        try:
            raw_c = float(
                self._sensor_class(self._library.Sensor.DS18B20, self.address[3:]).get_temperature()
            )
        except self._library.ResetValueError:
            return Reading(at, self.id, _POWER_ON_C, Quality.RESET)
        except (self._library.NoSensorFoundError, OSError):
            return Reading(at, self.id, None, Quality.ABSENT)
        except Exception:  # not ready, one line only, no hex, more digits than a float holds
            return Reading(at, self.id, None, Quality.CRC)
        raw = judged(at, self.id, self.measures, raw_c)
        return judged(at, self.id, self.measures, raw_c + self.offset_c) if raw.good else raw


def _library(probe: str) -> Any:
    # Without it the import would load kernel modules, wait a second and fail off a Pi.
    os.environ["W1THERMSENSOR_NO_KERNEL_MODULE"] = "1"
    try:
        return importlib.import_module("w1thermsensor")
    except ImportError as error:
        raise NotFitted(
            probe,
            f"the library w1thermsensor cannot be loaded ({error})",
            "Install it into Naupliad's environment: pip install w1thermsensor.",
        ) from error
