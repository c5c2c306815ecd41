"""IIO and hwmon channels, on folders laid out as Documentation/ABI/testing/sysfs-bus-iio and
Documentation/hwmon/sysfs-interface describe them."""

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.errors import NotFitted, WrongKeys
from sensors.kernel_channels import HwmonChannel, IioChannel
from sensors.reading import BELIEVABLE, Measure, Quality, Reading
from tests.kit.sysfs import lay


@pytest.mark.parametrize(
    ("measures", "files", "value"),
    [
        (Measure.LIGHT_LUX, {"in_illuminance_input": "432"}, 432.0),
        (Measure.LIGHT_LUX, {"in_illuminance0_input": "17"}, 17.0),
        (Measure.LIGHT_LUX, {"in_illuminance_raw": "1200", "in_illuminance_scale": "0.833333"}, 999.9996),
        (Measure.ROOM_C, {"in_temp_input": "21480"}, 21.48),
        (Measure.WATER_C, {"in_temp_input": "-1500"}, -1.5),
        # (raw + offset) · scale, in milli-°C: sysfs-bus-iio, "in_temp_offset".
        (
            Measure.ROOM_C,
            {"in_temp_raw": "6500", "in_temp_offset": "-4368", "in_temp_scale": "10.725"},
            22.8657,
        ),
        (Measure.ROOM_RH_PCT, {"in_humidityrelative_input": "45312"}, 45.312),
        (
            Measure.ROOM_RH_PCT,
            {"in_humidityrelative_raw": "29000", "in_humidityrelative_scale": "1.525879"},
            44.250491,
        ),
    ],
)
def test_an_iio_channel_reads_in_the_units_of_the_kernels_documentation(
    tmp_path: Path, measures: Measure, files: dict[str, str], value: float
) -> None:
    lay(tmp_path / "iio:device0", name="sensor", **files)
    reading = IioChannel("air", measures, "sensor", base=tmp_path).read(4)
    assert (reading.at, reading.probe, reading.quality) == (4, "air", Quality.GOOD)
    assert reading.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("measures", "files", "value"),
    [
        (Measure.ROOM_C, {"temp1_input": "21480"}, 21.48),
        (Measure.WATER_C, {"temp1_input": "-1500"}, -1.5),
        (Measure.ROOM_RH_PCT, {"humidity1_input": "45312"}, 45.312),
    ],
)
def test_a_hwmon_channel_reads_thousandths(
    tmp_path: Path, measures: Measure, files: dict[str, str], value: float
) -> None:
    lay(tmp_path / "hwmon2", name="sht3x", **files)
    reading = HwmonChannel("air", measures, "sht3x", base=tmp_path).read(4)
    assert (reading.at, reading.probe, reading.quality) == (4, "air", Quality.GOOD)
    assert reading.value == pytest.approx(value)


def test_a_named_channel_takes_the_scale_that_its_kind_shares(tmp_path: Path) -> None:
    lay(
        tmp_path / "iio:device0",
        name="pair",
        in_temp_ambient_raw="14000",
        in_temp_object_raw="14857",
        in_temp_scale="20",
        in_temp_offset="-13657.5",
    )
    probe = IioChannel("water", Measure.WATER_C, "pair", channel="in_temp_object", base=tmp_path)
    assert probe.read(0).value == pytest.approx(23.99)


def test_a_channels_own_scale_comes_before_the_shared_one(tmp_path: Path) -> None:
    lay(tmp_path / "iio:device0", name="one", in_temp0_raw="2", in_temp0_scale="9000", in_temp_scale="1")
    assert IioChannel("air", Measure.ROOM_C, "one", base=tmp_path).read(0).value == 18.0


@pytest.mark.parametrize("device", ["iio:device1", "lux"])
def test_an_iio_device_is_found_by_folder_or_by_name(tmp_path: Path, device: str) -> None:
    lay(tmp_path / "iio:device0", name="other", in_illuminance_input="1")
    lay(tmp_path / "iio:device1", name="lux", in_illuminance_input="2")
    assert IioChannel("light", Measure.LIGHT_LUX, device, base=tmp_path).read(0).value == 2.0


@pytest.mark.parametrize("device", ["hwmon1", "sht3x"])
def test_a_hwmon_device_is_found_by_folder_or_by_name(tmp_path: Path, device: str) -> None:
    lay(tmp_path / "hwmon0", name="cpu_thermal", temp1_input="48000")
    lay(tmp_path / "hwmon1", name="sht3x", temp1_input="20000")
    assert HwmonChannel("air", Measure.ROOM_C, device, base=tmp_path).read(0).value == 20.0


def test_a_device_that_comes_back_with_another_number_is_found_by_its_name(tmp_path: Path) -> None:
    lay(tmp_path / "hwmon1", name="sht3x", temp1_input="20000")
    probe = HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)
    first = probe.read(0)
    shutil.rmtree(tmp_path / "hwmon1")
    gone = probe.read(60)
    lay(tmp_path / "hwmon4", name="sht3x", temp1_input="19000")
    assert [first.value, gone.value, probe.read(120).value] == [20.0, None, 19.0]
    assert gone.quality is Quality.ABSENT


def test_a_device_that_is_not_there_yet_opens_and_reads_absent(tmp_path: Path) -> None:
    probe = IioChannel("light", Measure.LIGHT_LUX, "lux", base=tmp_path)
    assert probe.read(0) == Reading(0, "light", None, Quality.ABSENT)
    lay(tmp_path / "iio:device0", name="lux", in_illuminance_input="250")
    assert probe.read(60).value == 250.0


def test_two_devices_of_one_name_are_refused_with_their_numbers(tmp_path: Path) -> None:
    for number in (0, 1):
        lay(tmp_path / f"hwmon{number}", name="sht3x", temp1_input="20000")
    with pytest.raises(WrongKeys, match="say hwmon0 or hwmon1"):
        HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)


def test_a_second_device_of_the_name_that_turns_up_later_is_not_guessed_at(tmp_path: Path) -> None:
    lay(tmp_path / "hwmon0", name="sht3x", temp1_input="20000")
    probe = HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)
    lay(tmp_path / "hwmon1", name="sht3x", temp1_input="30000")
    assert probe.read(0).quality is Quality.ABSENT


def test_a_channel_the_device_has_not_is_refused_with_those_it_has(tmp_path: Path) -> None:
    lay(tmp_path / "iio:device0", name="bme280", in_temp_input="1", in_humidityrelative_input="2")
    lay(tmp_path / "hwmon0", name="two", temp1_input="1", temp2_input="2", humidity1_input="3")
    with pytest.raises(WrongKeys, match="allowed: none: this device measures something else"):
        IioChannel("light", Measure.LIGHT_LUX, "bme280", base=tmp_path)
    with pytest.raises(WrongKeys, match=r"found 'temp7', allowed: temp1, temp2 \(of hwmon0\)"):
        HwmonChannel("air", Measure.ROOM_C, "two", channel="temp7", base=tmp_path)


def test_a_channel_of_another_kind_is_refused_also_while_its_device_is_away(tmp_path: Path) -> None:
    with pytest.raises(WrongKeys, match="found 'in_temp', allowed: a name that begins with in_illuminance"):
        IioChannel("light", Measure.LIGHT_LUX, "lux", channel="in_temp", base=tmp_path)
    with pytest.raises(WrongKeys, match="found 'humidity1', allowed: a name that begins with temp"):
        HwmonChannel("air", Measure.ROOM_C, "sht3x", channel="humidity1", base=tmp_path)


def test_counts_without_a_scale_are_refused_because_they_are_no_lux(tmp_path: Path) -> None:
    lay(tmp_path / "iio:device0", name="bare", in_illuminance_raw="1200")
    with pytest.raises(WrongKeys, match="channel: found 'in_illuminance'"):
        IioChannel("light", Measure.LIGHT_LUX, "bare", base=tmp_path)


def test_a_machine_without_such_devices_is_told_what_to_load(tmp_path: Path) -> None:
    with pytest.raises(NotFitted, match=r"no IIO devices.*dtoverlay=i2c-sensor,bme280"):
        IioChannel("light", Measure.LIGHT_LUX, "lux", base=tmp_path / "nowhere")
    with pytest.raises(NotFitted, match=r"no hwmon devices.*/boot/firmware/config\.txt"):
        HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path / "nowhere")


@pytest.mark.parametrize("text", ["", "\n", "many", "21,5", "0x55", "21 500"])
def test_an_answer_that_is_no_number_is_crc(tmp_path: Path, text: str) -> None:
    folder = lay(tmp_path / "hwmon0", name="sht3x", temp1_input="20000")
    probe = HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)
    (folder / "temp1_input").write_text(text)
    assert probe.read(0) == Reading(0, "air", None, Quality.CRC)


@pytest.mark.parametrize(
    ("text", "value"), [("99000", 99.0), ("-90000", -90.0), ("nan", None), ("1e999", None)]
)
def test_a_value_no_room_has_is_range(tmp_path: Path, text: str, value: float | None) -> None:
    lay(tmp_path / "hwmon0", name="sht3x", temp1_input=text)
    probe = HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)
    assert probe.read(0) == Reading(0, "air", value, Quality.RANGE)


def test_a_channel_that_reports_its_sensor_as_faulty_is_absent(tmp_path: Path) -> None:
    folder = lay(tmp_path / "hwmon0", name="sht3x", temp1_input="20000", temp1_fault="1")
    probe = HwmonChannel("air", Measure.ROOM_C, "sht3x", base=tmp_path)
    assert probe.read(0).quality is Quality.ABSENT
    (folder / "temp1_fault").write_text("0\n")
    assert probe.read(1).value == 20.0


def test_an_offset_moves_a_believed_temperature_only(tmp_path: Path) -> None:
    folder = lay(tmp_path / "iio:device0", name="dht11", in_temp_input="21000")
    probe = IioChannel("air", Measure.ROOM_C, "dht11", offset_c=-1.5, base=tmp_path)
    assert probe.read(0).value == 19.5
    (folder / "in_temp_input").write_text("99000\n")
    assert probe.read(1) == Reading(1, "air", 99.0, Quality.RANGE)


_TEXT = st.one_of(
    st.binary(max_size=30),
    st.integers().map(lambda number: str(number).encode()),
    st.floats().map(lambda number: str(number).encode()),
)
_FILES = [
    "name",
    "in_temp_input",
    "in_temp_raw",
    "in_temp_scale",
    "in_temp_offset",
    "temp1_input",
    "temp1_fault",
]
_STEP = st.tuples(st.sampled_from([*_FILES, ""]), st.one_of(_TEXT, st.none(), st.just("directory")))


@settings(deadline=None)  # disks are as slow as they like
@given(steps=st.lists(_STEP, max_size=10), offset_c=st.floats(-10, 10))
def test_no_sequence_of_contents_and_losses_raises_or_lets_an_unbelievable_value_through(
    steps: list[tuple[str, bytes | str | None]], offset_c: float
) -> None:
    low, high = BELIEVABLE[Measure.ROOM_C]
    with tempfile.TemporaryDirectory() as folder:
        base = Path(folder) / "devices"
        device = lay(base / "x0", name="air", in_temp_raw="200", in_temp_scale="100", temp1_input="20000")
        probes = [
            kind("air", Measure.ROOM_C, "air", offset_c=offset_c, base=base)
            for kind in (IioChannel, HwmonChannel)
        ]
        for at, (name, content) in enumerate(steps):
            _happen(base, device / name, content)
            for reading in (probe.read(at) for probe in probes):
                assert (reading.at, reading.probe) == (at, "air")
                assert not reading.good or (reading.value is not None and low <= reading.value <= high)


def _happen(base: Path, path: Path, content: bytes | str | None) -> None:
    """A file gets new content, vanishes or cannot be read; or the whole device or tree is gone."""
    if path.parent == base:
        shutil.rmtree(base if content == "directory" else path, ignore_errors=True)
        return
    shutil.rmtree(path, ignore_errors=True)
    path.unlink(missing_ok=True)
    if content == "directory":
        path.mkdir(parents=True)
    elif isinstance(content, bytes):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
