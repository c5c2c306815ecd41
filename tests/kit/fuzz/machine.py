"""What the kernel shows, as targets: files of 1-Wire, IIO and hwmon devices, and the boot's config.txt."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

from hypothesis import strategies as st

from daemon.commissioning.checkup.devices import switch_on
from daemon.commissioning.machine import Machine
from sensors.attached_devices import attached_devices, one_wire_facts, strangers
from sensors.drivers import key_faults
from sensors.ds18b20 import Ds18b20
from sensors.kernel_channels import HwmonChannel, IioChannel
from sensors.one_wire import OneWireBus
from sensors.probe_opening import Roots
from sensors.reading import BELIEVABLE, Measure, Probe, Quality
from tests.kit.fuzz.spoiled import Target, spoiled, taken
from tests.kit.sysfs import slave_text

ADDRESS = "28-0316a2795f1c"
_GIVEN = frozenset({Quality.GOOD, Quality.ABSENT, Quality.CRC, Quality.RESET, Quality.RANGE})
_WIRES = {
    "w1_slave": (*map(slave_text, (400, -20, 0x0550)), slave_text(9, crc_good=False)),
    "therm_bulk_read": ("0\n", "1\n", "-1\n"),
    "resolution": ("12\n", "9\n"),
    "ext_power": ("1\n", "0\n"),
}
_LUX = {
    "name": ("bh1750\n",),
    "in_illuminance_input": ("432\n",),
    "in_illuminance_raw": ("1200\n", "1e300\n"),
    "in_illuminance_scale": ("0.833333\n", "1e300\n"),
    "in_illuminance_offset": ("-5\n",),
}
_AIR = {"name": ("sht3x\n",), "temp1_input": ("21480\n",), "temp1_fault": ("0\n",)}
_BOOT = spoiled(["[all]\ndtparam=spi=on,i2c_arm=on\ndtoverlay=w1-gpio,gpiopin=4\n[pi4] # one\n"])


def machine_targets(folder: Path) -> list[Target]:
    """Those that read files as the kernel lays them out, below `folder`."""
    return [
        Target("1-Wire files", st.fixed_dictionaries(_each(_WIRES)), partial(_wires, folder / "w1")),
        Target("IIO files", _some_of(_LUX), partial(_iio, folder / "iio")),
        Target("hwmon files", _some_of(_AIR), partial(_hwmon, folder / "hwmon")),
        Target("config.txt", _BOOT, partial(_boot, folder / "machine")),
    ]


def _each(files: Mapping[str, Sequence[str]]) -> dict[str, st.SearchStrategy[bytes]]:
    """Every file as it is, or spoiled."""
    return {
        name: st.one_of(st.sampled_from([text.encode() for text in texts]), spoiled(texts))
        for name, texts in files.items()
    }


def _some_of(files: Mapping[str, Sequence[str]]) -> st.SearchStrategy[dict[str, bytes]]:
    """The name, and any of the others."""
    each = _each(files)
    return st.fixed_dictionaries({"name": each.pop("name")}, optional=each)


def _lay(folder: Path, files: dict[str, bytes]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for name, raw in files.items():
        (folder / name).write_bytes(raw)


def _is_sound(probe: Probe) -> bool:
    """Reads a probe, which never raises: whether the reading is good, and then believable."""
    reading = probe.read(4)
    low, high = BELIEVABLE[probe.measures]
    assert (reading.at, reading.probe) == (4, probe.id)
    assert reading.quality in _GIVEN
    assert reading.value is None or abs(reading.value) < 1e9
    assert not reading.good or (reading.value is not None and low <= reading.value <= high)
    return reading.good


def _is_sound_where_it_opens(opened: Callable[[], Probe]) -> bool:
    good: list[bool] = []
    return taken(lambda: good.append(_is_sound(opened()))) and good == [True]


def _wires(base: Path, files: dict[str, bytes]) -> bool:
    of_the_bus = {"therm_bulk_read": files["therm_bulk_read"]}
    _lay(base / "w1_bus_master1", of_the_bus)
    _lay(base / ADDRESS, {name: raw for name, raw in files.items() if name not in of_the_bus})
    probe = Ds18b20("cup-water", ADDRESS, bus=OneWireBus(base))
    facts = one_wire_facts(base, ADDRESS)
    assert facts.step_c in (0.0625, 0.125, 0.25, 0.5)
    good = _is_sound(probe)
    # The kernel's own verdict stands on the first line: nothing is good without it.
    assert not good or b"YES" in files["w1_slave"].splitlines()[0]
    return good


def _iio(base: Path, files: dict[str, bytes]) -> bool:
    _lay(base / "iio:device0", files)
    _offers_what_fits(Roots(base / "none", base, base / "none"))
    return _is_sound_where_it_opens(lambda: IioChannel("light", Measure.LIGHT_LUX, "bh1750", base=base))


def _hwmon(base: Path, files: dict[str, bytes]) -> bool:
    _lay(base / "hwmon0", files)
    _offers_what_fits(Roots(base / "none", base / "none", base))
    return _is_sound_where_it_opens(lambda: HwmonChannel("air", Measure.ROOM_C, "sht3x", base=base))


def _offers_what_fits(roots: Roots) -> None:
    assert strangers(roots) == ()
    for device in attached_devices(roots):
        assert key_faults(device.driver, device.measures, device.keys) == ()


def _boot(root: Path, raw: bytes) -> bool:
    place = root / "boot" / "firmware"
    place.mkdir(parents=True, exist_ok=True)
    (place / "config.txt").write_bytes(raw)
    told = switch_on(Machine(root), "dtoverlay=w1-gpio")
    assert "restart the Pi" in told
    assert told.isprintable()
    return "already" in told
