"""From a driver's name and keys to a Probe: opened now, or as soon as its bus or device is there."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sensors.drivers import key_faults
from sensors.ds18b20 import Ds18b20
from sensors.errors import SensorError, WrongKeys
from sensors.float_switch import FloatSwitch
from sensors.kernel_channels import HWMON_DEVICES, IIO_DEVICES, HwmonChannel, IioChannel
from sensors.mcp3008 import Mcp3008
from sensors.one_wire import W1_DEVICES, bus_at
from sensors.photocell import Photocell
from sensors.reading import Measure, Probe, Quality, Reading

# After a power cut a driver may come up minutes after the daemon; asking more often gains nothing.
_TRY_AGAIN_S = 300


@dataclass(frozen=True, slots=True)
class Roots:
    """Where the kernel shows its devices."""

    w1: Path = W1_DEVICES
    iio: Path = IIO_DEVICES
    hwmon: Path = HWMON_DEVICES


def open_probe(
    id: str,  # noqa: A002 - the Probe protocol's word
    measures: Measure,
    driver: str,
    keys: Mapping[str, Any],
    *,
    roots: Roots = Roots(),
    pins: Any = None,
) -> Probe:
    """The probe of a driver, its keys as in `sensors.drivers`; `pins` is a gpiozero pin factory, or the Pi's.

    Raises WrongKeys for keys that cannot be, NotFitted where the machine lacks a bus, a library or a
    right. A device that is merely not answering is opened, and reads `absent`.
    """
    faults = key_faults(driver, measures, keys)
    if faults:
        raise WrongKeys(id, *faults)
    match driver:
        case "ds18b20":
            return Ds18b20(id, measures=measures, bus=bus_at(roots.w1), **keys)
        case "mcp3008":
            return Mcp3008(id, pins=pins, **keys)
        case "photocell":
            return Photocell(id, pins=pins, **keys)
        case "iio":
            return IioChannel(id, measures, base=roots.iio, **keys)
        case "hwmon":
            return HwmonChannel(id, measures, base=roots.hwmon, **keys)
        case _:
            return FloatSwitch(id, pins=pins, **keys)


class LateProbe:
    """Stands for a probe that could not be opened, and opens it when it can be."""

    def __init__(self, probe_id: str, measures: Measure, opens: Callable[[], Probe]) -> None:
        """`opens` raises SensorError for as long as something is missing."""
        self._id = probe_id
        self._measures = measures
        self._opens = opens
        self._probe: Probe | None = None
        self._tried_at: int | None = None

    @property
    def id(self) -> str:
        """The name the station file gives it."""
        return self._id

    @property
    def measures(self) -> Measure:
        """What it measures."""
        return self._measures

    def read(self, at: int) -> Reading:
        """The probe's reading once it is open, `absent` before; it is tried anew every five minutes."""
        if self._probe is None and (self._tried_at is None or abs(at - self._tried_at) >= _TRY_AGAIN_S):
            self._tried_at = at
            try:
                self._probe = self._opens()
            except SensorError:
                self._probe = None
        if self._probe is None:
            return Reading(at, self._id, None, Quality.ABSENT)
        return self._probe.read(at)

    def close(self) -> None:
        """Let go of the probe if it was opened."""
        if self._probe is not None:
            self._probe.close()
