"""A night's record: late where its letter is, an outage as the store has it, a letter that was sent."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from daemon.letters.night_record import night_record
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.runs import Outage
from sensors.reading import Quality, Reading
from tests.kit.desks import Desks, moment
from tests.kit.station import probe, station, vessel


def warm(_at: int) -> float:
    return 24.0


def test_a_night_written_after_an_outage_is_of_the_writing(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "10:00")
    desks.live(moment(12, "18:00"), warm)
    off = Outage(desks.at, moment(12, "22:10"), True)
    desks.at = off.ended
    run_store.add_outage(desks.store.connection, off)
    desks.live(moment(12, "23:10"), warm)
    due_at = moment(12, "20:00")
    late = night_record(desks.station, desks.store.connection, due_at, desks.at)
    assert late.span.ended.timestamp() == desks.at
    assert (late.night.day, late.outages[0].ended.timestamp()) == (12, off.ended)
    (tray,) = late.vessels
    assert tray.loss_ml[-1].at.timestamp() == moment(12, "23:00")
    eight_minutes = night_record(desks.station, desks.store.connection, due_at, due_at + 480)
    assert eight_minutes.span.ended.timestamp() == due_at + 480
    just_back = night_record(desks.station, desks.store.connection, due_at, due_at + 60)
    assert just_back.span.ended.timestamp() == due_at + 60  # it was off when the letter was due
    assert just_back.outages[0].ended.timestamp() == off.ended  # not where the night ends
    on = moment(12, "17:00")
    for busy_s, ended in ((60, on), (180, on + 180)):
        in_time = night_record(desks.station, desks.store.connection, on, on + busy_s)
        assert in_time.span.ended.timestamp() == ended


def test_a_record_has_the_rooms_air_once_a_probe_with_the_vessels_it_stands_by(tmp_path: Path) -> None:
    two_rooms = station(
        probe("water"),
        *(probe(name, "room_c") for name in ("shelf-air", "window-air", "no-vessels-air")),
        *(vessel(name, "water", "shelf-air") for name in ("tray", "jar")),
        vessel("cone", "water", "window-air"),
        every_s=600,
    )
    desks = Desks(two_rooms, tmp_path, moment(12, "10:00"))
    at = moment(12, "10:10")
    reading_store.add(desks.store.connection, [Reading(at, "shelf-air", 17.5, Quality.GOOD)])
    shelf, window = night_record(two_rooms, desks.store.connection, moment(12, "10:20")).room_air
    assert (shelf.vessels, window.vessels, window.air_c) == (("tray", "jar"), ("cone",), ())
    assert [(point.at.timestamp(), point.value) for point in shelf.air_c if point.value] == [(at, 17.5)]


@pytest.mark.parametrize("fate", ["sent", "in another", "waits", "dropped", "before it"])
def test_an_alarm_is_written_about_once_a_letter_went_out_since_it_began(
    begin: Callable[..., Desks], fate: str
) -> None:
    desks = begin(12, "10:00")
    connection = desks.store.connection
    desks.live(moment(12, "20:00"), lambda at: 24.0 if at < moment(12, "15:00") else 12.0)
    assert desks.stands("cold")
    for row in desks.letters("cold"):
        letter_store.merge(connection, row.id)
    began = moment(12, "11:00" if fate == "before it" else "19:00")
    held = letter_store.hold(connection, began, "cold", "", began, ["tray"])
    if fate in ("sent", "before it"):
        sent(connection, held, desks.at)
    elif fate != "waits":
        letter_store.merge(connection, held)
    if fate == "in another":
        teller = letter_store.hold(connection, began, "return", "", began, ["tray"])
        sent(connection, teller, desks.at)
        letter_store.merge_into(connection, held, teller)
    (tray,) = night_record(desks.station, connection, desks.at).vessels
    assert ("cold" in tray.written_about) == (fate in ("sent", "in another"))


def sent(connection: Any, letter_id: int, at: int) -> None:
    connection.execute("UPDATE letter SET state = 'sent', sent_at = ? WHERE id = ?", (at, letter_id))


def test_beliefs_are_of_the_time_they_may_be_said_in(begin: Callable[..., Desks]) -> None:
    """Salt and hatch end where most was drawn, the level where the batch does; a new one begins all anew."""
    desks = begin(12, "09:00")
    desks.live(moment(12, "11:30"), warm)
    desks.tell("harvest", 200.0)
    desks.live(moment(12, "13:30"), warm)
    desks.tell("end")
    desks.live(moment(12, "14:30"), warm)
    desks.tell("set", 0.05)
    desks.live(moment(12, "15:30"), warm)
    (tray,) = night_record(desks.station, desks.store.connection, desks.at).vessels
    clocks = {f"{point.at:%H:%M}" for point in tray.loss_ml}
    assert {"10:00", "12:00", "13:00", "15:00"} <= clocks
    assert not {"13:30", "14:00"} & clocks
    for believed in (tray.salinity_g_per_kg, tray.hatched_fraction):
        clocks = {f"{point.at:%H:%M}" for point in believed}
        assert {"10:00", "11:00", "15:00"} <= clocks
        assert not {"11:30", "12:00", "13:00", "14:00"} & clocks
