"""Where probes are opened: from a driver's name and keys to a Probe."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sensors.adc import Mcp3008
from sensors.drivers import key_faults
from sensors.ds18b20 import Ds18b20
from sensors.errors import WrongKeys
from sensors.float_switch import FloatSwitch
from sensors.kernel import HWMON_DEVICES, IIO_DEVICES, HwmonChannel, IioChannel
from sensors.one_wire import W1_DEVICES, bus_at
from sensors.photocell import Photocell
from sensors.reading import Measure, Probe


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
