"""The table `[indicator]`: a light and a button on pins of their own."""

from collections.abc import Mapping
from typing import Any

from daemon.config.checks import ABSENT, Key, fault, one_of, read_table, whole
from daemon.input.file import shown
from daemon.station import IndicatorPins

_PIN = whole(0, 27, "(BCM pin number)")
_COLOURS = ("red", "green", "blue")
INDICATOR_KEYS: dict[str, Key] = {
    "led": Key(_PIN, ABSENT),
    "red": Key(_PIN, ABSENT),
    "green": Key(_PIN, ABSENT),
    "blue": Key(_PIN, ABSENT),
    "lit_when": Key(one_of("high", "low"), "high"),
    "button": Key(_PIN, ABSENT),
}
_PINS = tuple(name for name in INDICATOR_KEYS if name != "lit_when")
# The Pi's SPI: the kernel holds both chip selects, whichever the converter is on.
_SPI = range(7, 12)


def read_indicator(
    raw: object, probes: Mapping[str, Mapping[str, Any]], faults: list[str]
) -> IndicatorPins | None:
    """The checked table, None where it is faulty; `probes` are those of the file by path."""
    before = len(faults)
    values = read_table(raw, INDICATOR_KEYS, "indicator", faults)
    if len(faults) == before:
        _check_lights(values, faults)
        _check_pins(values, _taken(probes), faults)
    if len(faults) > before:
        return None
    lights = [values[name] for name in ("led", *_COLOURS) if name in values]
    return IndicatorPins(tuple(lights), values.get("button"), values["lit_when"])


def _check_lights(values: Mapping[str, Any], faults: list[str]) -> None:
    colours = [name for name in _COLOURS if name in values]
    if not any(name in values for name in _PINS):
        faults.append(fault("indicator", "no pin", "led, or red, green and blue; and button"))
    if "led" in values and colours:
        faults.append(fault("indicator.led", f"it beside {colours[0]}", "led, or red, green and blue"))
    elif colours:
        faults.extend(
            fault(f"indicator.{name}", "nothing", "a pin for each of red, green and blue, or led alone")
            for name in _COLOURS
            if name not in values
        )


def _check_pins(values: Mapping[str, Any], taken: dict[int, str], faults: list[str]) -> None:
    for name in _PINS:
        if (pin := values.get(name)) is None:
            continue
        if pin in taken:
            found = f"{shown(pin)}, which {taken[pin]} has already"
            faults.append(fault(f"indicator.{name}", found, "a pin of its own"))
        taken.setdefault(pin, f"indicator.{name}")


def _taken(probes: Mapping[str, Mapping[str, Any]]) -> dict[int, str]:
    taken: dict[int, str] = {}
    for path, probe in probes.items():
        if "pin" in probe:
            taken.setdefault(probe["pin"], f"{path}.pin")
        if probe.get("driver") == "mcp3008":
            for pin in _SPI:
                taken.setdefault(pin, f"the SPI bus of {path}")
    return taken
