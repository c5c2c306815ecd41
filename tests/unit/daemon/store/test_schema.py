"""A store that an earlier version wrote: what stood in it is carried over, whole or not at all."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlite_utils import Database, Migrations

from daemon.alarms.lifecycle import State
from daemon.store import done_and_said, mishaps, planned_starts, schema, shelved_alarms, tin_tests
from daemon.store.file import StoreBroken, StoreNewer, WritingStore
from daemon.store.mishaps import CardFailure, Overlooked, SetAside
from tests.kit.command_line import Said, begin, ended, naupliad
from tests.kit.station import station_text

PATH = "/etc/naupliad/station.toml"
FAULTS = ['vessel[1].lw_ml: found an unknown key (did you mean "low_ml"?)', "station.name: found 'Büro; 3'"]
ASIDE, EARLIER = "station.db.broken-2027-01-14", "station.db.broken-2026-11-02"
JOBS = [
    ("estimates", "2027-01-15T08:00:00+00:00", 1_800_000_000),
    ("nightly", "2027-01-14T20:00:00+00:00", 1_799_956_800),
    ("thinning", "2027-01-15T04:00:00+00:00", 1_799_985_600),
]
SAID = [
    ("leave", "2027-01-15T15:30:00+00:00", 1_800_020_000),
    ("return", "2027-01-18T08:00:00+00:00", 1_800_020_001),
    ("hatch", "later tray 1799900000", 1_800_020_002),
    ("harvest", "opens cone 1799900000", 1_800_020_003),
    ("outage", "1799990000", 1_800_020_004),
    ("urgent heat", "tray 1799995000", 1_800_020_005),
]
# As daemon/store wrote them before the fifth migration.
BEFELL = [
    ("damaged store told", ASIDE, 1_800_010_000),
    ("store set aside", json.dumps([EARLIER, "file is not a database", None]), 1_794_000_000),
    ("store set aside", json.dumps([ASIDE, "torn", None]), 1_800_008_000),
    ("store set aside", json.dumps([ASIDE, "malformed", "station-2027-01-13.db"]), 1_800_009_000),
    ("station file overlooked", json.dumps([PATH, FAULTS], ensure_ascii=False), 1_800_030_000),
    ("card failed", json.dumps(["full", 1_790_000_000]), 1_790_000_900),
    ("card failed", json.dumps(["read-only", 1_799_000_000]), 1_799_000_600),
]
ROWS = sorted([*JOBS, *SAID, *BEFELL])


def made_before(folder: Path, migration: str) -> Path:
    """A store as it was before a migration, with a station file and a ledger of jobs."""
    path = folder / "station.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        database, migrations = schema.prepared(connection)
        before = Migrations("naupliad")
        for step in migrations.pending(database):
            if step.name < migration:
                before(name=step.name)(step.fn)
        before.apply(Database(connection))
        connection.executemany("INSERT INTO job_run (job, slot, at) VALUES (?, ?, ?)", ROWS)
        connection.execute("INSERT INTO station_file VALUES (1, ?)", (station_text(driver="rehearsal"),))
    return path


def test_what_stood_in_the_ledger_of_jobs_stands_where_it_belongs(tmp_path: Path) -> None:
    made_before(tmp_path, "0005")
    with closing(WritingStore(tmp_path)) as store:
        told = store.connection
        assert told.execute("SELECT job, slot, at FROM job_run ORDER BY job").fetchall() == JOBS
        said = told.execute("SELECT what, about, at FROM said_once ORDER BY at").fetchall()
        assert said == [("damaged store", ASIDE, 1_800_010_000), *SAID]
        assert mishaps.overlooked(told) == (1_800_030_000, Overlooked(PATH, tuple(FAULTS)))
        assert mishaps.last_card_failure(told) == (1_799_000_600, CardFailure("read-only", 1_799_000_000))
        aside = SetAside(ASIDE, "malformed", "station-2027-01-13.db")
        assert mishaps.last_set_aside(told) == (1_800_009_000, aside)
        assert mishaps.set_aside_names(told) == {ASIDE, EARLIER}


def test_nothing_that_was_done_or_said_before_it_is_done_or_said_again(tmp_path: Path) -> None:
    made_before(tmp_path, "0005")
    with closing(WritingStore(tmp_path)) as store:
        again = store.connection
        assert not any(done_and_said.begin_job(again, job, slot, 2_000_000_000) for job, slot, _ in JOBS)
        assert not any(done_and_said.say_once(again, what, about, 2_000_000_000) for what, about, _ in SAID)
        assert not done_and_said.say_once(again, "damaged store", ASIDE, 2_000_000_000)
        assert not mishaps.keep_overlooked(again, Overlooked(PATH, tuple(FAULTS)), 2_000_000_000)
        for failure in (CardFailure("full", 1_790_000_000), CardFailure("read-only", 1_799_000_000)):
            assert not mishaps.keep_card_failure(again, failure, 2_000_000_000)


def test_a_ledger_that_cannot_be_carried_over_whole_stays_as_it_was_and_is_tried_again(
    tmp_path: Path,
) -> None:
    path = made_before(tmp_path, "0005")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE card_failure (in_the_way INTEGER)")
    with pytest.raises(StoreBroken, match="card_failure already exists"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT job, slot, at FROM job_run ORDER BY job, slot").fetchall() == ROWS
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        assert not tables & {"said_once", "store_set_aside", "station_file_fault"}
        connection.execute("DROP TABLE card_failure")
    with closing(WritingStore(tmp_path)) as store:
        assert mishaps.overlooked(store.connection) == (1_800_030_000, Overlooked(PATH, tuple(FAULTS)))


def test_a_store_of_an_earlier_version_that_no_daemon_has_taken_up_is_told_in_a_line(tmp_path: Path) -> None:
    made_before(tmp_path, "0005")
    said = naupliad("now", "--state", tmp_path)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith(f"{tmp_path / 'station.db'}: found a store as an earlier version left it; ")
    assert said.err.count("\n") == 1
    WritingStore(tmp_path).close()
    assert (
        "The station file /etc/naupliad/station.toml is not taken" in naupliad("now", "--state", tmp_path).out
    )


def test_what_was_put_aside_before_stays_aside_by_nobody_known(tmp_path: Path) -> None:
    with closing(sqlite3.connect(made_before(tmp_path, "0007"))) as connection:
        for row in ((1_800_000_000, "cup", "cold"), (1_800_000_001, "", "")):
            connection.execute("INSERT INTO shelf (at, vessel, condition) VALUES (?, ?, ?)", row)
        connection.commit()
    with closing(WritingStore(tmp_path)) as store:
        kept = shelved_alarms.standing(store.connection, 1_800_000_002)
        assert [(shelf.vessel, shelf.by) for shelf in kept] == [("cup", ""), ("", "")]
        shelved_alarms.add(store.connection, 1_800_000_003, "cup", "hot", None, "heron")
        assert shelved_alarms.standing(store.connection, 1_800_000_003)[-1].by == "heron"


OLD_STATES = [
    "normal",
    "unacknowledged",
    "returned unacknowledged",
    "acknowledged",
    "returned unacknowledged",
]


def with_old_states(folder: Path) -> Path:
    path = made_before(folder, "0008")
    with closing(sqlite3.connect(path)) as connection:
        for at, state in enumerate(OLD_STATES):
            row = (1_800_000_000 + at, "cup", "cold", state)
            connection.execute("INSERT INTO alarm (at, vessel, condition, state) VALUES (?, ?, ?, ?)", row)
        connection.commit()
    return path


def test_an_alarm_that_nobody_saw_returns_under_the_standards_name(tmp_path: Path) -> None:
    with_old_states(tmp_path)
    with closing(WritingStore(tmp_path)) as store:
        found = [State(state) for (state,) in store.connection.execute("SELECT state FROM alarm ORDER BY at")]
    assert found == [State.NORMAL, State.UNACKNOWLEDGED, State.RETURNED, State.ACKNOWLEDGED, State.RETURNED]


def test_states_that_cannot_all_be_renamed_stay_as_they_were_and_are_tried_again(tmp_path: Path) -> None:
    path = with_old_states(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(
            "CREATE TRIGGER in_the_way BEFORE UPDATE ON alarm WHEN old.at = 1800000004"
            " BEGIN SELECT RAISE(ABORT, 'in the way'); END"
        )
    with pytest.raises(StoreBroken, match="in the way"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        assert [s for (s,) in connection.execute("SELECT state FROM alarm ORDER BY at")] == OLD_STATES
        connection.execute("DROP TRIGGER in_the_way")
    with closing(WritingStore(tmp_path)) as store:
        (left,) = store.connection.execute("SELECT count(*) FROM alarm WHERE state = ?", (State.RETURNED,))
    assert left == (2,)


def by_a_newer_program(folder: Path) -> Path:
    """A store with a migration that no version here knows."""
    with closing(WritingStore(folder)) as store:
        newer = Migrations("naupliad")
        newer(name="9001_moons")(lambda database: database.conn.execute("CREATE TABLE moon (at INTEGER)"))
        newer.apply(Database(store.connection))
        store.connection.execute(
            "INSERT INTO station_file VALUES (1, ?)", (station_text(driver="rehearsal"),)
        )
    return store.path


def test_a_store_of_a_newer_program_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = by_a_newer_program(tmp_path)
    before = path.read_bytes()
    for _ in range(2):  # the first refusal lets go of the lock
        with pytest.raises(StoreNewer, match="9001_moons"):
            WritingStore(tmp_path)
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("*.broken-*"))


def refused_in_a_line(said: Said, path: Path) -> None:
    assert (said.code, said.out) == (1, "")
    assert f"{path}: found a store that a newer naupliad wrote (9001_moons); " in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("words", [("now",), ("care", "list"), ("care", "add", "cup", "stir")])
def test_a_command_refuses_a_store_of_a_newer_program_in_a_line(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    path = by_a_newer_program(tmp_path)
    refused_in_a_line(naupliad(*words, "--state", tmp_path), path)


def test_the_daemon_refuses_a_store_of_a_newer_program_in_a_line_and_sets_nothing_aside(
    tmp_path: Path,
) -> None:
    path = by_a_newer_program(tmp_path)
    (tmp_path / "station.toml").write_text(station_text(driver="rehearsal"), "utf-8")
    before = path.read_bytes()
    refused_in_a_line(
        ended(begin("run", "--config", "station.toml", "--state", tmp_path, folder=tmp_path)), path
    )
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("*.broken-*"))


def test_a_store_of_before_planned_starts_gets_their_table_and_keeps_what_it_held(tmp_path: Path) -> None:
    made_before(tmp_path, "0010")
    with closing(WritingStore(tmp_path)) as store:
        assert store.connection.execute("SELECT count(*) FROM planned_start").fetchone() == (0,)
        assert len(store.connection.execute("SELECT * FROM job_run").fetchall()) == len(ROWS)
        with pytest.raises(sqlite3.IntegrityError):
            store.connection.execute(
                "INSERT INTO planned_start (at, vessel, set_at, good_from, good_until, lesson_began, "
                "lesson_ended) VALUES (1, 'cup', 2, 2, 2, 9, 8)"
            )


def test_a_store_of_before_experiments_gets_their_tables_and_keeps_what_it_held(tmp_path: Path) -> None:
    made_before(tmp_path, "0010")
    with closing(WritingStore(tmp_path)) as store:
        tables = ("experiment", "experiment_seat", "experiment_count", "experiment_lost")
        assert [store.connection.execute(f"SELECT count(*) FROM {one}").fetchone() for one in tables] == [
            (0,)
        ] * 4
        assert len(store.connection.execute("SELECT * FROM job_run").fetchall()) == len(ROWS)


def test_experiments_that_cannot_come_whole_leave_the_store_as_it_was_and_are_tried_again(
    tmp_path: Path,
) -> None:
    path = made_before(tmp_path, "0010")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE experiment_count (in_the_way INTEGER)")
    with pytest.raises(StoreBroken, match="experiment_count already exists"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        assert not tables & {"experiment", "experiment_seat"}
        connection.execute("DROP TABLE experiment_count")
    WritingStore(tmp_path).close()


def test_counts_and_lost_cups_of_before_stand_as_they_did_and_take_more_then(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0014")
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "INSERT INTO experiment_count (at, experiment, code, hatched, cysts, hours) "
            "VALUES (1800000000, 1, 'F3', 9, 50, 24.0)"
        )
        connection.execute("INSERT INTO experiment_lost (at, experiment, code) VALUES (1800000000, 1, 'N3')")
    with closing(WritingStore(tmp_path)) as store:
        told = store.connection
        assert told.execute("SELECT hatched, hours, water_c FROM experiment_count").fetchall() == [
            (9, 24.0, None)
        ]
        assert told.execute("SELECT code, why FROM experiment_lost").fetchall() == [("N3", None)]
        for wrong in ("experiment_count SET water_c = 99", "experiment_lost SET why = 'eaten'"):
            with pytest.raises(sqlite3.IntegrityError):
                told.execute(f"UPDATE {wrong}")


def test_water_and_reasons_that_cannot_come_whole_leave_the_store_as_it_was(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0014")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("ALTER TABLE experiment_lost ADD COLUMN why TEXT")
    with pytest.raises(StoreBroken, match="duplicate column name: why"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        columns = {row[1] for row in connection.execute("PRAGMA table_info(experiment_count)")}
        assert "water_c" not in columns


def test_a_store_of_before_tests_of_tins_gets_their_table_whole_or_not_at_all(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0011")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE tin_test (in_the_way INTEGER)")
    with pytest.raises(StoreBroken, match="tin_test already exists"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TABLE tin_test")
    with closing(WritingStore(tmp_path)) as store:
        assert store.connection.execute("SELECT count(*) FROM tin_test").fetchone() == (0,)
        assert len(store.connection.execute("SELECT * FROM job_run").fetchall()) == len(ROWS)


def test_a_store_that_already_has_the_experiments_gets_the_table_of_tins_too(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0011")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        database, migrations = schema.prepared(connection)
        later = Migrations("naupliad")
        for step in migrations.pending(database):
            if step.name != "0011_tin_tests":
                later(name=step.name)(step.fn)
        later.apply(Database(connection))
    with closing(WritingStore(tmp_path)) as store:
        tables = [
            store.connection.execute(f"SELECT count(*) FROM {one}").fetchone()
            for one in ("experiment", "tin_test")
        ]
        assert tables == [(0,), (0,)]


def test_tests_of_tins_of_before_stages_stand_and_can_be_read(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0013")
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("INSERT INTO tin_test VALUES (1, 1800000000, 'spring', 50, 38, 48.0, 25.0, NULL)")
        connection.execute("CREATE TABLE tin_test_stages (in_the_way INTEGER)")
    with pytest.raises(StoreBroken, match="tin_test_stages already exists"):
        WritingStore(tmp_path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TABLE tin_test_stages")
    with closing(WritingStore(tmp_path)) as store:
        (kept,) = tin_tests.standing(store.connection, 1_800_000_000)
        assert (kept.test.put, kept.test.umbrella, kept.test.full_left) == (50, None, None)
        with pytest.raises(sqlite3.IntegrityError, match="CHECK constraint failed"):
            store.connection.execute("INSERT INTO tin_test_stages VALUES (1, -1, 0)")


def test_a_plan_kept_before_swimmers_were_noted_stands_as_one_for_a_hatch(tmp_path: Path) -> None:
    with closing(sqlite3.connect(made_before(tmp_path, "0015"))) as connection:
        connection.execute(
            "INSERT INTO planned_start (at, vessel, set_at, good_from, good_until, lesson_began, "
            "lesson_ended) VALUES (1, 'cup', 2, 2, 2, 8, 9)"
        )
        connection.commit()
    with closing(WritingStore(tmp_path)) as store:
        (entry,) = planned_starts.standing(store.connection, 1)
        assert (entry.start.vessel, entry.start.swimming) == ("cup", False)
        with pytest.raises(sqlite3.IntegrityError):
            store.connection.execute("UPDATE planned_start SET swimming = 2")


def test_a_store_that_has_the_newest_step_already_still_gets_what_it_lacks(tmp_path: Path) -> None:
    path = made_before(tmp_path, "0015")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        database, migrations = schema.prepared(connection)
        newest = Migrations("naupliad")
        for step in migrations.pending(database):
            if step.name > "0015_swimming_starts":
                newest(name=step.name)(step.fn)
        newest.apply(Database(connection))
        assert not schema.is_current(connection)
    with closing(WritingStore(tmp_path)) as store:
        assert schema.is_current(store.connection)
        assert store.connection.execute("SELECT swimming FROM planned_start").fetchall() == []
