"""A store that the first version wrote is taken up by this one, which says the same of it."""

import json
import lzma
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from daemon.alarms.lifecycle import State
from daemon.app import House
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.store import alarms as alarm_store
from daemon.store import deeds as deed_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.probe_bench import InlineBench
from tests.kit.checkout import ROOT
from tests.kit.command_line import naupliad

DATA = ROOT / "tests" / "data" / "first_version"
EVERY_S = 600


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """The store as the first version left it; played, so that now is its last reading."""
    with closing(sqlite3.connect(tmp_path / "station.db")) as connection:
        connection.executescript(lzma.decompress((DATA / "station.sql.xz").read_bytes()).decode())
    (tmp_path / "summary.json").write_text("{}", encoding="utf-8")
    return tmp_path


def said_then() -> dict[str, Any]:
    return dict(json.loads((DATA / "now.json").read_text(encoding="utf-8")))


def contains(new: Any, old: Any, where: str = "") -> list[str]:
    """Where what is said now is not what was said; more may be said."""
    if isinstance(old, dict):
        return [line for key in old for line in contains(new.get(key), old[key], f"{where}.{key}")]
    return [] if new == old else [f"{where}: said {old!r}, says {new!r}"]


def test_the_store_of_the_first_version_is_told_as_that_version_told_it(state: Path) -> None:
    WritingStore(state).close()
    assert contains(json.loads(naupliad("now", "--json", "--state", state).out), said_then()) == []
    assert naupliad("care", "list", "--state", state).out == (DATA / "care.txt").read_text(encoding="utf-8")


def test_nothing_of_the_first_version_is_lost_on_the_way(state: Path) -> None:
    tables = ("reading", "estimate", "deed", "alarm", "letter", "job_run", "station_file")
    with closing(sqlite3.connect(state / "station.db")) as connection:
        before = {t: connection.execute(f"SELECT count(*) FROM {t}").fetchone() for t in tables}
    with closing(WritingStore(state)) as store:
        after = {t: store.connection.execute(f"SELECT count(*) FROM {t}").fetchone() for t in tables}
        assert store.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    # What was said once stood in the ledger of jobs then.
    assert {**before, "job_run": None} == {**after, "job_run": None}


def test_the_daemon_goes_on_where_the_first_version_stopped(state: Path) -> None:
    """An alarm that stood stands and is not said again, letters go on by number, the batch is believed on."""
    with closing(WritingStore(state, durable=False)) as store:
        text = run_store.station_file(store.connection)
        last = reading_store.newest_at(store.connection)
        assert text is not None
        assert last is not None
        clock = PlayedClock(last + EVERY_S)
        around = Surroundings(
            InlineBench([]), clock, InlineWorkers(), {}, folder=state, free_bytes=lambda: 10**10
        )
        house = House(parse_station(text, "station.toml"), text, store, around)
        house.beat(clock.now_s())
        (hot,) = [key for key in house.watch.active() if key.condition == "hot"]
        assert house.watch.alarm(hot).state is State.UNACKNOWLEDGED
        standing = alarm_store.standing(store.connection, clock.now_s())
        assert ("hot", "unacknowledged") in {(row.condition, row.state) for row in standing}
        assert letter_store.in_state(store.connection, "held", "queued") == []
        assert letter_store.next_number(store.connection) == 8
        assert house.beliefs.running() == ["sill"]
        assert [entry.deed.deed for entry in deed_store.every(store.connection)] == [
            "set",
            "hatched",
            "top-up",
        ]
        believed = house.beliefs.estimates("sill", clock.now_s())
    for quantity in ("loss_ml", "salinity_g_per_kg", "hatched_fraction"):
        then, today = said_then()["vessels"]["sill"]["estimates"][quantity], believed[quantity]
        assert then["p10"] <= today.p90, quantity
        assert today.p10 <= then["p90"], quantity
