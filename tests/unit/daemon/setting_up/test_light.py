"""A light probe under its lamp by the word `light`, on gpiozero's mock pins and the kernel's files."""

from pathlib import Path
from typing import Any

import pytest
from gpiozero.pins.mock import MockFactory

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.setting_up.light_desk import LightDesk
from daemon.setting_up.place import SetUpPlace
from tests.kit.converter import Converter
from tests.kit.file_machine import PlayedTime, machine
from tests.kit.station import probe, station_text, vessel
from tests.kit.sysfs import lay

IIO = "sys/bus/iio/devices"
LUX = {"driver": "iio", "measures": "light_lux", "keys": {"device": "bh1750"}, "probe": "light"}
CELL = {"driver": "mcp3008", "measures": "light_fraction", "keys": {"channel": 0}, "probe": "tray-light"}
EYE = {"driver": "photocell", "measures": "light_fraction", "keys": {"pin": 22}, "probe": "eye"}


def place_of(folder: Path, *probes: str) -> SetUpPlace:
    water = probe("tray-water", driver="ds18b20", address="28-00000a1b2c3d")
    text = station_text(water, *probes, vessel("tray-a", "tray-water"), zone="UTC", attended=())
    return SetUpPlace(folder / "station.toml", folder, {}, parse_station(text, "x") if probes else None)


def desk_of(folder: Path, time: PlayedTime | None = None, *probes: str) -> LightDesk:
    return LightDesk(place_of(folder, *probes), machine(folder, time), lambda task: task())


def shine(root: Path, lux: float) -> None:
    lay(root / IIO / "iio:device0", name="bh1750", in_illuminance_input=str(lux))


def test_the_lamp_off_and_then_on_gives_the_limit_in_lux(tmp_path: Path) -> None:
    time = PlayedTime()
    desk = desk_of(tmp_path, time)
    shine(tmp_path, 10)
    assert desk.answer({"do": "off", **LUX}) == {
        "probe": "light", "state": "off-read", "keys": {}, "account": ""
    }  # fmt: skip
    assert time.gone_s == 5 + 10
    shine(tmp_path, 1000)
    told = desk.answer({"do": "on", **LUX})
    assert (told["state"], told["keys"]) == ("over", {"low_light_lux": 100.0})
    assert told["account"] == "lamp off 10 lux, lamp on 1000 lux"
    assert desk.answer({"do": "look"}) == told
    assert desk.answer({"do": "end"})["state"] == "none"


def test_a_light_dependent_resistor_gets_its_two_ends_without_those_it_has(
    tmp_path: Path, pins: MockFactory
) -> None:
    chip = Converter([102] * 8, pins)
    desk = desk_of(tmp_path)
    cell = {**CELL, "keys": {"channel": 0, "dark": 0.3, "lit": 0.4}}
    desk.answer({"do": "off", **cell})
    chip.counts = [921] * 8
    told = desk.answer({"do": "on", **cell})
    assert told["keys"] == {"dark": pytest.approx(0.1, abs=0.002), "lit": pytest.approx(0.9, abs=0.002)}


def test_two_that_are_alike_have_no_keys_and_the_lamp_may_be_read_again(tmp_path: Path) -> None:
    desk = desk_of(tmp_path)
    shine(tmp_path, 100)
    desk.answer({"do": "off", **LUX})
    told = desk.answer({"do": "on", **LUX})
    assert (told["state"], told["keys"]) == ("over", {})
    assert "alike" in told["account"]
    assert "Was the lamp really off, and then on?" in told["account"]
    shine(tmp_path, 1000)
    assert desk.answer({"do": "on", **LUX})["keys"] == {"low_light_lux": 320.0}


@pytest.mark.parametrize("broken", ["off", "on"])
def test_a_series_that_fails_ends_with_why(tmp_path: Path, broken: str) -> None:
    desk = desk_of(tmp_path)
    shine(tmp_path, 10)
    if broken == "on":
        desk.answer({"do": "off", **LUX})
    (tmp_path / IIO / "iio:device0" / "in_illuminance_input").write_text("no number")
    told = desk.answer({"do": broken, **LUX})
    assert (told["state"], told["keys"]) == ("over", {})
    assert "10 of 10 readings were not good" in told["account"]
    if broken == "off":
        with pytest.raises(InputError, match="with the lamp off"):
            desk.answer({"do": "on", **LUX})


def test_a_probe_that_is_not_there_ends_with_what_to_do(tmp_path: Path) -> None:
    told = desk_of(tmp_path).answer({"do": "off", **LUX})
    assert (told["state"], told["keys"]) == ("over", {})
    assert "no IIO devices" in told["account"]
    assert "restart the Pi" in told["account"]


def test_while_it_reads_no_other_may_begin_and_who_ends_it_does_not_wait(tmp_path: Path) -> None:
    shine(tmp_path, 10)
    seen = []

    def happens(gone_s: float) -> None:
        if gone_s == 3.0:
            seen.append(desk.answer({"do": "look"}))
            seen.append(desk.answer({"do": "off", **LUX}))  # pressed twice: it goes on
            for do in ("off", "on"):
                with pytest.raises(InputError, match=r"found probe 'light' .* being read; allowed"):
                    desk.answer({"do": do, **CELL})
        if gone_s == 7.0:
            assert desk.answer({"do": "end"})["state"] == "none"

    desk: Any = None
    time = PlayedTime(happens)
    desk = desk_of(tmp_path, time)
    assert desk.answer({"do": "off", **LUX})["state"] == "none"
    assert [told["state"] for told in seen] == ["reading", "reading"]
    assert time.gone_s == 7.0


def test_a_series_that_is_ended_reads_no_more_and_is_not_judged(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    shine(tmp_path, 10)
    reads = 0

    class Counted(PlayedTime):
        def now(self) -> float:
            nonlocal reads
            reads += 1
            return super().now()

    def happens(gone_s: float) -> None:
        if gone_s == 15 + 3.0:
            desk.answer({"do": "end"})

    desk: Any = None
    desk = desk_of(tmp_path, Counted(happens))
    desk.answer({"do": "off", **LUX})
    assert reads == 10
    desk.answer({"do": "on", **LUX})
    assert reads == 10
    assert desk.answer({"do": "look"})["state"] == "none"
    assert caplog.text == ""


def test_the_lamp_on_needs_the_same_probe_with_the_lamp_off_before(tmp_path: Path) -> None:
    desk = desk_of(tmp_path)
    with pytest.raises(InputError, match="with the lamp off; allowed"):
        desk.answer({"do": "on", **LUX})
    shine(tmp_path, 10)
    desk.answer({"do": "off", **LUX})
    with pytest.raises(InputError, match="with the lamp off; allowed"):
        desk.answer({"do": "on", **LUX, "probe": "another"})
    assert desk.answer({"do": "look"})["state"] == "off-read"


def test_a_pin_that_the_running_daemon_holds_is_refused_with_what_to_do(
    tmp_path: Path, pins: MockFactory
) -> None:
    held = (probe("cell", "light_fraction", "photocell", pin=22), probe("low", "float_low", "float", pin=17))
    desk = desk_of(tmp_path, None, *held)
    with pytest.raises(InputError) as refused:
        desk.answer({"do": "off", **EYE})
    assert str(refused.value) == (
        "light: found pin 22 held by the running daemon, for its probe cell; allowed: to do it by hand: sudo"
        " systemctl stop naupliad; naupliad probes --light cell; sudo systemctl start naupliad"
    )
    with pytest.raises(InputError, match=r"pin 17 .* probe low; allowed: the pin of this one"):
        desk.answer({"do": "off", **EYE, "keys": {"pin": 17}})
    assert desk.answer({"do": "look"})["state"] == "none"
    assert not pins.pins  # neither was touched


@pytest.mark.parametrize(
    "words",
    [
        {"do": "off", "driver": "hwmon", "measures": "room_c", "keys": {"device": "sht3x"}},
        {"do": "off", "driver": "iio", "measures": "room_c", "keys": {"device": "bme280"}},
        {"do": "off", "driver": "ds18b20", "measures": "water_c", "keys": {"address": "28-00000a1b2c3d"}},
        {"do": "off"},
        {"do": "begin", **LUX},
        {"do": None},
    ],
)
def test_what_sees_no_lamp_is_refused_in_one_line(tmp_path: Path, words: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="allowed") as refused:
        desk_of(tmp_path).answer({"probe": "a\nb", **words})
    assert "\n" not in str(refused.value)


def test_a_series_of_which_less_than_half_is_bad_counts(tmp_path: Path) -> None:
    def happens(gone_s: float) -> None:
        shine(tmp_path, 10)
        if gone_s in (7.0, 9.0, 11.0, 13.0):
            (tmp_path / IIO / "iio:device0" / "in_illuminance_input").write_text("")

    assert desk_of(tmp_path, PlayedTime(happens)).answer({"do": "off", **LUX})["state"] == "off-read"
