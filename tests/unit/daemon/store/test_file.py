"""The store: one writer, whole transactions, readable by any SQLite client meanwhile."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlite_utils import Database, Migrations

from daemon.care.deed import Deed
from daemon.errors import InputError
from daemon.estimates.quantile import Estimate
from daemon.store import alarms, deeds, done_and_said, estimates, letters, mishaps, readings, runs
from daemon.store.alarms import AlarmRow
from daemon.store.file import StoreBroken, StoreInUse, WritingStore, open_for_reading
from daemon.store.mishaps import CardFailure, Overlooked
from daemon.store.runs import Outage
from sensors.reading import Quality, Reading

# contract: tables and columns that other programs rely on
CONTRACT = {
    "reading": {"at", "probe", "value", "quality"},
    "estimate": {"at", "vessel", "quantity", "p10", "p50", "p90"},
    "deed": {"id", "at", "vessel", "deed", "amount", "unit", "detail", "withdrawn_at"},
    "alarm": {"at", "vessel", "condition", "state", "value"},
    "letter": {"id", "at", "kind", "subject", "state", "attempts"},
    "outage": {"began", "ended", "clock_trusted"},
}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    opened = WritingStore(tmp_path)
    yield opened
    opened.close()


def test_every_table_and_column_that_others_rely_on_is_there(store: WritingStore) -> None:
    for table, columns in CONTRACT.items():
        found = {row[1] for row in store.connection.execute(f"PRAGMA table_info({table})")}
        assert columns <= found, table


def test_it_writes_ahead_and_in_full(store: WritingStore) -> None:
    assert store.connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert store.connection.execute("PRAGMA synchronous").fetchone() == (2,)


def test_a_second_writer_is_turned_away_and_let_in_after_the_first(tmp_path: Path) -> None:
    first = WritingStore(tmp_path)
    with pytest.raises(StoreInUse, match="one writer"):
        WritingStore(tmp_path)
    first.close()
    WritingStore(tmp_path).close()


def test_what_is_written_can_be_read_beside_the_writer_once_it_is_whole(
    store: WritingStore, tmp_path: Path
) -> None:
    reader = open_for_reading_of(store, tmp_path)
    with store.transaction() as connection:
        readings.add(connection, [Reading(60, "cup", 21.5, Quality.GOOD)])
        assert list(readings.between(reader, 0, 99)) == []
    assert list(readings.between(reader, 0, 99)) == [Reading(60, "cup", 21.5, Quality.GOOD)]
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        reader.execute("DELETE FROM reading")
    reader.close()


def open_for_reading_of(store: WritingStore, folder: Path) -> sqlite3.Connection:
    with store.transaction() as connection:
        runs.keep_station_file(connection, 0, "[station]")
    return open_for_reading(folder)


def test_a_transaction_that_fails_leaves_nothing(store: WritingStore) -> None:
    def pulled_plug() -> None:
        with store.transaction() as connection:
            readings.add(connection, [Reading(60, "cup", 21.5, Quality.GOOD)])
            with store.transaction():
                runs.add_outage(connection, Outage(0, 60, True))
            raise RuntimeError("the plug is pulled")

    with pytest.raises(RuntimeError):
        pulled_plug()
    assert readings.newest_at(store.connection) is None
    assert runs.outages(store.connection, 0, 99) == []


def test_a_migration_that_fails_is_undone_and_stays_to_be_done(tmp_path: Path) -> None:
    broken = Migrations("naupliad")

    @broken(name="9999_broken")
    def _broken(db: Database) -> None:
        db.conn.execute("CREATE TABLE half (a INTEGER) STRICT")
        raise RuntimeError("half way")

    store = WritingStore(tmp_path)
    with pytest.raises(RuntimeError):
        broken.apply(Database(store.connection))
    tables = {row[0] for row in store.connection.execute("SELECT name FROM sqlite_master")}
    assert "half" not in tables
    assert "reading" in tables
    assert [migration.name for migration in broken.pending(Database(store.connection))] == ["9999_broken"]
    store.close()


def test_a_store_opened_again_is_as_it_was(tmp_path: Path) -> None:
    first = WritingStore(tmp_path)
    with first.transaction() as connection:
        alarms.add(connection, AlarmRow(60, "tray", "cold", "unacknowledged", 17.5))
    first.close()
    again = WritingStore(tmp_path)
    assert alarms.standing(again.connection, 99) == [AlarmRow(60, "tray", "cold", "unacknowledged", 17.5)]
    again.close()


def test_a_read_left_half_done_does_not_keep_the_store_from_closing(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False, patience_s=0)
    with store.transaction() as connection:
        readings.add(connection, [Reading(at, "cup", 21.5, Quality.GOOD) for at in range(0, 600, 60)])
    half_done = readings.between(store.connection, -1, 999)
    next(half_done)
    store.close()
    again = WritingStore(tmp_path, patience_s=0)
    assert readings.newest_at(again.connection) == 540
    again.close()


def test_a_file_that_is_no_database_is_named_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "station.db"
    path.write_bytes(b"no database at all" * 100)
    with pytest.raises(StoreBroken, match=r"station\.db"):
        WritingStore(tmp_path)
    assert path.read_bytes().startswith(b"no database")
    with pytest.raises(StoreBroken):
        open_for_reading(tmp_path)


def test_a_folder_without_a_store_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="found no store"):
        open_for_reading(tmp_path)


def test_a_reading_that_is_there_is_never_written_over_and_none_is_lost(store: WritingStore) -> None:
    with store.transaction() as connection:
        readings.add(connection, [Reading(60, "cup", 21.5, Quality.GOOD)])
        readings.add(connection, [Reading(60, "cup", 9.0, Quality.JUMP)])
    assert list(readings.between(store.connection, 0, 99)) == [
        Reading(60, "cup", 21.5, Quality.GOOD),
        Reading(61, "cup", 9.0, Quality.JUMP),
    ]


def test_a_deed_that_is_withdrawn_stays_in_the_log_and_out_of_the_account(store: WritingStore) -> None:
    deed = Deed(60, "tray", "top-up", 18.0, {"to": "mark"})
    with store.transaction() as connection:
        first = deeds.add(connection, deed, 61)
        deeds.withdraw(connection, first, 99)
    assert deeds.between(store.connection, 0, 99) == []
    assert [(e.deed, e.withdrawn_at) for e in deeds.every(store.connection)] == [(deed, 99)]
    with pytest.raises(InputError, match="withdrawn before"):
        deeds.withdraw(store.connection, first, 100)
    with pytest.raises(InputError, match="no such deed"):
        deeds.withdraw(store.connection, 77, 100)


def test_letters_are_numbered_in_the_order_in_which_they_are_written(store: WritingStore) -> None:
    with store.transaction() as connection:
        first, never, second = (
            letters.hold(connection, at, "cold", "cold", at, ["tray"]) for at in (10, 20, 30)
        )
        letters.merge(connection, never)
        for letter_id in (second, first):
            letters.write(
                connection, letter_id, ["tray"], "Cold", b"words", letters.next_number(connection), 40
            )
    numbers = {row.id: row.number for row in letters.between(store.connection, 0, 99)}
    assert numbers == {second: 1, never: None, first: 2}


def test_the_last_word_on_every_quantity_is_the_newest_one(store: WritingStore) -> None:
    with store.transaction() as connection:
        estimates.add(connection, 60, "tray", {"loss_ml": Estimate(1, 2, 3)})
        estimates.add(connection, 120, "tray", {"loss_ml": Estimate(4, 5, 6)})
        estimates.add(connection, 180, "tray", {"loss_ml": Estimate(7, 8, 9)})
    assert estimates.latest(store.connection, "tray", 120) == {"loss_ml": (120, 4, 5, 6)}
    assert [row[0] for row in estimates.series(store.connection, "tray", "loss_ml", 60, 120)] == [60, 120]


def test_a_job_is_done_once_a_slot(store: WritingStore) -> None:
    assert done_and_said.begin_job(store.connection, "nightly", "2027-01-15", 1)
    assert not done_and_said.begin_job(store.connection, "nightly", "2027-01-15", 2)
    assert done_and_said.begin_job(store.connection, "nightly", "2027-01-16", 3)


def test_a_thing_is_said_once_of_the_same_and_again_once_it_is_taken_back(store: WritingStore) -> None:
    assert done_and_said.say_once(store.connection, "hatch", "tray 1", 5)
    assert not done_and_said.say_once(store.connection, "hatch", "tray 1", 6)
    done_and_said.rename_said(store.connection, "hatch", "tray 1", "tray 2")
    assert done_and_said.said_since(store.connection, 5) == [("hatch", "tray 2")]
    assert not done_and_said.say_once(store.connection, "hatch", "tray 2", 7)
    done_and_said.unsay(store.connection, "hatch", "tray 2")
    assert done_and_said.say_once(store.connection, "hatch", "tray 2", 8)
    assert done_and_said.jobs_since(store.connection, 0) == []


def test_a_station_file_with_the_same_faults_is_no_news_and_with_others_is(store: WritingStore) -> None:
    path, now = "/etc/naupliad/station.toml", store.connection
    assert mishaps.overlooked(now) is None
    assert mishaps.keep_overlooked(now, Overlooked(path, ("b", "a")), 5)
    assert not mishaps.keep_overlooked(now, Overlooked(path, ("b", "a")), 6)
    assert mishaps.overlooked(now) == (5, Overlooked(path, ("b", "a")))
    assert mishaps.keep_overlooked(now, Overlooked(path, ("a",)), 7)
    assert mishaps.overlooked(now) == (7, Overlooked(path, ("a",)))
    mishaps.forget_overlooked(now)
    assert mishaps.overlooked(now) is None


def test_a_failure_of_the_disk_is_news_once(store: WritingStore) -> None:
    full = CardFailure("full", 5)
    assert mishaps.keep_card_failure(store.connection, full, 10)
    assert not mishaps.keep_card_failure(store.connection, full, 20)
    assert mishaps.last_card_failure(store.connection) == (10, full)
    assert mishaps.keep_card_failure(store.connection, CardFailure("failing", 5), 30)
    assert mishaps.last_card_failure(store.connection) == (30, CardFailure("failing", 5))


def test_the_station_file_is_kept_when_it_changes(store: WritingStore) -> None:
    for at, text in ((1, "a"), (2, "a"), (3, "b")):
        runs.keep_station_file(store.connection, at, text)
    assert runs.station_file(store.connection) == "b"
    assert store.connection.execute("SELECT count(*) FROM station_file").fetchone() == (2,)
