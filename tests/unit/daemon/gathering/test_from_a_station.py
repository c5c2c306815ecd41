"""What a station's store tells in boxes stands in the centre's database as it stood in the store."""

import sqlite3
from collections.abc import Iterator
from typing import Any

import pytest

from daemon.outside.record_bodies import Bodies
from daemon.record.box import as_json, packed, unpacked
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store.outbox import Owed
from daemon.stored_station import open_station
from tests.kit.command_line import naupliad
from tests.kit.postgres import needs_postgres
from tests.kit.recordings import good, stamp, tape_rows, write_care, write_tape
from tests.kit.station import station_text
from tests.kit.told_boxes import Line

pytestmark = needs_postgres
BEGAN = 1_800_000_000
STORE = 1_799_000_000
# Where each kind's keys stand in a store.
KEYS = {
    "hour": f"SELECT DISTINCT at / {HOUR_S} * {HOUR_S} FROM reading",
    "estimate": "SELECT DISTINCT at FROM estimate",
    "deed": "SELECT id FROM deed",
    "alarm": "SELECT id FROM alarm",
    "letter": "SELECT id FROM letter",
}


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Station, sqlite3.Connection]]:
    """Half a day of a cup that grows hot, with reads that failed; somebody filled it."""
    folder = tmp_path_factory.mktemp("played")
    (folder / "station.toml").write_text(station_text(every_s=300, attended=[]), encoding="utf-8")
    rows = tape_rows(BEGAN, 60, good(24.0625), 300)
    rows += tape_rows(BEGAN + 60 * 300, 3, {"cup-water": ",crc", "room-air": ",absent"}, 300)
    rows += tape_rows(BEGAN + 66 * 300, 70, good(34.5), 300)
    tape = write_tape(folder / "tape.csv", rows)
    care = write_care(
        folder / "care.csv",
        f"{stamp(BEGAN + 600)},cup,set,0.05,g,salt_g_per_l=25;lot=spring-tin",
        f"{stamp(BEGAN + 7200)},cup,top-up,12,ml,to=mark",
        f"{stamp(BEGAN + 7300)},cup,note,,,text=written by hand",
    )
    config = folder / "station.toml"
    said = naupliad("replay", tape, "--care", care, "--config", config, "--out", folder / "state")
    assert (said.code, said.err) == (0, "")
    station, connection = open_station(folder / "state")
    yield station, connection
    connection.close()


@pytest.fixture
def told(played: tuple[Station, sqlite3.Connection], empty: Line) -> Line:
    """The centre's line, after everything was told as it goes over the wire."""
    station, store = played
    bodies = Bodies(station, store, STORE)
    boxes = [
        as_json(unpacked(packed(bodies.box(Owed(n, kind, key)))))
        for kind, keys in KEYS.items()
        for n, (key,) in enumerate(store.execute(keys).fetchall(), 1)
    ]
    row = empty.execute("SELECT take(%s::text[], %s::jsonb[])", (["k1"] * len(boxes), boxes)).fetchone()
    assert row == (0,), empty.execute("SELECT reason, box FROM refused").fetchall()
    return empty


def compare(store: sqlite3.Connection, told: Line, here: str, there: str) -> list[tuple[Any, ...]]:
    rows = store.execute(here).fetchall()
    assert told.execute(there.encode()).fetchall() == rows
    assert rows
    return rows


def test_readings_and_beliefs_are_the_same(played: tuple[Station, sqlite3.Connection], told: Line) -> None:
    _, store = played
    rows = compare(
        store,
        told,
        "SELECT probe, at, value, quality FROM reading ORDER BY probe, at",
        "SELECT probe, extract(epoch from at)::bigint, value, quality FROM reading ORDER BY probe, at",
    )
    assert {quality for *_, quality in rows} >= {"good", "crc", "absent"}
    moments = "SELECT DISTINCT measure, vessel FROM reading ORDER BY measure"
    assert told.execute(moments.encode()).fetchall() == [("room_c", "cup"), ("water_c", "cup")]
    here = store.execute(
        "SELECT at, vessel, quantity, p10, p50, p90 FROM estimate ORDER BY 1, 2, 3"
    ).fetchall()
    there = told.execute(
        "SELECT extract(epoch from at)::bigint, vessel, quantity, p10, p50, p90 FROM belief ORDER BY 1, 2, 3"
    ).fetchall()
    assert [row[:3] for row in there] == [row[:3] for row in here]
    for ours, theirs in zip(here, there, strict=True):
        assert theirs[3:] == pytest.approx(ours[3:], rel=1e-9), "ten digits go over the wire"


def test_deeds_alarms_and_letters_are_the_same(
    played: tuple[Station, sqlite3.Connection], told: Line
) -> None:
    _, store = played
    at = "extract(epoch from {})::bigint".format
    compare(
        store,
        told,
        "SELECT id, at, vessel, deed, amount, unit, recorded_at, withdrawn_at, replaces "
        "FROM deed ORDER BY id",
        f"SELECT id, {at('at')}, vessel, deed, amount, unit, {at('recorded_at')}, {at('withdrawn_at')}, "
        "replaces FROM deed ORDER BY id",
    )
    alarms = compare(
        store,
        told,
        "SELECT id, at, vessel, condition, probe, state, value, since FROM alarm ORDER BY id",
        f"SELECT id, {at('at')}, vessel, condition, probe, state, value, {at('since')} "
        "FROM alarm ORDER BY id",
    )
    compare(
        store,
        told,
        "SELECT id, at, kind, state, number, sent_at FROM letter ORDER BY id",
        f"SELECT id, {at('at')}, kind, state, number, {at('sent_at')} FROM letter ORDER BY id",
    )
    standing = {(vessel, condition): state for _, _, vessel, condition, _, state, *_ in alarms}
    found = told.execute("SELECT vessel, condition, state FROM state").fetchall()
    assert {(vessel, condition): state for vessel, condition, state in found} == standing
    needing = told.execute("SELECT condition FROM needs_help ORDER BY urgency").fetchall()
    assert ("hot",) in needing
