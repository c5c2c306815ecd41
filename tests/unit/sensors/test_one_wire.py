"""One conversion for all probes of a bus, against a stand-in for the kernel's w1_therm driver.

The stand-in keeps a scratchpad and an "unread" mark a probe and converts at a read or at a trigger, as
drivers/w1/slaves/w1_therm.c does; what it shows stands in files that the real w1thermsensor opens.
"""

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from sensors.ds18b20 import Ds18b20
from sensors.errors import NotFitted
from sensors.one_wire import OneWireBus, bus_at
from sensors.reading import Quality

EIGHT = [f"28-0000000000{number:02x}" for number in range(8)]
CONVERSION_S = 0.75  # 12 bit, data sheet


@dataclass
class Slave:
    """A probe: the water it hangs in, and what its scratchpad still holds."""

    water_c: float
    scratchpad_c: float = 85.0
    unread: bool = False


class W1Kernel:
    """The driver: converts at each read, or for all at a trigger; 0.75 s of its own clock each time."""

    def __init__(self, base: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.base = base
        self.now = 0.0
        self.writes: list[bytes] = []
        self.slaves: dict[str, Slave] = {}
        self.writable = True
        self.bus_answers = True
        self.bulk = base / "w1_bus_master1" / "therm_bulk_read"
        self.bulk.parent.mkdir()
        self.bulk.write_text("0\n")
        self._open = Path.open
        monkeypatch.setattr(Path, "open", lambda path, *args, **kw: self._opened(path, *args, **kw))

    def attach(self, address: str, water_c: float) -> None:
        self.slaves[address] = Slave(water_c)
        (self.base / address).mkdir()
        self._write(self.base / address / "w1_slave", "")

    def warm_all_to(self, water_c: float) -> None:
        for slave in self.slaves.values():
            slave.water_c = water_c

    def clock(self) -> float:
        return self.now

    def store(self, data: bytes) -> None:
        """Accepts anything in silence; marks every probe as converted even where the bus did not answer."""
        self.writes.append(data)
        if data != b"trigger\n":
            return
        if self.bus_answers:
            self.now += CONVERSION_S
            for slave in self.slaves.values():
                slave.scratchpad_c = slave.water_c
        for slave in self.slaves.values():
            slave.unread = True

    def _opened(self, path: Path, mode: str = "r", *args: Any, **kw: Any) -> Any:
        if path == self.bulk and mode == "r+b":
            if not self.writable:
                raise PermissionError(path)
            assert kw["buffering"] == 0
            return _Trigger(self, str(path))
        if path == self.bulk and mode.startswith("r"):
            self._write(path, f"{int(any(s.unread for s in self.slaves.values()))}\n")
        if path.name == "w1_slave" and mode == "r":
            self._write(path, self._show(self.slaves[path.parent.name]))
        return self._open(path, mode, *args, **kw)

    def _show(self, slave: Slave) -> str:
        if not slave.unread:
            self.now += CONVERSION_S
            slave.scratchpad_c = slave.water_c
        slave.unread = False
        shown = round(slave.scratchpad_c * 16).to_bytes(2, "little", signed=True).hex(" ")
        line = f"{shown} 4b 46 7f ff 0c 10 00"
        return f"{line} : crc=00 YES\n{line} t=0\n"

    def _write(self, path: Path, text: str) -> None:
        with self._open(path, "w") as file:
            file.write(text)


class _Trigger(io.FileIO):
    """The attribute as it is open for writing: one write call is one store()."""

    def __init__(self, kernel: W1Kernel, path: str) -> None:
        super().__init__(path, "r+")
        self._kernel = kernel

    def write(self, data: Any, /) -> int:
        self._kernel.store(bytes(data))
        return len(data)


@pytest.fixture
def kernel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> W1Kernel:
    return W1Kernel(tmp_path, monkeypatch)


def eight_probes(kernel: W1Kernel) -> list[Ds18b20]:
    bus = OneWireBus(kernel.base, monotonic=kernel.clock)
    for number, address in enumerate(EIGHT):
        kernel.attach(address, 20.0 + number)
    return [Ds18b20(f"cup-{number}", address, bus=bus) for number, address in enumerate(EIGHT)]


def values(probes: list[Ds18b20], at: int) -> list[float | None]:
    readings = [probe.read(at) for probe in probes]
    assert all(reading.quality is Quality.GOOD for reading in readings)
    return [reading.value for reading in readings]


def test_eight_probes_need_one_conversion_where_the_trigger_may_be_written(kernel: W1Kernel) -> None:
    assert values(eight_probes(kernel), 0) == [20.0, 21.0, 22.0, 23.0, 24.0, 25.0, 26.0, 27.0]
    assert kernel.now == CONVERSION_S


def test_the_trigger_is_exactly_eight_bytes_in_one_write_once_a_beat(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    values(probes, 0)
    values(probes, 60)
    assert kernel.writes == [b"trigger\n", b"trigger\n"]


def test_every_beat_brings_new_values(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    values(probes, 0)
    kernel.warm_all_to(28.5)
    assert values(probes, 60) == [28.5] * 8


def test_where_the_trigger_may_not_be_written_each_probe_converts_alone(kernel: W1Kernel) -> None:
    kernel.writable = False
    assert values(eight_probes(kernel), 0) == [20.0 + number for number in range(8)]
    assert kernel.now == 8 * CONVERSION_S


def test_a_single_probe_is_not_triggered(kernel: W1Kernel) -> None:
    kernel.attach(EIGHT[0], 22.0)
    probe = Ds18b20("cup", EIGHT[0], bus=OneWireBus(kernel.base, monotonic=kernel.clock))
    assert values([probe], 0) == [22.0]
    assert (kernel.writes, kernel.now) == ([], CONVERSION_S)


def test_the_last_probe_that_stays_on_a_bus_is_not_triggered(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    for probe in probes[1:]:
        probe.close()
    assert values(probes[:1], 0) == [20.0]
    assert kernel.writes == []


def test_an_old_result_costs_one_read_and_no_more(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    kernel.store(b"trigger\n")
    kernel.writable = False
    began = kernel.now
    values([probes[0], probes[0]], 0)  # the old result is thrown away once, then two conversions
    assert kernel.now - began == 2 * CONVERSION_S
    kernel.writable = True
    values(probes, 60)
    assert kernel.now - began == 3 * CONVERSION_S


def test_a_trigger_that_converted_nothing_hands_out_no_old_value_as_new(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    values(probes, 0)
    kernel.warm_all_to(28.5)
    kernel.bus_answers = False
    assert values(probes, 60) == [28.5] * 8


def test_a_probe_nobody_read_after_a_trigger_hands_out_no_old_value_later(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    values(probes[:3], 0)
    kernel.warm_all_to(28.5)
    kernel.writable = False
    assert values(probes, 60) == [28.5] * 8


def test_a_result_left_by_another_program_is_not_taken_for_new(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    kernel.store(b"trigger\n")
    kernel.warm_all_to(28.5)
    kernel.writable = False
    assert values(probes, 0) == [28.5] * 8


def test_a_probe_read_twice_in_a_beat_converts_the_second_time(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    values(probes, 0)
    kernel.warm_all_to(28.5)
    assert values(probes[:1], 0) == [28.5]


def test_a_probe_that_lost_power_after_the_trigger_is_a_power_on_value(kernel: W1Kernel) -> None:
    probes = eight_probes(kernel)
    probes[0].read(0)
    kernel.slaves[EIGHT[1]].scratchpad_c = 85.0
    assert [probe.read(0).quality for probe in probes[1:3]] == [Quality.RESET, Quality.GOOD]


def test_a_bulk_file_of_an_older_kernel_that_is_not_there_means_one_by_one(tmp_path: Path) -> None:
    (tmp_path / "w1_bus_master1").mkdir()
    bus = OneWireBus(tmp_path)
    probes = [Ds18b20(f"cup-{number}", address, bus=bus) for number, address in enumerate(EIGHT)]
    assert {probe.read(0).quality for probe in probes} == {Quality.ABSENT}
    assert not (tmp_path / "w1_bus_master1" / "therm_bulk_read").exists()


def test_a_plain_file_on_disk_gets_the_trigger_and_nothing_else(tmp_path: Path) -> None:
    bulk = tmp_path / "w1_bus_master1" / "therm_bulk_read"
    bulk.parent.mkdir()
    bulk.write_text("0\n")
    bus = OneWireBus(tmp_path)
    for number, address in enumerate(EIGHT):
        bus.join(f"cup-{number}", address)
    bus.convert(0)
    assert bulk.read_bytes() == b"trigger\n"


def test_probes_of_one_folder_share_a_bus_and_other_folders_have_their_own(tmp_path: Path) -> None:
    bus = bus_at(tmp_path)
    assert bus_at(tmp_path) is bus
    assert bus_at(tmp_path / "other") is not bus


def test_only_ds18b20_count_as_attached(kernel: W1Kernel) -> None:
    for name in (EIGHT[1], EIGHT[0], "10-000000000001"):
        (kernel.base / name).mkdir()
    assert OneWireBus(kernel.base).attached() == (EIGHT[0], EIGHT[1])
    assert OneWireBus(kernel.base / "nowhere").attached() == ()


def test_a_bus_without_a_master_refuses_to_be_joined(tmp_path: Path) -> None:
    with pytest.raises(NotFitted, match="no 1-Wire bus"):
        OneWireBus(tmp_path).join("cup", EIGHT[0])
