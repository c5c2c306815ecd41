"""From a station file's driver and keys to an open probe, or to a clear account of why not."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import gpiozero
import pytest
from gpiozero.pins.mock import MockFactory
from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.drivers import DRIVERS, key_faults
from sensors.ds18b20 import Ds18b20
from sensors.errors import NotFitted, SensorError, WrongKeys
from sensors.float_switch import FloatSwitch
from sensors.kernel_channels import HwmonChannel, IioChannel
from sensors.mcp3008 import Mcp3008
from sensors.photocell import Photocell
from sensors.probe_opening import Roots, open_probe
from sensors.reading import Measure
from tests.kit.checkout import ROOT

EVERY_DRIVER: list[tuple[str, Measure, dict[str, Any], type]] = [
    ("ds18b20", Measure.WATER_C, {"address": "28-0316a2795f1c", "offset_c": -0.3}, Ds18b20),
    ("mcp3008", Measure.LIGHT_FRACTION, {"channel": 3, "device": 1, "dark": 0.1, "lit": 0.7}, Mcp3008),
    ("photocell", Measure.LIGHT_FRACTION, {"pin": 18, "charge_s": 0.02, "dark": 0.7, "lit": 0.1}, Photocell),
    ("iio", Measure.LIGHT_LUX, {"device": "lux", "channel": "in_illuminance0"}, IioChannel),
    ("hwmon", Measure.ROOM_RH_PCT, {"device": "sht3x", "channel": "humidity1"}, HwmonChannel),
    ("float", Measure.FLOAT_LOW, {"pin": 17, "low_when": "closed"}, FloatSwitch),
]


def test_the_list_below_holds_every_driver_and_key() -> None:
    assert [driver for driver, *_ in EVERY_DRIVER] == list(DRIVERS)
    for driver, _, keys, _ in EVERY_DRIVER:
        assert set(keys) | {"offset_c"} >= {key.name for key in DRIVERS[driver].keys}


@pytest.mark.parametrize(("driver", "measures", "keys", "kind"), EVERY_DRIVER)
def test_every_driver_opens_its_probe_with_its_keys(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    driver: str,
    measures: Measure,
    keys: dict[str, Any],
    kind: type,
) -> None:
    (tmp_path / "w1_bus_master1").mkdir()
    factory = MockFactory()
    monkeypatch.setattr(gpiozero.Device, "pin_factory", factory)
    roots = Roots(w1=tmp_path, iio=tmp_path, hwmon=tmp_path)
    probe = open_probe("here", measures, driver, keys, roots=roots, pins=factory)
    assert isinstance(probe, kind)
    assert (probe.id, probe.measures) == ("here", measures)
    probe.close()
    factory.reset()


@pytest.mark.parametrize(("driver", "measures", "keys", "kind"), EVERY_DRIVER)
def test_a_machine_with_no_hardware_says_of_every_driver_what_is_missing_and_what_to_do(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    driver: str,
    measures: Measure,
    keys: dict[str, Any],
    kind: type,
) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "lgpio")
    monkeypatch.setenv("LG_WD", str(tmp_path))
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setitem(sys.modules, "lgpio", None)  # also where the tests run on a Pi
    roots = Roots(w1=tmp_path / "w1", iio=tmp_path / "iio", hwmon=tmp_path / "hwmon")
    with pytest.raises(NotFitted) as caught:
        open_probe("here", measures, driver, keys, roots=roots)
    assert str(caught.value) == f'probe "here": {caught.value.account}. {caught.value.remedy}'
    assert "\n" not in str(caught.value)
    helps = ("config.txt", "apt install python3-lgpio", 'driver = "mcp3008"')
    assert any(help_line in caught.value.remedy for help_line in helps)


def test_all_probes_of_a_station_share_the_bus_of_their_folder(tmp_path: Path) -> None:
    bulk = tmp_path / "w1_bus_master1" / "therm_bulk_read"
    bulk.parent.mkdir()
    bulk.write_text("0\n")
    roots = Roots(w1=tmp_path)
    addresses = [f"28-00000000000{number}" for number in range(8)]
    probes = [open_probe(a, Measure.WATER_C, "ds18b20", {"address": a}, roots=roots) for a in addresses]
    probes[5].read(0)
    assert bulk.read_bytes() == b"trigger\n"  # only sent where more than one probe joined the bus


@pytest.mark.parametrize(
    ("driver", "measures", "keys", "line"),
    [
        (
            "w1",
            Measure.WATER_C,
            {},
            "driver: found 'w1', allowed: ds18b20, mcp3008, photocell, iio, hwmon, float",
        ),
        ("float", Measure.WATER_C, {"pin": 1}, "measures: found 'water_c', allowed: float_low"),
        ("float", Measure.FLOAT_LOW, {}, "pin: found nothing, allowed: a BCM pin number, 0 to 27"),
        ("float", Measure.FLOAT_LOW, {"pin": 28}, "pin: found 28, allowed: a BCM pin number, 0 to 27"),
        ("float", Measure.FLOAT_LOW, {"pin": True}, "pin: found True"),
        (
            "float",
            Measure.FLOAT_LOW,
            {"pin": 4, "pull": "up"},
            "pull: found 'up', allowed: only pin, low_when",
        ),
        ("mcp3008", Measure.LIGHT_FRACTION, {"channel": 8}, "channel: found 8, allowed: 0 to 7"),
        ("photocell", Measure.LIGHT_FRACTION, {"pin": 4, "charge_s": 0}, "charge_s: found 0"),
        ("hwmon", Measure.ROOM_RH_PCT, {"device": "a", "offset_c": 1}, "allowed: only device, channel"),
        ("iio", Measure.ROOM_C, {"device": "../../etc"}, "device: found '../../etc'"),
        (
            "ds18b20",
            Measure.WATER_C,
            {"address": "28-0316a2795f1c", "offset_c": float("nan")},
            "offset_c: found nan",
        ),
    ],
)
def test_a_wrong_key_is_told_with_what_was_found_and_what_is_allowed(
    driver: str, measures: Measure, keys: dict[str, Any], line: str
) -> None:
    with pytest.raises(WrongKeys) as caught:
        open_probe("here", measures, driver, keys)
    assert line in str(caught.value)
    assert str(caught.value).startswith('probe "here": ')


def test_several_wrong_keys_are_told_together() -> None:
    faults = key_faults("mcp3008", Measure.LIGHT_FRACTION, {"channel": 9, "device": 2, "colour": "red"})
    assert [fault.key for fault in faults] == ["colour", "channel", "device"]


_VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.lists(st.integers(), max_size=2),
)
_NAMES = st.sampled_from(["address", "offset_c", "channel", "device", "pin", "charge_s", "low_when", "other"])


@settings(deadline=None)  # disks are as slow as they like
@given(
    driver=st.one_of(st.sampled_from(list(DRIVERS)), st.text(max_size=8)),
    measures=st.sampled_from(Measure),
    keys=st.dictionaries(_NAMES, _VALUES, max_size=4),
)
def test_whatever_stands_in_the_file_opening_raises_nothing_but_sensor_errors(
    driver: str, measures: Measure, keys: dict[str, Any]
) -> None:
    nowhere = Roots(*[Path("/nonexistent")] * 3)
    told: SensorError | None = None
    try:
        open_probe("here", measures, driver, keys, roots=nowhere, pins=MockFactory()).close()
    except SensorError as error:
        told = error
    assert isinstance(told, WrongKeys) == bool(key_faults(driver, measures, keys))
    assert told is None or told.probe == "here"


LAZY = """
import sys
import sensors.probe_bench, sensors.probe_opening
from pathlib import Path
from sensors.reading import Measure
from sensors.probe_opening import Roots, open_probe

def loaded():
    return sorted({"w1thermsensor", "gpiozero", "lgpio", "spidev"} & set(sys.modules))

print(loaded())
tree = Path(sys.argv[1])
roots = Roots(w1=tree, iio=tree, hwmon=tree)
open_probe("air", Measure.ROOM_C, "hwmon", {"device": "sht3x"}, roots=roots).read(0)
print(loaded())
open_probe("water", Measure.WATER_C, "ds18b20", {"address": "28-0316a2795f1c"}, roots=roots).read(0)
print(loaded())
open_probe("float", Measure.FLOAT_LOW, "float", {"pin": 17}).close()
print(loaded())
"""


def test_no_hardware_library_is_loaded_before_a_driver_that_needs_it_is_opened(tmp_path: Path) -> None:
    (tmp_path / "w1_bus_master1").mkdir()
    child = subprocess.run(
        [sys.executable, "-W", "error", "-c", LAZY, str(tmp_path)],
        env={"GPIOZERO_PIN_FACTORY": "mock", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert child.stderr == ""
    assert child.stdout.splitlines() == [
        "[]",
        "[]",
        "['w1thermsensor']",
        "['gpiozero', 'w1thermsensor']",
    ]
