"""DS18B20 probes, through the real w1thermsensor, on a folder laid out as the kernel does its bus."""

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sensors.ds18b20 import Ds18b20
from sensors.errors import NotFitted, WrongKeys
from sensors.one_wire import OneWireBus
from sensors.reading import BELIEVABLE, Measure, Quality, Reading
from tests.kit.sysfs import crc8, slave_text

ADDRESS = "28-0316a2795f1c"


@pytest.fixture
def base(tmp_path: Path) -> Path:
    (tmp_path / "w1_bus_master1").mkdir()
    return tmp_path


def put(base: Path, text: str | bytes, address: str = ADDRESS) -> None:
    (base / address).mkdir(exist_ok=True)
    content = text.encode() if isinstance(text, str) else text
    (base / address / "w1_slave").write_bytes(content)


def probe_at(base: Path, *, offset_c: float = 0.0) -> Ds18b20:
    return Ds18b20("tray-water", ADDRESS, offset_c=offset_c, bus=OneWireBus(base))


def seen(base: Path, text: str | bytes, *, offset_c: float = 0.0) -> tuple[float | None, Quality]:
    put(base, text)
    reading = probe_at(base, offset_c=offset_c).read(1_000)
    assert (reading.at, reading.probe) == (1_000, "tray-water")
    return reading.value, reading.quality


def test_the_stand_in_kernel_shows_check_sums_as_published() -> None:
    # The example of the data sheet's application note 27; the 23.125 °C line of many kernel how-tos. From
    # memory [M].
    assert crc8(bytes([0x02, 0x1C, 0xB8, 0x01, 0x00, 0x00, 0x00])) == 0xA2
    assert crc8(bytes.fromhex("72014b467fff0e10")) == 0x57


# DS18B20 data sheet, table "temperature/data relationship"; from memory [M].
@pytest.mark.parametrize(
    ("register", "water_c"),
    [(0x0191, 25.0625), (0x00A2, 10.125), (0x0008, 0.5), (0x0000, 0.0), (0xFFF8, -0.5)],
)
def test_the_data_sheets_registers_read_as_its_temperatures(
    base: Path, register: int, water_c: float
) -> None:
    assert seen(base, slave_text(register)) == (water_c, Quality.GOOD)


@pytest.mark.parametrize("byte_6", [0x0C, 0x10])
def test_eighty_five_degrees_are_a_power_on_value_with_either_signature(base: Path, byte_6: int) -> None:
    assert seen(base, slave_text(0x0550, byte_6=byte_6)) == (85.0, Quality.RESET)


@pytest.mark.parametrize(
    ("register", "value"),
    [(0x07FF, 127.9375), (0xF921, -109.9375), (0xFC90, -55.0), (0x07D0, 125.0)],
    ids=["failed conversion", "pulled wire", "coldest", "hottest"],
)
def test_a_temperature_no_station_has_keeps_its_value_beside_range(
    base: Path, register: int, value: float
) -> None:
    assert seen(base, slave_text(register)) == (value, Quality.RANGE)


@pytest.mark.parametrize(
    "text",
    [
        slave_text(0x0191, crc_good=False),
        "",
        "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n",
        slave_text(0x0191).splitlines()[0] + "\n",
        "91 01 4b 46 7f ff 0c 10 25 : crc=25 YES\nzz 01 4b\n",
        "91 01 4b 46 7f ff 0c 10 25 : crc=25 YES\n\n",
        b"\xff\xfe\x00 YES\n\xff\n",
        "91 : crc=25 YES\n91 " + "f" * 400 + "\n",
    ],
    ids=["check sum", "empty", "zeros", "one line", "no hex", "blank line", "no text", "too long"],
)
def test_what_cannot_be_a_scratchpad_is_crc_without_a_value(base: Path, text: str | bytes) -> None:
    assert seen(base, text) == (None, Quality.CRC)


def test_a_broken_check_sum_is_tried_once_more(base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(base, slave_text(400, crc_good=False))
    opened = _heal_after(base, monkeypatch, bad_reads=1)
    assert probe_at(base).read(0) == Reading(0, "tray-water", 25.0, Quality.GOOD)
    assert opened == [1, 2]


def test_two_broken_check_sums_are_a_fault_and_not_tried_again(
    base: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(base, "")
    opened = _heal_after(base, monkeypatch, bad_reads=2)
    assert probe_at(base).read(0).quality is Quality.CRC
    assert opened == [1, 2]


def _heal_after(base: Path, monkeypatch: pytest.MonkeyPatch, *, bad_reads: int) -> list[int]:
    """Count how often the kernel's file is opened; after the bad reads it shows 25 °C."""
    real_open = Path.open
    opened: list[int] = []

    def counting(path: Path, mode: str = "r", *rest: object) -> object:
        if path.name == "w1_slave" and mode == "r":
            opened.append(len(opened) + 1)
            if len(opened) > bad_reads:
                with real_open(path, "w") as file:
                    file.write(slave_text(400))
        return real_open(path, mode, *rest)  # type: ignore[call-overload]  # handed on as it came

    monkeypatch.setattr(Path, "open", counting)
    return opened


def test_a_probe_that_is_not_attached_opens_and_reads_absent(base: Path) -> None:
    assert probe_at(base).read(5) == Reading(5, "tray-water", None, Quality.ABSENT)


def test_a_probe_that_is_unplugged_reads_absent_until_it_is_back(base: Path) -> None:
    put(base, slave_text(400))
    probe = probe_at(base)
    first = probe.read(0)
    shutil.rmtree(base / ADDRESS)
    gone = probe.read(60)
    put(base, slave_text(368))
    back = probe.read(120)
    assert [first.value, gone.value, back.value] == [25.0, None, 23.0]
    assert [r.quality for r in (first, gone, back)] == [Quality.GOOD, Quality.ABSENT, Quality.GOOD]


def test_a_whole_bus_that_vanishes_is_absent_and_no_error(base: Path) -> None:
    put(base, slave_text(400))
    probe = probe_at(base)
    shutil.rmtree(base)
    assert probe.read(0).quality is Quality.ABSENT


def test_a_file_the_kernel_will_not_read_is_absent(base: Path) -> None:
    (base / ADDRESS / "w1_slave").mkdir(parents=True)
    assert probe_at(base).read(0).quality is Quality.ABSENT


def test_a_folder_that_may_not_be_entered_is_absent(base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbidden(path: Path) -> bool:
        raise PermissionError(path)

    probe = probe_at(base)
    monkeypatch.setattr(Path, "exists", forbidden)
    assert probe.read(0).quality is Quality.ABSENT


def test_the_offset_is_added_after_the_checks(base: Path) -> None:
    assert seen(base, slave_text(400), offset_c=-0.4) == (24.6, Quality.GOOD)
    # 85 °C stays a power-on value, and 127.94 °C keeps the value the device gave.
    assert seen(base, slave_text(0x0550), offset_c=-0.4) == (85.0, Quality.RESET)
    assert seen(base, slave_text(0x07FF), offset_c=-0.4) == (127.9375, Quality.RANGE)


def test_an_offset_that_leads_out_of_the_believable_range_is_not_believed(base: Path) -> None:
    assert seen(base, slave_text(59 * 16), offset_c=2.0) == (61.0, Quality.RANGE)


def test_nothing_is_ever_written_to_a_probe(base: Path) -> None:
    put(base, slave_text(400))
    slave = base / ADDRESS / "w1_slave"
    slave.chmod(0o444)
    before = slave.stat().st_mtime_ns
    probe = probe_at(base, offset_c=0.3)
    probe.read(0)
    probe.close()
    assert (slave.stat().st_mtime_ns, slave.read_text()) == (before, slave_text(400))


def test_without_a_bus_the_line_to_add_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFitted, match=r"dtoverlay=w1-gpio to /boot/firmware/config\.txt") as caught:
        Ds18b20("tray-water", ADDRESS, bus=OneWireBus(tmp_path / "devices"))
    assert caught.value.probe == "tray-water"
    with pytest.raises(NotFitted, match="no 1-Wire bus"):
        Ds18b20("tray-water", ADDRESS, bus=OneWireBus(tmp_path))  # the folder, but no master in it


@pytest.mark.parametrize("address", ["", "28-", "28-0316A2795F1C", "10-0316a2795f1c", "28-../../etc/pass"])
def test_an_address_that_is_none_is_refused_with_what_is_allowed(base: Path, address: str) -> None:
    with pytest.raises(WrongKeys, match="28- and twelve hex digits"):
        Ds18b20("tray-water", address, bus=OneWireBus(base))


def test_the_librarys_own_folder_is_left_alone(base: Path) -> None:
    put(base, slave_text(400))
    probe_at(base).read(0)
    from w1thermsensor import W1ThermSensor

    assert Path("/sys/bus/w1/devices") == W1ThermSensor.BASE_DIRECTORY


@settings(deadline=None)  # disks are as slow as they like
@given(count=st.integers(-0x8000, 0x7FFF), byte_6=st.sampled_from([0x0C, 0x10, 0x00]))
def test_every_register_is_read_as_sixteenths_of_a_degree(count: int, byte_6: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "w1_bus_master1").mkdir()
        value, quality = seen(Path(folder), slave_text(count, byte_6=byte_6))
    low, high = BELIEVABLE[Measure.WATER_C]
    expected = Quality.GOOD if low <= count / 16 <= high else Quality.RANGE
    assert value == count / 16
    assert quality is (Quality.RESET if count == 0x0550 else expected)


_CONTENT = st.one_of(
    st.binary(max_size=200),
    st.text(alphabet="0123456789abcdef :=YESNOcrt-\n", max_size=120),
    st.builds(lambda count, cut: slave_text(count)[:cut], st.integers(-0x8000, 0x7FFF), st.integers(0, 90)),
    st.builds(
        lambda count, at, byte: slave_text(count)[:at] + byte + slave_text(count)[at + 1 :],
        st.integers(-0x8000, 0x7FFF),
        st.integers(0, 70),
        st.characters(codec="latin-1"),
    ),
)
_STEPS = st.lists(st.one_of(_CONTENT, st.sampled_from(["file", "folder", "bus", "directory"])), max_size=8)


@settings(deadline=None)  # disks are as slow as they like
@given(steps=_STEPS, offset_c=st.floats(-10, 10))
def test_no_sequence_of_contents_and_losses_raises_or_lets_an_unbelievable_value_through(
    steps: list[str | bytes], offset_c: float
) -> None:
    low, high = BELIEVABLE[Measure.WATER_C]
    with tempfile.TemporaryDirectory() as folder:
        base = Path(folder) / "devices"
        (base / "w1_bus_master1").mkdir(parents=True)
        probe = probe_at(base, offset_c=offset_c)
        for at, step in enumerate(steps):
            _happen(base, step)
            reading = probe.read(at)
            assert (reading.at, reading.probe) == (at, "tray-water")
            assert not reading.good or (reading.value is not None and low <= reading.value <= high)


def _happen(base: Path, step: str | bytes) -> None:
    shutil.rmtree(base / ADDRESS, ignore_errors=True)
    if step == "bus":
        shutil.rmtree(base, ignore_errors=True)
    elif step == "directory":
        (base / ADDRESS / "w1_slave").mkdir(parents=True)
    elif step == "file":
        (base / ADDRESS).mkdir(parents=True)
    elif step != "folder":
        base.mkdir(exist_ok=True)
        put(base, step)
