"""Why a probe is not trusted, in plain words, and what to do about it."""

from dataclasses import dataclass

from daemon.station import ProbePlan
from sensors.attached_devices import attached_devices
from sensors.one_wire import OneWireBus
from sensors.probe_opening import Roots
from sensors.reading import BELIEVABLE, Quality, Reading

_WIRES = "Check its three wires and the resistor of 4.7 kΩ between data and 3.3 V"
_CABLE = f"{_WIRES}; one line of cable under 10 m, no star, apart from mains cables."
_PINS = frozenset({"float", "photocell"})


@dataclass(frozen=True, slots=True)
class Distrust:
    """Why a probe is not trusted, and what to do."""

    why: str
    remedy: str


def distrust(plan: ProbePlan, reading: Reading, roots: Roots) -> Distrust | None:
    """Why this reading is not good; None when it is."""
    match reading.quality:
        case Quality.GOOD:
            return None
        case Quality.ABSENT:
            return _absent(plan, roots)
        case Quality.CRC:
            return _garbled(plan)
        case Quality.RESET:
            return Distrust(
                "85 °C is what it holds at power-on: it lost its power, or has not converted",
                "Check red (3.3 V) and black (ground). With two wires only, connect all three.",
            )
        case Quality.RANGE:
            return _out_of_range(plan, reading)
        case _:
            return distrust_of_course(reading.quality)


def distrust_of_course(quality: Quality) -> Distrust:
    """Why a probe is not trusted that the daemon has judged by its course: `jump`, `stuck` or `in-air`."""
    if quality is Quality.JUMP:
        return Distrust(
            "it changed faster than water can",
            "Look whether it hangs in the water and its plug sits; after calm readings it is trusted again.",
        )
    if quality is Quality.STUCK:
        return Distrust(
            "it does not change at all while its surroundings do",
            "Pull its plug for ten seconds; if it stands still again, replace it.",
        )
    return Distrust(
        "it behaves like a thermometer in air, not in water",
        "Put its tip back into the water, in the middle of the cup, and fix the cable.",
    )


def _absent(plan: ProbePlan, roots: Roots) -> Distrust:
    if plan.driver == "ds18b20":
        return _absent_wire(str(plan.keys["address"]), roots)
    if plan.driver in ("iio", "hwmon"):
        return _absent_device(plan, roots)
    if plan.driver == "tape":
        return Distrust("its tape holds no reading for this moment", "Look into the tape.")
    if plan.driver in _PINS:
        return Distrust("its pin gives no answer", "Check its wires, and that no other program uses the pin.")
    return Distrust("it gives no answer", "Check its wires and its supply.")


def _absent_wire(address: str, roots: Roots) -> Distrust:
    there = OneWireBus(roots.w1).attached()
    if address in there:
        return Distrust("the bus knows it, but it gives no answer", f"{_WIRES}.")
    if not there:
        return Distrust(
            f"the bus does not show {address}, nor any other probe", f"{_WIRES}; wait ten seconds."
        )
    return Distrust(
        f"the bus does not show {address}; it shows {', '.join(there)}",
        "Correct the address in the station file, or check this probe's wires.",
    )


def _absent_device(plan: ProbePlan, roots: Roots) -> Distrust:
    there = [device.keys["device"] for device in attached_devices(roots) if device.driver == plan.driver]
    shown = ", ".join(dict.fromkeys(there)) or "none"
    return Distrust(
        f"no answer from {plan.keys['device']}; readable {plan.driver} devices here: {shown}",
        "Check its wires and its overlay in /boot/firmware/config.txt, or correct device in the file.",
    )


def _garbled(plan: ProbePlan) -> Distrust:
    if plan.driver == "ds18b20":
        return Distrust("its answer came garbled, twice", _CABLE)
    return Distrust("its answer is no number", "Check its wires; restart the Pi.")


def _out_of_range(plan: ProbePlan, reading: Reading) -> Distrust:
    value = reading.value
    if plan.driver == "ds18b20" and value is not None and value > 127:
        return Distrust(f"{value:.2f} °C is what it holds after a failed conversion", f"{_WIRES}.")
    if plan.driver == "ds18b20" and value is not None and value < -55:
        return Distrust(f"{value:.2f} °C is below what it can measure: a wire is loose", f"{_WIRES}.")
    low, high = BELIEVABLE[plan.measures]
    found = "no number" if value is None else f"{value:.2f}"
    return Distrust(
        f"{found} is outside what a station can meet ({low:g} to {high:g})",
        "Check where it hangs and offset_c in the station file; replace it if it stays so.",
    )
