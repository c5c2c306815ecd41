"""What is plugged in, on a tree laid out as the kernel does (Documentation/w1/slaves/w1_therm.rst)."""

import threading
from pathlib import Path
from typing import Any

import pytest

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.setting_up.place import SetUpPlace
from daemon.setting_up.probes_desk import attached, read_probe
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.file_machine import NOON, machine
from tests.kit.station import probe, station_text, vessel
from tests.kit.sysfs import attach, lay

GENUINE, COPY = "28-00000a1b2c3d", "28-0316a2795f1c"
W1, IIO = "sys/bus/w1/devices", "sys/bus/iio/devices"


def place_of(folder: Path, *probes: str) -> SetUpPlace:
    text = station_text(*probes, vessel("tray-a", "tray-water"), zone="UTC", attended=())
    followed = parse_station(text, "station.toml") if probes else None
    return SetUpPlace(folder / "station.toml", folder, {}, followed)


def test_every_device_is_read_and_told_by_its_name_or_one_that_is_free(tmp_path: Path) -> None:
    attach(tmp_path / W1, GENUINE, 21.125, resolution="12", ext_power="1")
    attach(tmp_path / W1, COPY, 85.0)
    lay(tmp_path / W1 / "10-000802b4ce11")
    lay(tmp_path / IIO / "iio:device0", name="bh1750", in_illuminance_raw="500", in_illuminance_scale="0.5")
    water = probe("tray-water", driver="ds18b20", address=GENUINE)
    named = attached(place_of(tmp_path, water), machine(tmp_path))
    told = {one["id"]: one for one in named["probes"]}
    assert [(name, one["named"], one["value"]) for name, one in told.items()] == [
        ("tray-water", True, 21.125),
        ("water-5f1c", False, 85.0),
        ("light", False, 250.0),
    ]
    assert (told["water-5f1c"]["trusted"], told["tray-water"]["trusted"]) == (False, True)
    assert told["water-5f1c"]["why"].startswith("85 °C is what it holds at power-on")
    assert told["light"]["keys"] == {"device": "bh1750"}
    assert [one["name"] for one in named["strangers"]] == ["10-000802b4ce11"]
    waiting = attached(place_of(tmp_path), machine(tmp_path))
    assert [one["named"] for one in waiting["probes"]] == [False] * 3


def test_with_nothing_attached_the_list_is_empty(tmp_path: Path) -> None:
    assert attached(place_of(tmp_path), machine(tmp_path)) == {"probes": [], "strangers": []}


@pytest.mark.usefixtures("pins")
def test_a_float_is_read_by_its_pin(tmp_path: Path) -> None:
    for key, value in (("open", 1.0), ("closed", 0.0)):  # nothing is wired: the contact stands open
        keys = {"pin": 17, "low_when": key}
        words = {"driver": "float", "measures": "float_low", "keys": keys}
        told = read_probe(words, place_of(tmp_path), machine(tmp_path))
        assert (told["value"], told["quality"], told["keys"]) == (value, "good", keys)
    assert "id" not in told


def test_of_a_pin_that_the_running_daemon_holds_its_newest_reading_is_told(tmp_path: Path) -> None:
    place = place_of(
        tmp_path,
        probe("tray-water", driver="ds18b20", address=GENUINE),
        probe("low", "float_low", "float", pin=17),
    )
    store = WritingStore(tmp_path)
    with store.transaction() as connection:
        reading_store.add(connection, [Reading(NOON - 30, "low", 1.0, Quality.GOOD)])
    store.close()
    words = {"driver": "float", "measures": "float_low", "keys": {"pin": 17}}

    inbox = Inbox(tmp_path / INBOX, threading.Event())
    told = read_probe(words, place, machine(tmp_path))
    inbox.close()
    assert (told["value"], told["trusted"]) == (1.0, True)
    assert "the running daemon holds its pin" in told["notes"][0]


@pytest.mark.parametrize(
    "words",
    [
        {},
        {"driver": "tape", "measures": "water_c", "keys": {"file": "/etc/passwd"}},
        {"driver": "float", "measures": "water_c", "keys": {"pin": 17}},
        {"driver": "float", "measures": "float_low", "keys": {"pin": 99}},
        {"driver": "float", "measures": "float_low", "keys": []},
        {"driver": "iio", "measures": "room_c", "keys": {"device": "../../etc"}},
        {"driver": "ds18b20", "measures": "water_c", "keys": {"address": "../28"}},
    ],
)
def test_what_cannot_be_a_probe_is_refused(tmp_path: Path, words: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="allowed"):
        read_probe(words, place_of(tmp_path), machine(tmp_path))
