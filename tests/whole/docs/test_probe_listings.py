"""What the pages show of `naupliad probes` is what it prints for probes that read the values told."""

import re
from contextlib import ExitStack
from pathlib import Path

import pytest
from gpiozero.pins.mock import MockFactory, MockPin

from tests.kit.checkout import DOCS
from tests.kit.converter import Converter
from tests.kit.file_machine import machine, naupliad
from tests.kit.station import probe, station_text, vessel
from tests.kit.sysfs import attach, lay

W1, IIO, HWMON = "sys/bus/w1/devices", "sys/bus/iio/devices", "sys/class/hwmon"


def listed(page: str) -> str:
    text = (DOCS / f"{page}.md").read_text("utf-8")
    (listing,) = re.findall(r"^```text\n((?:tray|jar)-.*?)^```", text, re.MULTILINE | re.DOTALL)
    return str(listing)


def lines_of(page: str) -> str:
    text = (DOCS / "wiring" / f"{page}.md").read_text("utf-8")
    return re.findall(r"^```toml\n(.*?)^```", text, re.MULTILINE | re.DOTALL)[0]


class ToGround(MockPin):  # type: ignore[misc]  # gpiozero ships no types
    """A pin whose contact is closed: it stays low under its pull-up."""

    def _set_pull(self, value: str) -> None:
        super()._set_pull(value)
        self.drive_low()


@pytest.mark.parametrize("page", ["ds18b20", "mcp3008", "i2c", "float"])
def test_a_page_shows_what_the_program_prints(tmp_path: Path, pins: MockFactory, page: str) -> None:
    lines = lines_of(page)
    attach(tmp_path / W1, "28-0316a2795f1c", 21.125, resolution="12", ext_power="1")
    attach(tmp_path / W1, "28-0316a2795f2d", 20.6875, resolution="12", ext_power="1")
    lay(tmp_path / IIO / "iio:device0", name="bh1750", in_illuminance_input="1840")
    lay(tmp_path / HWMON / "hwmon0", name="sht3x", temp1_input="20610", humidity1_input="43200")
    pins.pin(17, pin_class=ToGround)
    ids = re.findall(r'^id = "(.*)"', lines, re.MULTILINE)
    water = () if "water_c" in lines else (probe("other", driver="ds18b20", address="28-0316a2795f1c"),)
    config = tmp_path / "station.toml"
    config.write_text(station_text(lines, *water, vessel("a", *ids, *(["other"] if water else []))))
    with ExitStack() as chips:
        if page == "mcp3008":
            chips.enter_context(Converter([round(0.776 * 1023)] * 8, pins))
        said = naupliad(machine(tmp_path), "probes", "--config", config)
    printed = said.out.split("\nAttached, and not")[0].splitlines()
    first = next(n for n, line in enumerate(printed) if line.startswith(ids[0]))
    last = next((n for n, line in enumerate(printed) if line.startswith("other ")), len(printed))
    assert untimed(listed(f"wiring/{page}").splitlines()) == untimed(printed[first:last])
    assert [line.split()[0] for line in printed[first:last] if line.endswith("trusted")] == ids


@pytest.mark.parametrize(
    ("page", "address", "waiting"),
    [("install", "28-0316a2795f1c", None), ("how-to/probes", "28-00000a1b2c3d", "28-00000b2a5f1c")],
)
def test_the_guides_show_what_the_program_prints(
    tmp_path: Path, page: str, address: str, waiting: str | None
) -> None:
    attach(tmp_path / W1, address, 21.125, resolution="12", ext_power="1")
    if waiting:
        attach(tmp_path / W1, waiting, 20.9375, resolution="12", ext_power="1")
    config = tmp_path / "station.toml"
    water = probe("tray-water", driver="ds18b20", address=address)
    config.write_text(station_text(water, vessel("a", "tray-water")))
    said = naupliad(machine(tmp_path), "probes", "--config", config)
    assert untimed(listed(page).splitlines()) == untimed(said.out.splitlines())


def untimed(lines: list[str]) -> list[str]:
    return [re.sub(r" in \d+\.\d\d s ", " in … s ", line) for line in lines]
