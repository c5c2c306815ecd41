"""The set-up's words over a real inbox, beside each other, on files laid out as the kernel does."""

from pathlib import Path

import pytest

from daemon.commissioning import machine as machines
from tests.kit.command_line import until
from tests.kit.set_up_daemon import asked, place_in
from tests.kit.sysfs import attach

WATER, OTHER = "28-00000a1b2c3d", "28-0316a2795f1c"
PROBE = {"driver": "ds18b20", "measures": "water_c", "keys": {"address": WATER}, "probe": "tray-water"}


@pytest.fixture
def bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    devices = tmp_path / "sys"
    for name in ("W1_DEVICES", "IIO_DEVICES", "HWMON_DEVICES"):
        monkeypatch.setattr(machines, name, devices)
    attach(devices, WATER, 0.125)
    attach(devices, OTHER, 21.0)
    return devices


@pytest.mark.usefixtures("bus")
def test_what_is_attached_is_told_over_the_inbox(tmp_path: Path) -> None:
    with asked(place_in(tmp_path)) as told:
        found = told("attached")
    assert {one["id"]: one["value"] for one in found["probes"]} == {"water-2c3d": 0.125, "water-5f1c": 21.0}
    assert found["strangers"] == []


@pytest.mark.usefixtures("bus")
def test_a_bath_reads_by_itself_while_other_words_are_answered_and_ends_with_the_daemon(
    tmp_path: Path,
) -> None:
    with asked(place_in(tmp_path)) as told:
        begun = told("ice", do="begin", **PROBE)
        assert (begun["state"], begun["probe"]) == ("reading", "tray-water")
        until("it has read once", lambda: told("ice", do="look")["now_c"] == 0.125)
        other = {**PROBE, "keys": {"address": OTHER}, "probe": "other"}
        assert "'tray-water'" in told("ice", do="begin", **other)["error"]
        assert told("light", do="look")["state"] == "none"
        assert len(told("attached")["probes"]) == 2
        assert told("ice", do="end")["state"] == "none"
        assert told("ice", do="begin", **other)["probe"] == "other"
        assert "allowed: begin, look, end" in told("ice", do="wait")["error"]
    # A bath at 21 °C would be read for three minutes more: `asked` holds that it ends with the desk.
