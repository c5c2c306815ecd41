"""What the station's drivers need: buses and their lines in config.txt, pins, groups and libraries."""

import os
from collections.abc import Collection, Iterator, Sequence
from pathlib import Path

from daemon.commissioning.checkup.finding import Finding, look, ok, wrong
from daemon.commissioning.checkup.service_account import (
    READ,
    SERVICE,
    WRITE,
    ServiceAccount,
    group_exists,
)
from daemon.commissioning.machine import Machine
from daemon.input.file import SHOWN_CHARACTERS
from daemon.station import ProbePlan, Station
from sensors.errors import NotFitted
from sensors.gpio_chips import header_chip
from sensors.one_wire import OneWireBus

_ON_PINS = frozenset({"float", "photocell"})
_BULK_RULE = "In the folder of the program: sudo systemd/install.sh (it brings a rule for udev)."
# The package with Raspberry Pi OS's udev rules for the group gpio [M].
_CHIP_RULE = "sudo apt install --reinstall raspberrypi-sys-mods, and restart the Pi."
# lgpio 0.0.0.2 is an empty stub that pip takes where there is no wheel.
_LGPIO_STUB = "0.0."
# Bookworm and later; before, and on some other systems, without `firmware`.
_BOOT_FILES = ("/boot/firmware/config.txt", "/boot/config.txt")
# `i2c` is the alias of `i2c_arm`, and a parameter alone is on (Raspberry Pi firmware, overlays/README [M]).
_ALIASES = {"i2c": "i2c_arm"}
_ON = ("on", "true", "yes", "1")


def devices(station: Station, account: ServiceAccount, machine: Machine) -> Iterator[Finding]:
    """Everything that the probes and the indicator of the station need."""
    drivers = {plan.driver for plan in station.probes}
    pins = bool(drivers & _ON_PINS) or station.indicator is not None
    if "ds18b20" in drivers:
        yield from one_wire([plan for plan in station.probes if plan.driver == "ds18b20"], account, machine)
    if "mcp3008" in drivers:
        yield from _spi([plan for plan in station.probes if plan.driver == "mcp3008"], machine)
        yield _group(account, "spi", machine)
    kernels = [(p.driver, str(p.keys["device"])) for p in station.probes if p.driver in ("iio", "hwmon")]
    for driver, device in dict.fromkeys(kernels):
        yield _kernel_device(driver, device, machine)
    if pins:
        yield _gpio(account, machine)
        yield _group(account, "gpio", machine)
    if pins or "mcp3008" in drivers:
        yield from _pin_libraries(machine)
    if "ds18b20" in drivers:
        yield _library(machine, "w1thermsensor", "sudo /opt/naupliad/bin/pip install w1thermsensor")


def one_wire(plans: Sequence[ProbePlan], account: ServiceAccount, machine: Machine) -> Iterator[Finding]:
    """The 1-Wire bus, the thermometers' kernel module, and the trigger for all at once."""
    base = machine.roots.w1
    if not any(base.glob("w1_bus_master*")):
        yield wrong("1-Wire", f"no bus in {base}", switch_on(machine, "dtoverlay=w1-gpio"))
        return
    there = OneWireBus(base).attached()
    yield ok("1-Wire", f"the bus is on; DS18B20 attached: {len(there)}")
    if there and not any((base / address / "w1_slave").exists() for address in there):
        loaded = "w1_therm" in {
            line.split(" ")[0] for line in (machine.text("/proc/modules") or "").splitlines()
        }
        state = "is loaded, but shows no temperature" if loaded else "is not loaded"
        yield wrong(
            "1-Wire",
            f"the kernel module w1_therm {state}",
            "sudo modprobe w1-therm; echo w1-therm | sudo tee /etc/modules-load.d/w1-therm.conf",
        )
    triggers = list(base.glob("w1_bus_master*/therm_bulk_read"))
    if len(plans) > 1 and triggers and not any(account.may(trigger, WRITE) for trigger in triggers):
        yield look(
            "1-Wire",
            f"{account.name} may not start all probes at once: they are read one after another",
            _BULK_RULE,
        )


def _spi(plans: Collection[ProbePlan], machine: Machine) -> Iterator[Finding]:
    for select in sorted({int(plan.keys.get("device", 0)) for plan in plans}):
        device = machine.path(f"/dev/spidev0.{select}")
        if device.exists():
            yield ok("SPI", f"{device} is there")
        else:
            yield wrong("SPI", f"no {device}", switch_on(machine, "dtparam=spi=on"))


def _kernel_device(driver: str, wanted: str, machine: Machine) -> Finding:
    """Whether the kernel shows a device of that name; without it the overlay is missing, or the bus."""
    base = machine.roots.iio if driver == "iio" else machine.roots.hwmon
    if _shows(base, wanted):
        return ok(driver, f"{wanted} is there")
    overlay = (
        "Check its wires and the line of its overlay in /boot/firmware/config.txt, such as"
        " dtoverlay=i2c-sensor,bme280, and restart the Pi."
    )
    if any(machine.path("/sys/bus/i2c/devices").glob("i2c-*")):
        return wrong(driver, f"no {wanted} in {base}", overlay)
    bus = switch_on(machine, "dtparam=i2c_arm=on")
    return wrong(driver, f"no {wanted} in {base}, and no I²C bus", f"{bus} {overlay}")


def _shows(base: Path, wanted: str) -> bool:
    if (base / wanted).exists():
        return True
    for name in base.glob("*/name"):
        try:
            if name.read_text(encoding="utf-8", errors="replace").strip() == wanted:
                return True
        except OSError:
            continue
    return False


def _gpio(account: ServiceAccount, machine: Machine) -> Finding:
    """Whether the very chip that the daemon will open can be opened, and by the daemon's account."""
    try:
        chip = header_chip("pins", machine.path("/dev"))
    except PermissionError as error:
        return look("GPIO", f"no right to look at {error.filename}", "sudo naupliad checkup")
    except NotFitted as error:
        return wrong("GPIO", error.account, error.remedy)
    if "gpio" in account.groups and not account.may(chip.path, READ, WRITE):
        return wrong("GPIO", f"{account.name} may not open {chip.path}, though it is in gpio", _CHIP_RULE)
    return ok("GPIO", f"the header is {chip.path} ({chip.label})")


def _group(account: ServiceAccount, group: str, machine: Machine) -> Finding:
    if account.uid == 0 or group in account.groups:
        return ok(
            "groups", f"{account.name} is in {group}" if account.uid else f"{account.name} needs no {group}"
        )
    if not group_exists(machine, group):
        return wrong(
            "groups", f"no group {group} here", "Raspberry Pi OS has it; elsewhere: read its manual."
        )
    again = f"sudo systemctl restart {SERVICE}" if account.exists else "sign out and in again"
    return wrong(
        "groups",
        f"{account.name} is not in {group}",
        f"sudo usermod -aG {group} {account.name}; then {again}",
    )


def _pin_libraries(machine: Machine) -> Iterator[Finding]:
    yield _library(machine, "gpiozero", "sudo /opt/naupliad/bin/pip install gpiozero")
    apt = "sudo apt install python3-lgpio; make the environment with --system-site-packages (docs/install.md)"
    found = machine.library("lgpio")
    if found is not None and found.startswith(_LGPIO_STUB):
        stub = f"lgpio {found} is an empty stub"
        yield wrong("library", stub, f"sudo /opt/naupliad/bin/pip uninstall lgpio; {apt}")
    else:
        yield _library(machine, "lgpio", apt)
    factory = machine.environ.get("GPIOZERO_PIN_FACTORY", "lgpio").lower()
    if factory != "lgpio":
        another = f"GPIOZERO_PIN_FACTORY={factory} here; the daemon is made for lgpio"
        yield look("pins", another, "unset GPIOZERO_PIN_FACTORY")
    folder = machine.environ.get("LG_WD")
    if folder and not _writable(Path(folder)):
        yield wrong("pins", f"LG_WD={folder} is no folder that can be written", "unset LG_WD")


def _library(machine: Machine, name: str, remedy: str) -> Finding:
    version = machine.library(name)
    if version is None:
        return wrong("library", f"{name} is not installed", remedy)
    return ok("library", f"{name} {version}".rstrip())


def _writable(folder: Path) -> bool:
    return folder.is_dir() and os.access(folder, os.W_OK)


def switch_on(machine: Machine, line: str) -> str:
    """What to do for a bus that is not there: add `line` to config.txt, move it there, or look further."""
    place = next((path for path in _BOOT_FILES if machine.path(path).is_file()), None)
    if place is None:
        usual = _BOOT_FILES[0]
        return f"Add the line {line} to {usual} (not found here: no Raspberry Pi?) and restart the Pi."
    sections = _sections_with(machine.text(place) or "", line)
    if not sections:
        return f"Add the line {line} to the end of {place}, below [all], and restart the Pi."
    if not sections & {"all", ""}:
        found = ", ".join(_named(section) for section in sorted(sections))
        return f"The line {line} stands below {found} in {place}: add it below [all], and restart the Pi."
    return f"The line {line} is in {place} already: restart the Pi; if that does not help, see dmesg."


def _named(section: str) -> str:
    """A section's heading, which may hold anything, as a line can show it."""
    whole = section.isprintable() and len(section) <= SHOWN_CHARACTERS
    return f"[{section}]" if whole else "a broken section"


def _sections_with(text: str, wanted: str) -> set[str]:
    """The conditional sections in which a line has its effect; "" before the first."""
    section, found = "", set()
    for raw in text.splitlines():
        line = raw.split("#")[0].strip()
        if line.startswith("[") and line.endswith("]"):
            section = line[1:-1].strip().lower()
        elif _has_effect(line, wanted):
            found.add(section)
    return found


def _has_effect(line: str, wanted: str) -> bool:
    if wanted.startswith("dtoverlay="):
        return line == wanted or line.startswith(f"{wanted},")
    name = wanted.removeprefix("dtparam=").partition("=")[0]
    if not line.startswith("dtparam="):
        return False
    parts = (part.strip().partition("=") for part in line.removeprefix("dtparam=").split(","))
    return any(_ALIASES.get(key, key) == name and (not sep or value in _ON) for key, sep, value in parts)
