"""`naupliad probes` on a Pi made of files: what is attached, what it reads, and the guided calibrations.

The files lie as the kernel documents them (Documentation/w1/slaves/w1_therm.rst, ABI/testing/sysfs-bus-iio,
hwmon/sysfs-interface); the real drivers, w1thermsensor and gpiozero read them.
"""

import json
import os
import shutil
import socket
import sys
import tomllib
from pathlib import Path
from typing import Any

import gpiozero
import pytest
from gpiozero.pins.mock import MockFactory
from hypothesis import given
from hypothesis import strategies as st

from daemon.commissioning.probes import calibration
from daemon.config import parse_station
from daemon.inbox.line import INBOX
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from sensors.attached_devices import attached_devices, one_wire_facts, strangers
from sensors.drivers import key_faults
from sensors.light_scale import scale_fault
from sensors.reading import Measure, Quality, Reading
from tests.kit.command_line import Said
from tests.kit.converter import Converter
from tests.kit.file_machine import NOON, PlayedTime, machine, naupliad
from tests.kit.station import probe, station_text, vessel
from tests.kit.sysfs import attach, lay, slave_text

GENUINE, COPY = "28-00000a1b2c3d", "28-0316a2795f1c"
W1, IIO, HWMON = "sys/bus/w1/devices", "sys/bus/iio/devices", "sys/class/hwmon"


WATER = probe("tray-water", driver="ds18b20", address=GENUINE)


def station(folder: Path, *probes: str, uses: tuple[str, ...] = ("tray-water",)) -> Path:
    path = folder / "station.toml"
    path.write_text(station_text(*probes, vessel("tray-a", *uses), zone="UTC", attended=()), encoding="utf-8")
    return path


def told(said: Said, code: int = 0) -> Any:
    assert said.code == code, said.err
    return json.loads(said.out)


def seen(said: Said, code: int = 0) -> dict[str, dict[str, Any]]:
    found = told(said, code)
    return {line["probe"]: line for line in found["probes"] + found["unnamed"]}


# --- the list ---


def test_a_probe_that_is_well_is_one_line_with_its_value_and_that_it_is_trusted(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.125, resolution="12", ext_power="1")
    config = station(tmp_path, WATER)
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--state", tmp_path)
    assert (said.code, said.err) == (0, "")
    line, note = said.out.splitlines()
    assert " ".join(line.split()) == "tray-water ds18b20 water_c 21.12 °C good in 0.00 s trusted"
    assert note.strip() == "12 bit: steps of 0.0625 °C"


def test_every_reading_is_told_in_its_unit(tmp_path: Path, pins: MockFactory) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    lay(tmp_path / IIO / "iio:device0", name="bh1750", in_illuminance_raw="500", in_illuminance_scale="0.5")
    lay(tmp_path / HWMON / "hwmon0", name="sht3x", temp1_input="20500", humidity1_input="45300")
    config = station(
        tmp_path,
        WATER,
        probe("tray-light", "light_lux", "iio", device="bh1750"),
        probe("room-air", "room_c", "hwmon", device="sht3x"),
        probe("room-rh", "room_rh_pct", "hwmon", device="sht3x"),
        probe("float", "float_low", "float", pin=17),
    )
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--state", tmp_path)
    assert (said.code, said.err) == (0, "")
    values = [line[40:54].strip() for line in said.out.splitlines() if not line.startswith(" ")]
    assert values == ["21.00 °C", "250.00 lux", "20.50 °C", "45.30 %", "low"]


def test_how_long_each_read_took_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    time = PlayedTime()
    real = Path.open

    def converting(path: Path, *args: Any, **kw: Any) -> Any:
        if path.name == "w1_slave":
            time.sleep(0.75)  # a conversion at 12 bit, data sheet
        return real(path, *args, **kw)

    monkeypatch.setattr(Path, "open", converting)
    config = station(tmp_path, WATER)
    line = "probes", "--config", config, "--state", tmp_path, "--json"
    assert seen(naupliad(machine(tmp_path, time), *line))["tray-water"]["took_s"] == 0.75


@pytest.mark.parametrize(
    ("shows", "quality", "why", "do"),
    [
        (slave_text(0x0550), "reset", "85 °C is what it holds at power-on", "Check red (3.3 V)"),
        (slave_text(0x07FF), "range", "127.94 °C is what it holds after a failed conversion", "4.7 kΩ"),
        (slave_text(0xF921), "range", "-109.94 °C is below what it can measure: a wire is loose", "wires"),
        (slave_text(70 * 16), "range", "70.00 is outside what a station can meet (-5 to 60)", "offset_c"),
        (slave_text(400, crc_good=False), "crc", "its answer came garbled, twice", "under 10 m"),
        ("", "crc", "its answer came garbled, twice", "4.7 kΩ"),
        (slave_text(400).splitlines()[0], "crc", "its answer came garbled, twice", "no star"),
    ],
    ids=["power-on", "failed conversion", "pulled wire", "hot", "check sum", "empty", "one line"],
)
def test_every_fault_of_a_thermometer_is_told_with_what_to_do(
    tmp_path: Path, shows: str, quality: str, why: str, do: str
) -> None:
    (attach(tmp_path / W1, GENUINE, 21.0) / "w1_slave").write_text(shows)
    config = station(tmp_path, WATER)
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--state", tmp_path, "--json")
    line = seen(said, 1)["tray-water"]
    assert (line["quality"], line["trusted"]) == (quality, False)
    assert why in line["why"]
    assert do in line["do"]
    assert said.faults == [f'probe "tray-water": {line["why"]}. {line["do"]}']


def test_a_probe_that_the_bus_does_not_show_is_told_with_those_it_shows(tmp_path: Path) -> None:
    attach(tmp_path / W1, COPY, 21.0)
    config = station(tmp_path, WATER)
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"), 1)["tray-water"]
    assert line["why"] == f"the bus does not show {GENUINE}; it shows {COPY}"
    assert line["do"].startswith("Correct the address")
    shutil.rmtree(tmp_path / W1 / COPY)
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"), 1)["tray-water"]
    assert line["why"] == f"the bus does not show {GENUINE}, nor any other probe"


def test_a_device_of_the_kernel_that_is_not_there_is_told_with_those_that_are(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    lay(tmp_path / IIO / "iio:device0", name="veml7700", in_illuminance_input="300")
    config = station(tmp_path, WATER, probe("tray-light", "light_lux", "iio", device="bh1750"))
    found = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"), 1)
    assert found["tray-light"]["why"] == "no answer from bh1750; readable iio devices here: veml7700"
    assert found["tray-water"]["trusted"]


def test_what_cannot_be_opened_is_told_with_its_remedy_and_the_others_are_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GPIOZERO_PIN_FACTORY", "lgpio")
    monkeypatch.setenv("LG_WD", str(tmp_path))
    monkeypatch.setattr(gpiozero.Device, "pin_factory", None)
    monkeypatch.setitem(sys.modules, "lgpio", None)
    lay(tmp_path / HWMON / "hwmon0", name="sht3x", temp1_input="20500")
    config = station(
        tmp_path,
        probe("float", "float_low", "float", pin=17),
        WATER,
        probe("room-air", "room_c", "hwmon", device="sht3x"),
    )
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--json")
    found = seen(said, 1)
    assert [found[p]["quality"] for p in ("float", "tray-water", "room-air")] == ["absent", "absent", "good"]
    assert "sudo apt install python3-lgpio" in found["float"]["do"]
    assert "dtoverlay=w1-gpio to /boot/firmware/config.txt" in found["tray-water"]["do"]
    assert len(said.faults) == 2


def test_a_probe_that_hangs_keeps_nobody_waiting_and_is_told(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    stuck = attach(tmp_path / W1, COPY, 21.0) / "w1_slave"
    stuck.unlink()
    os.mkfifo(stuck)  # opening it for reading blocks until somebody writes
    config = station(tmp_path, probe("b", "water_c", "ds18b20", address=COPY), WATER)
    said = naupliad(machine(tmp_path, patience_s=0.2), "probes", "--config", config, "--json")
    stuck.write_text("")  # lets the thread go
    found = seen(said, 1)
    assert "has not answered" in found["b"]["why"]
    assert found["tray-water"]["quality"] == "good"


def test_parasite_power_is_noticed_with_advice_and_takes_nothing_from_the_trust(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0, ext_power="0", resolution="9")
    config = station(tmp_path, WATER)
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))["tray-water"]
    assert line["trusted"]
    assert line["notes"][0] == "9 bit: steps of 0.5 °C"
    assert "two wires" in line["notes"][1]
    assert "3.3 V" in line["notes"][1]


def test_a_number_unlike_genuine_parts_is_told_and_takes_nothing_from_the_trust(tmp_path: Path) -> None:
    attach(tmp_path / W1, COPY, 21.0)
    config = station(tmp_path, probe("tray-water", "water_c", "ds18b20", address=COPY))
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))["tray-water"]
    assert line["trusted"]
    assert any("28-0000" in note for note in line["notes"])


@pytest.mark.parametrize(
    ("first_c", "offset_c", "note"),
    [
        (85.0, 0.0, "85.00 °C, the next 21.00 °C: it has just got its power"),
        (25.0, 0.0, "25.00 °C, the next 21.00 °C: some copies begin with 25"),
        (25.0, 0.5, "25.50 °C, the next 21.50 °C: some copies begin with 25"),
    ],
)
def test_a_first_reading_that_may_be_held_from_power_on_is_read_anew_and_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, first_c: float, offset_c: float, note: str
) -> None:
    slave = attach(tmp_path / W1, GENUINE, first_c) / "w1_slave"
    real, opened = Path.open, []

    def after_the_first(path: Path, *args: Any, **kw: Any) -> Any:
        if path == slave:
            opened.append(path)
            if len(opened) > 1:
                with real(slave, "w") as file:
                    file.write(slave_text(21 * 16))
        return real(path, *args, **kw)

    config = station(tmp_path, probe("tray-water", "water_c", "ds18b20", address=GENUINE, offset_c=offset_c))
    monkeypatch.setattr(Path, "open", after_the_first)
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))["tray-water"]
    assert (line["value"], line["quality"], len(opened)) == (21.0 + offset_c, "good", 2)
    assert note in line["notes"][-1]


def test_water_that_really_is_at_25_degrees_is_read_twice_and_nothing_said(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 25.0)
    config = station(tmp_path, WATER)
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))["tray-water"]
    assert (line["value"], line["notes"]) == (25.0, [])


def test_a_station_file_that_is_named_and_not_there_is_wrong_input(tmp_path: Path) -> None:
    said = naupliad(machine(tmp_path), "probes", "--config", tmp_path / "no.toml")
    assert (said.code, said.out, len(said.faults)) == (2, "", 1)
    assert "found no such file" in said.err


# --- what the station file does not name ---


def full_pi(root: Path) -> None:
    attach(root / W1, GENUINE, 21.0)
    attach(root / W1, COPY, 22.0)
    lay(root / IIO / "iio:device0", name="bh1750", in_illuminance_raw="500", in_illuminance_scale="0.5")
    lay(root / IIO / "iio:device1", name="bme280", in_temp_input="21500", in_humidityrelative_input="45000")
    lay(root / HWMON / "hwmon0", name="cpu_thermal", temp1_input="51000")
    lay(root / HWMON / "hwmon1", name="w1_slave_temp", temp1_input="21000")
    lay(root / HWMON / "hwmon2", name="sht3x", temp1_input="20500", humidity1_input="45300")


def test_without_a_station_file_all_that_the_kernel_shows_is_read_with_lines_to_paste(tmp_path: Path) -> None:
    full_pi(tmp_path)
    said = naupliad(machine(tmp_path), "probes", "--state", tmp_path)
    assert (said.code, said.err) == (0, "")
    assert "no station file /etc/naupliad/station.toml yet" in said.out
    values = {
        name: line["value"] for name, line in seen(naupliad(machine(tmp_path), "probes", "--json")).items()
    }
    assert values == {
        "water-2c3d": 21.0,
        "water-5f1c": 22.0,
        "light": 250.0,
        "room-air": 21.5,
        "room-rh": 45.0,
        "room-air-2": 20.5,
        "room-rh-2": 45.3,
    }


def test_the_lines_to_paste_make_a_station_file_that_is_right_and_reads_well(tmp_path: Path) -> None:
    full_pi(tmp_path)
    found = told(naupliad(machine(tmp_path), "probes", "--json"))["unnamed"]
    pasted = [f"{line['lines']}\n\n" for line in found]
    config = station(tmp_path, *pasted, uses=("water-2c3d",))
    again = told(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))
    assert [line["probe"] for line in again["probes"]] == [line["probe"] for line in found]
    assert again["unnamed"] == []
    plain = naupliad(machine(tmp_path), "probes").out
    assert all(lines.strip() in plain for lines in pasted)


def test_only_what_the_station_file_does_not_name_is_shown_to_paste(tmp_path: Path) -> None:
    full_pi(tmp_path)
    config = station(
        tmp_path,
        WATER,
        probe("air", "room_c", "hwmon", device="hwmon2", channel="temp1"),
        probe("light", "light_lux", "iio", device="bh1750"),
        probe("jar", "water_c", "iio", device="bme280"),
    )
    found = told(naupliad(machine(tmp_path), "probes", "--config", config, "--json"))["unnamed"]
    assert [line["probe"] for line in found] == ["water-5f1c", "room-rh", "room-rh-2"]


def test_two_devices_of_one_name_are_told_by_their_numbers(tmp_path: Path) -> None:
    for number in (0, 1):
        lay(tmp_path / HWMON / f"hwmon{number}", name="sht3x", temp1_input="20000", temp2_input="21000")
    roots = machine(tmp_path).roots
    keys = [device.keys for device in attached_devices(roots)]
    assert keys == [
        {"device": "hwmon0"},
        {"device": "hwmon0", "channel": "temp2"},
        {"device": "hwmon1"},
        {"device": "hwmon1", "channel": "temp2"},
    ]


def test_counts_without_a_unit_and_the_pis_own_thermometers_are_not_offered(tmp_path: Path) -> None:
    lay(tmp_path / IIO / "iio:device0", name="bare", in_illuminance_raw="1200")
    lay(tmp_path / HWMON / "hwmon0", name="rp1_adc", temp1_input="40000")
    assert attached_devices(machine(tmp_path).roots) == ()


def test_noise_on_the_bus_is_told_for_what_it_is(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    (tmp_path / W1 / "00-400000000000").mkdir()
    (tmp_path / W1 / "10-000802b5c7f1").mkdir()
    assert [s.name for s in strangers(machine(tmp_path).roots)] == ["00-400000000000", "10-000802b5c7f1"]
    said = naupliad(machine(tmp_path), "probes")
    assert "pull-up resistor of 4.7 kΩ" in said.out
    assert "DS18S20" in said.out


def test_a_machine_without_anything_is_told_what_to_add_and_what_works_without(tmp_path: Path) -> None:
    said = naupliad(machine(tmp_path), "probes", "--state", tmp_path)
    assert (said.code, len(said.faults)) == (1, 1)
    assert "dtoverlay=w1-gpio to /boot/firmware/config.txt" in said.err
    assert "naupliad rehearse" in said.err


_NAME = st.text(alphabet="abct1_-:. é\n", max_size=12)
_FILE = st.sampled_from(
    ["name", "in_temp_raw", "in_temp_scale", "in_illuminance0_input", "temp1_input", "humidity2_input"]
)


@given(devices=st.lists(st.tuples(st.sampled_from([IIO, HWMON]), _NAME, st.sets(_FILE)), max_size=4))
def test_whatever_the_kernel_shows_the_keys_offered_are_right(
    tmp_path_factory: pytest.TempPathFactory, devices: list[tuple[str, str, set[str]]]
) -> None:
    root = tmp_path_factory.mktemp("tree")
    for number, (kind, name, files) in enumerate(devices):
        lay(root / kind / f"dev{number}", **dict.fromkeys(files, "20000"))
        if "name" in files:
            (root / kind / f"dev{number}" / "name").write_text(name)
    for device in attached_devices(machine(root).roots):
        assert key_faults(device.driver, device.measures, device.keys) == ()
        assert device.is_named_by(device.driver, device.measures, device.keys)
    shutil.rmtree(root)


@pytest.mark.parametrize("text", ["", "no number", "0x1", "inf", "77", "-1"])
def test_what_the_kernel_says_of_a_probe_may_be_rubbish(tmp_path: Path, text: str) -> None:
    attach(tmp_path, GENUINE, 21.0, resolution=text, ext_power=text)
    facts = one_wire_facts(tmp_path, GENUINE)
    assert (facts.resolution_bits, facts.parasite, facts.step_c) == (None, None, 0.0625)


# --- what the daemon says ---


def kept(state: Path, *readings: tuple[int, float | None, Quality], probe_id: str = "tray-water") -> None:
    store = WritingStore(state)
    with store.transaction() as connection:
        reading_store.add(connection, [Reading(NOON - ago, probe_id, v, q) for ago, v, q in readings])
    store.close()


def test_a_good_reading_is_not_trusted_while_the_daemon_does_not(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    config = station(tmp_path, WATER)
    kept(tmp_path, (180, 25.0, Quality.GOOD), (120, 22.0, Quality.IN_AIR), (60, 21.0, Quality.IN_AIR))
    line = seen(naupliad(machine(tmp_path), "probes", "--config", config, "--state", tmp_path, "--json"), 1)[
        "tray-water"
    ]
    assert (line["value"], line["quality"], line["trusted"]) == (21.0, "in-air", False)
    assert line["why"].endswith("in air, not in water (by the daemon, since 11:58)")
    assert line["do"].startswith("Put its tip back into the water")


@pytest.mark.parametrize(
    "readings",
    [
        [(120, 22.0, Quality.STUCK), (60, 21.0, Quality.GOOD)],
        [(3600, 22.0, Quality.STUCK)],
        [(60, None, Quality.ABSENT)],
    ],
    ids=["trusted again", "long ago", "was away"],
)
def test_what_the_daemon_no_longer_says_is_not_told(
    tmp_path: Path, readings: list[tuple[int, float | None, Quality]]
) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    config = station(tmp_path, WATER)
    kept(tmp_path, *readings)
    line = "probes", "--config", config, "--state", tmp_path, "--json"
    assert seen(naupliad(machine(tmp_path), *line))["tray-water"]["trusted"]


def test_a_pin_that_the_running_daemon_holds_is_told_with_the_daemons_reading(
    tmp_path: Path, pins: MockFactory
) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    config = station(tmp_path, WATER, probe("float", "float_low", "float", pin=17))
    kept(tmp_path, (60, 0.0, Quality.GOOD), probe_id="float")

    def busy(*_: object, **__: object) -> None:
        raise RuntimeError("'GPIO busy'")  # as lgpio says it

    with pytest.MonkeyPatch.context() as patched, socket.socket(socket.AF_UNIX) as inbox:
        patched.setattr(gpiozero, "InputDevice", busy)
        inbox.bind(str(tmp_path / INBOX))
        inbox.listen()
        line = "probes", "--config", config, "--state", tmp_path, "--json"
        found = seen(naupliad(machine(tmp_path), *line))["float"]
        assert (found["value"], found["quality"], found["trusted"]) == (0.0, "good", True)
        assert "the daemon's reading of 11:59" in found["notes"][0]
        inbox.close()
        assert "GPIO busy" in seen(naupliad(machine(tmp_path), *line), 1)["float"]["why"]


# --- ice water ---


def bath(root: Path, *, from_c: float, to_c: float, lag_s: float = 8.0) -> PlayedTime:
    """A probe that goes over into the bath's temperature, as it reads; in steps of its own."""

    def happens(gone_s: float) -> None:
        attach(root / W1, GENUINE, to_c + (from_c - to_c) * 2.718281828 ** (-gone_s / lag_s))

    return PlayedTime(happens)


def iced(root: Path, time: PlayedTime, *words: str, types: int = 1, **keys: object) -> Said:
    config = station(root, probe("tray-water", "water_c", "ds18b20", address=GENUINE, **keys))
    line = ("probes", "--config", config, "--ice", "tray-water", *words)
    return naupliad(machine(root, time), *line, types=[lambda: None] * types)


@pytest.mark.parametrize("lag_s", [8.0, 40.0, 100.0])
@pytest.mark.parametrize("reads_c", [0.3125, -0.4375, 0.0, 1.5])
def test_a_probe_steady_in_ice_gets_the_offset_that_makes_it_zero(
    tmp_path: Path, reads_c: float, lag_s: float
) -> None:
    said = iced(tmp_path, bath(tmp_path, from_c=21.0, to_c=reads_c, lag_s=lag_s), "--json")
    found = told(said)
    # Within the probe's own step, as it cannot tell better while it settles; and the offset is rounded.
    assert found["offset_c"] == pytest.approx(-reads_c, abs=0.0625 + 0.005)
    assert "crushed ice" in said.err  # the guide stands beside the JSON


def test_the_guide_says_what_to_do_and_gives_a_line_to_paste(tmp_path: Path) -> None:
    said = iced(tmp_path, bath(tmp_path, from_c=21.0, to_c=0.25))
    assert (said.code, said.err) == (0, "")
    for word in (
        "crushed ice",
        "Stir",
        "neither wall nor bottom",
        "No salt",
        "Press Enter",
        "  0:15  ",
        "Steady at 0.25 °C",
    ):
        assert word in said.out
    (line,) = [line for line in said.out.splitlines() if line.startswith("offset_c = ")]
    assert tomllib.loads(line) == {"offset_c": -0.25}


def test_an_offset_that_stands_in_the_file_is_taken_into_account(tmp_path: Path) -> None:
    right = iced(tmp_path, bath(tmp_path, from_c=10.0, to_c=0.25), offset_c=-0.25)
    assert "needs no change: its offset_c = -0.25 is right" in right.out
    assert "\noffset_c" not in right.out
    other = iced(tmp_path, bath(tmp_path, from_c=10.0, to_c=0.25), offset_c=1.0)
    assert "in place of offset_c = 1" in other.out
    assert "\noffset_c = -0.25\n" in other.out


def test_an_offset_beyond_the_data_sheet_is_given_with_a_warning(tmp_path: Path) -> None:
    said = iced(tmp_path, bath(tmp_path, from_c=10.0, to_c=1.5))
    assert "more than the 0.5 °C the data sheet allows" in said.out


@pytest.mark.parametrize("to_c", [21.0, 4.0, -6.0])
def test_what_is_steady_far_from_zero_is_refused_with_what_it_is(tmp_path: Path, to_c: float) -> None:
    said = iced(tmp_path, bath(tmp_path, from_c=to_c, to_c=to_c), "--json")
    assert told(said, 1)["offset_c"] is None
    assert len(said.faults[-1:]) == 1
    assert f"steady at {to_c:.2f} °C, which is not near 0 °C" in said.faults[-1] or to_c < -5


def test_what_does_not_get_steady_is_refused_after_a_quarter_of_an_hour(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 0.5 if gone_s % 10 else 0.0)

    time = PlayedTime(happens)
    said = iced(tmp_path, time)
    assert said.code == 1
    assert "not steady within 15 minutes: in the last minute it changed by 0.50 °C" in said.err
    assert 900 <= time.gone_s < 910


def test_a_probe_that_fails_in_the_bath_is_refused_with_its_fault(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 85.0 if gone_s > 20 else 3.0)

    said = iced(tmp_path, PlayedTime(happens))
    assert said.code == 1
    assert "6 readings in a row were not good" in said.err
    assert "85 °C is what it holds at power-on" in said.err


def test_a_single_bad_reading_only_begins_the_minute_anew(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 85.0 if gone_s == 40 else 0.125)

    time = PlayedTime(happens)
    assert iced(tmp_path, time).code == 0
    assert time.gone_s == 45 + calibration.ICE_STEADY_S


def test_a_coarse_probe_may_move_by_its_own_step(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 0.5 if gone_s % 10 else 0.0, resolution="9")

    assert told(iced(tmp_path, PlayedTime(happens), "--json"))["offset_c"] == pytest.approx(-0.25, abs=0.05)


def test_a_probe_without_a_station_file_is_checked_by_its_address(tmp_path: Path) -> None:
    time = bath(tmp_path, from_c=5.0, to_c=0.125)
    for name in (GENUINE, "water-2c3d"):
        said = naupliad(machine(tmp_path, time), "probes", "--ice", name, types=[lambda: None])
        assert (said.code, said.err) == (0, "")


@pytest.mark.parametrize("name", ["room-air", "tray", ""])
def test_what_is_no_thermometer_for_water_is_refused_with_those_that_are(tmp_path: Path, name: str) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    lay(tmp_path / HWMON / "hwmon0", name="sht3x", temp1_input="20500")
    config = station(tmp_path, WATER, probe("room-air", "room_c", "hwmon", device="sht3x"))
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--ice", name)
    assert (said.code, said.out, said.faults) == (2, "", [f"--ice: found {name!r}; allowed: tray-water"])


def test_ice_and_light_at_once_are_wrong_use(tmp_path: Path) -> None:
    said = naupliad(machine(tmp_path), "probes", "--ice", "a", "--light", "b")
    assert (said.code, len(said.faults)) == (2, 1)


def test_stopping_with_ctrl_c_ends_in_one_line(tmp_path: Path) -> None:
    def stops(gone_s: float) -> None:
        attach(tmp_path / W1, GENUINE, 3.0)
        if gone_s > 20:
            raise KeyboardInterrupt

    said = iced(tmp_path, PlayedTime(stops))
    assert (said.code, said.faults[-1]) == (130, "naupliad: stopped")
    assert iced(tmp_path, PlayedTime(), types=0).code == 130  # no keyboard at all


@given(
    step_c=st.sampled_from([0.0625, 0.125, 0.25, 0.5]),
    raws=st.lists(st.one_of(st.none(), st.floats(-60, 130), st.floats(-2.5, 2.5)), max_size=300),
    every_s=st.floats(0.8, 30),
)
def test_whatever_is_read_an_offset_comes_only_of_a_steady_minute_near_zero(
    step_c: float, raws: list[float | None], every_s: float
) -> None:
    checked = calibration.IceBath(step_c)
    for count, raw in enumerate(raws):
        verdict = checked.take(count * every_s, raw)
        if verdict is None:
            continue
        if verdict.offset_c is not None:
            last = [
                r
                for n, r in enumerate(raws[: count + 1])
                if (count - n) * every_s <= calibration.ICE_STEADY_S
            ]
            assert count * every_s >= calibration.ICE_STEADY_S
            assert None not in last
            good = [r for r in last if r is not None]
            assert max(good) - min(good) <= step_c + 1e-6
            assert abs(verdict.offset_c) <= calibration.ICE_NEAR_K + 0.01
        return
    assert len(raws) * every_s < calibration.ICE_LONGEST_S + every_s


# --- light ---


def lit(root: Path, chip: Converter, *counts: int, **keys: object) -> Said:
    """The guide with an MCP3008 whose channel 0 shows these counts, one after each Enter."""
    attach(root / W1, GENUINE, 21.0)
    config = station(root, WATER, probe("tray-light", "light_fraction", "mcp3008", channel=0, **keys))

    def show(count: int) -> None:
        chip.counts = [count] * 8

    types = [lambda count=count: show(count) for count in counts]
    return naupliad(machine(root), "probes", "--config", config, "--light", "tray-light", types=types)


@pytest.mark.parametrize("counts", [(41, 716), (900, 102)], ids=["brighter is more", "brighter is less"])
def test_lamp_off_and_on_give_dark_and_lit(
    tmp_path: Path, pins: MockFactory, counts: tuple[int, int]
) -> None:
    with Converter([0] * 8, pins) as chip:
        said = lit(tmp_path, chip, *counts)
    assert (said.code, said.err) == (0, "")
    lines = "\n".join(line for line in said.out.splitlines() if line.startswith(("dark", "lit")))
    keys = tomllib.loads(lines)
    assert keys == {"dark": round(counts[0] / 1023, 3), "lit": round(counts[1] / 1023, 3)}
    assert scale_fault(keys) is None
    assert 'under id = "tray-light"' in said.out


def test_keys_that_stand_in_the_file_do_not_bend_what_is_read(tmp_path: Path, pins: MockFactory) -> None:
    with Converter([0] * 8, pins) as chip:
        said = lit(tmp_path, chip, 102, 716, dark=0.4, lit=0.6)
    assert "\ndark = 0.1\nlit = 0.7\n" in said.out


def test_a_lamp_that_changes_nothing_is_refused(tmp_path: Path, pins: MockFactory) -> None:
    with Converter([0] * 8, pins) as chip:
        said = lit(tmp_path, chip, 500, 510)
    assert said.code == 1
    assert "alike; they must be 0.02 apart" in said.err
    assert "Was the lamp really off" in said.err


def under_lamp(root: Path, *lux: str | None, words: tuple[str, ...] = ()) -> Said:
    device = lay(root / IIO / "iio:device0", name="bh1750", in_illuminance_input="50")
    attach(root / W1, GENUINE, 21.0)
    config = station(
        root,
        WATER,
        probe("tray-light", "light_lux", "iio", device="bh1750"),
        uses=("tray-water", "tray-light"),
    )

    def show(value: str | None) -> None:
        if value is None:
            shutil.rmtree(device)
        else:
            lay(device, in_illuminance_input=value)

    types = [lambda value=value: show(value) for value in lux]
    line = ("probes", "--config", config, "--light", "tray-light", *words)
    return naupliad(machine(root), *line, types=types)


@pytest.mark.parametrize(
    ("off", "on", "limit"), [("4", "2500", 100.0), ("0", "900", 30.0), ("200", "1800", 600.0)]
)
def test_a_lux_sensor_gives_a_limit_as_far_above_dark_as_below_lit(
    tmp_path: Path, off: str, on: str, limit: float
) -> None:
    # The geometric mean of the two, dark counted as 1 lux at least: √(4·2500) = 100 and so on.
    assert told(under_lamp(tmp_path, off, on, words=("--json",)))["low_light_lux"] == limit
    said = under_lamp(tmp_path, off, on)
    assert f"\nlow_light_lux = {limit:g}\n" in said.out
    assert "[[vessel]] tray-a" in said.out


@pytest.mark.parametrize(("off", "on"), [("300", "400"), ("2000", "4"), ("0", "5")])
def test_light_that_is_alike_or_less_with_the_lamp_is_refused(tmp_path: Path, off: str, on: str) -> None:
    said = under_lamp(tmp_path, off, on)
    assert (said.code, len(said.faults)) == (1, 1)
    assert "alike" in said.err


def test_a_light_probe_that_vanishes_meanwhile_is_told(tmp_path: Path) -> None:
    said = under_lamp(tmp_path, "4", None)
    assert said.code == 1
    assert "10 of 10 readings were not good: no answer from bh1750" in said.err


def test_what_is_no_light_probe_is_refused_with_those_that_are(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.0)
    config = station(tmp_path, WATER)
    said = naupliad(machine(tmp_path), "probes", "--config", config, "--light", "tray-water")
    assert (said.code, len(said.faults)) == (2, 1)
    assert "none is attached or in the file" in said.err


@given(
    off=st.lists(st.floats(0, 1), min_size=1, max_size=10),
    on=st.lists(st.floats(0, 1), min_size=1, max_size=10),
)
def test_whatever_light_is_read_the_keys_proposed_are_allowed(off: list[float], on: list[float]) -> None:
    verdict = calibration.lamp_scale(off, on)
    if verdict.keys:
        assert key_faults("mcp3008", Measure.LIGHT_FRACTION, {"channel": 0, **verdict.keys}) == ()
    else:
        assert "alike" in verdict.account or "overlap" in verdict.account


@given(
    off=st.lists(st.floats(0, 100_000), min_size=1, max_size=10),
    on=st.lists(st.floats(0, 100_000), min_size=1, max_size=10),
)
def test_a_limit_lies_between_lamp_off_and_lamp_on(off: list[float], on: list[float]) -> None:
    limit = calibration.lamp_limit(off, on).keys.get("low_light_lux")
    if limit is not None:
        assert sorted(off)[0] < limit < sorted(on)[-1]
        pasted = vessel("tray-a", "tray-water", low_light_lux=limit)
        assert parse_station(station_text(WATER, pasted), "s.toml").vessels[0].low_light_lux == limit
