"""Lamps as letters tell of them: by the file's hours, off only in them and dark, lit only where seen."""

from collections.abc import Callable
from dataclasses import replace
from datetime import time
from pathlib import Path

import pytest

from daemon.letters.lamps import Lamps
from daemon.letters.scribe import Scribe
from reports.records import LampHours
from tests.kit.desks import HOUR, Desks, moment, tray_station
from tests.kit.letter_text import flat

NIGHT = {"lamp": ["18:00-07:00"]}
DAY = {"lamp": ["07:00-12:00", "13:00-19:00"]}


def warm(_at: int) -> float:
    return 24.0


def dark(_at: int) -> float:
    return 4.0


def lamps(desks: Desks) -> Lamps:
    return Lamps(desks.station, desks.store.connection, desks.beliefs, desks.alarms.watch)


def scribe(desks: Desks) -> Scribe:
    known = (desks.station, desks.store.connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
    return Scribe(*known, lambda: 0)


def test_a_lamp_is_said_to_be_off_in_its_hours_and_only_while_it_is_dark(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "17:00", **NIGHT)
    (tray,) = desks.station.vessels
    desks.live(moment(12, "22:00"), warm, lambda at: 300.0 if at < moment(12, "20:00") else 4.0)
    off = lamps(desks).off(tray, desks.at)
    assert off is not None
    assert (off.light, off.lamp_hours) == (4.0, (LampHours(time(18), time(7)),))
    assert off.dark_for.total_seconds() == 2 * HOUR
    assert lamps(desks).was_dark(tray, desks.at) is None
    desks.live(desks.at + 600, warm)  # lit again; the alarm stands until two readings say so
    assert desks.stands("lamp")
    assert lamps(desks).off(tray, desks.at) is None


def test_after_its_hours_it_is_said_that_a_lamp_was_dark_and_not_that_it_is_off(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(12, "17:00", **NIGHT)
    (tray,) = desks.station.vessels
    desks.live(moment(12, "22:00"), warm)
    desks.live(moment(13, "07:20"), warm, lambda at: 4.0 if at < moment(13, "07:00") else 387.0)
    assert desks.stands("lamp")
    assert lamps(desks).off(tray, desks.at) is None
    letter = scribe(desks).letter("lamp", ["tray"], desks.at)
    assert letter is not None
    said = flat(letter)
    assert letter.subject == "Lamp was dark, 22:10 to 07:00, tray, Room 7"
    assert "387" not in said
    assert "Its hours begin again today at 18:00." in said


def test_at_no_hour_is_a_lamp_off_outside_its_hours(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "12:30", **DAY)
    (tray,) = desks.station.vessels
    desks.live(moment(12, "14:20"), warm, dark)
    for hour in range(15, 39):
        desks.live(desks.at + HOUR, warm, dark)
        in_hours = 7 <= hour % 24 < 12 or 13 <= hour % 24 < 19
        assert (lamps(desks).off(tray, desks.at) is not None) == in_hours, hour
        letter = scribe(desks).letter("lamp", ["tray"], desks.at)
        assert letter is not None
        assert letter.subject.startswith("Lamp off: 4 lux" if in_hours else "Lamp was dark"), hour
        assert "Lamp hours: 07:00 to 12:00 and 13:00 to 19:00." in flat(letter)


def test_a_lamp_burns_by_its_probe_in_its_hours_and_by_the_hours_where_there_is_none(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(12, "17:00", **NIGHT)
    (tray,) = desks.station.vessels
    desks.live(moment(12, "17:50"), warm)
    assert not lamps(desks).burns(tray, desks.at)  # bright by day
    desks.live(moment(12, "20:00"), warm)
    assert lamps(desks).burns(tray, desks.at)
    desks.live(moment(12, "20:10"), warm, dark)
    assert not lamps(desks).burns(tray, desks.at)


@pytest.mark.parametrize(
    ("clock", "burns"), [("17:50", False), ("18:10", True), ("06:50", True), ("07:10", False)]
)
def test_without_a_light_probe_a_lamp_burns_in_its_hours(tmp_path: Path, clock: str, burns: bool) -> None:
    told = tray_station(**NIGHT)
    (tray,) = told.vessels
    bare = replace(tray, probes=("water",))
    desks = Desks(replace(told, vessels=(bare,)), tmp_path, moment(12, clock))
    assert lamps(desks).burns(bare, desks.at) is burns
