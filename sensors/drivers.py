"""What each driver measures and which keys it takes: checked before any device is touched.

| driver | measures | keys |
| --- | --- | --- |
| ds18b20 | water_c, room_c | `address` (28- and twelve hex digits), `offset_c` |
| mcp3008 | light_fraction | `channel` 0–7, `device` 0 or 1 (which chip select, CE0 or CE1), `dark`, `lit` |
| photocell | light_fraction | `pin` (BCM number), `charge_s` (longest charge that is light), `dark`, `lit` |
| iio | light_lux, room_c, water_c, room_rh_pct | `device` (its name or iio:deviceN), `channel`, `offset_c` |
| hwmon | room_c, water_c, room_rh_pct | `device` (its name or hwmonN), `channel`, `offset_c` |
| float | float_low | `pin` (BCM number), `low_when` (`open` or `closed`: the contact at low water) |

`offset_c` is added to a temperature after the checks. `dark` and `lit` are what the probe reads without them
with the lamp off and on; either may be the larger. A device's name outlives a restart, its number
may not.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sensors.errors import KeyFault
from sensors.light_scale import scale_fault
from sensors.reading import Measure

TEMPERATURES = frozenset({Measure.WATER_C, Measure.ROOM_C})


@dataclass(frozen=True, slots=True)
class DriverKey:
    """One key of a driver: what it allows, in words and as a test."""

    name: str
    allowed: str
    fits: Callable[[object], bool]
    required: bool = False


@dataclass(frozen=True, slots=True)
class Driver:
    """What a driver can measure, and its keys."""

    measures: frozenset[Measure]
    keys: tuple[DriverKey, ...]


def _whole(low: int, high: int) -> Callable[[object], bool]:
    return lambda found: isinstance(found, int) and not isinstance(found, bool) and low <= found <= high


def _number(low: float, high: float) -> Callable[[object], bool]:
    return lambda found: (
        isinstance(found, int | float) and not isinstance(found, bool) and low <= found <= high
    )


def _text(pattern: str) -> Callable[[object], bool]:
    return lambda found: isinstance(found, str) and re.fullmatch(pattern, found) is not None


_PIN = DriverKey("pin", "a BCM pin number, 0 to 27", _whole(0, 27), required=True)
_OFFSET = DriverKey("offset_c", "a number from -10 to 10", _number(-10, 10))
_LAMP = tuple(DriverKey(name, "a number from 0 to 1", _number(0, 1)) for name in ("dark", "lit"))
_DEVICE = DriverKey(
    "device", "a device's name or number, as in its folder", _text(r"[\w:.,@-]+"), required=True
)

DRIVERS: dict[str, Driver] = {
    "ds18b20": Driver(
        TEMPERATURES,
        (
            DriverKey("address", "28- and twelve hex digits", _text("28-[0-9a-f]{12}"), required=True),
            _OFFSET,
        ),
    ),
    "mcp3008": Driver(
        frozenset({Measure.LIGHT_FRACTION}),
        (
            DriverKey("channel", "0 to 7", _whole(0, 7), required=True),
            DriverKey("device", "0 (CE0) or 1 (CE1)", _whole(0, 1)),
            *_LAMP,
        ),
    ),
    "photocell": Driver(
        frozenset({Measure.LIGHT_FRACTION}),
        (_PIN, DriverKey("charge_s", "a number from 0.001 to 1", _number(0.001, 1.0)), *_LAMP),
    ),
    "iio": Driver(
        TEMPERATURES | {Measure.LIGHT_LUX, Measure.ROOM_RH_PCT},
        (
            _DEVICE,
            DriverKey("channel", "a channel's name, such as in_illuminance0", _text("in_[a-z0-9_]+")),
            _OFFSET,
        ),
    ),
    "hwmon": Driver(
        TEMPERATURES | {Measure.ROOM_RH_PCT},
        (
            _DEVICE,
            DriverKey("channel", "a channel's name, such as temp1", _text("(temp|humidity)[0-9]+")),
            _OFFSET,
        ),
    ),
    "float": Driver(
        frozenset({Measure.FLOAT_LOW}),
        (_PIN, DriverKey("low_when", "open or closed", _text("open|closed"))),
    ),
}


def key_faults(driver: str, measures: Measure, keys: Mapping[str, object]) -> tuple[KeyFault, ...]:
    """Everything wrong with a probe's driver, measure and keys; empty when it may be opened."""
    known = DRIVERS.get(driver)
    if known is None:
        return (KeyFault("driver", driver, ", ".join(DRIVERS)),)
    if measures not in known.measures:
        return (KeyFault("measures", str(measures), ", ".join(sorted(known.measures))),)
    faults = (*_unknown(known, measures, keys), *_unfit(known, keys))
    together = None if faults else scale_fault(keys)
    return faults if together is None else (together,)


def _unknown(driver: Driver, measures: Measure, keys: Mapping[str, object]) -> list[KeyFault]:
    taken = [key.name for key in driver.keys if key is not _OFFSET or measures in TEMPERATURES]
    return [
        KeyFault(key, found, f"only {', '.join(taken)}") for key, found in keys.items() if key not in taken
    ]


def _unfit(driver: Driver, keys: Mapping[str, object]) -> list[KeyFault]:
    wanted = [key for key in driver.keys if key.required or key.name in keys]
    return [KeyFault(k.name, keys.get(k.name), k.allowed) for k in wanted if not k.fits(keys.get(k.name))]
