"""Rows that were spoiled: the short form of tests/bench/spoiled_rows.py, and each sort by itself."""

import json
import shutil
import sqlite3
import time
from contextlib import closing
from datetime import date
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import pytest

from daemon.alarms.lifecycle import State
from daemon.care.deed import Deed
from daemon.commissioning.checkup import files
from daemon.planning.experiment.design import ExperimentDesign
from daemon.post.message import compose, words_of
from daemon.running.disk.store import open_store, taken_up
from daemon.store import alarms, deeds, experiments, letters, mishaps, readings, runs
from daemon.store.alarms import AlarmRow
from daemon.store.backup import BACKUPS, back_up
from daemon.store.experiments import Counted
from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.mishaps import RowsAside, last_rows_aside
from daemon.store.row_rules import RULES
from sensors.reading import Quality, Reading
from tests.kit.command_line import until
from tests.kit.record_spoiler import Spoiler
from tests.kit.running_daemon import running, somebody_there
from tests.kit.spoiled_station import Spoils, base_store, suffer

NOW = 1_800_000_000
SALT = ExperimentDesign("", "salt", ("10 g/L", "25 g/L", "40 g/L"), 4, 50, "window", 7)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return base_store(tmp_path_factory.mktemp("spoiled") / "base")


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """A store with a few rows, closed."""
    folder = tmp_path / "state"
    _filled(folder, NOW)
    return folder


def _filled(folder: Path, now: int) -> None:
    folder.mkdir()
    with closing(WritingStore(folder)) as store, store.transaction() as connection:
        for at in range(now - 60_000, now, 60):
            readings.add(connection, [Reading(at, "cup-water", 24.0 + at % 7 / 10, Quality.GOOD)])
        deeds.add(connection, Deed(now - 50_000, "cup", "set", 0.05, {"salt_g_per_l": 25.0}), now - 50_000)
        deeds.add(connection, Deed(now - 40_000, "cup", "note", None, {"text": "hell"}), now - 40_000)
        for at, state in enumerate((State.UNACKNOWLEDGED, State.RETURNED)):
            alarms.add(connection, AlarmRow(now - 9000 + at, "cup", "cold", state.value, 17.0))
        letters.hold(connection, now, "cold", "cold", now + 90_000, ["cup"])
        runs.keep_station_file(connection, now - 60_000, "[station]")
        experiments.add(connection, SALT, now - 30_000)
        experiments.add_count(connection, 1, Counted("F3", 31, 50), now - 20_000)


def write_into(folder: Path, *statements: str) -> None:
    """As a card spoils: past every check."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for statement in statements:
            connection.execute(statement)


@pytest.mark.parametrize(
    ("table", "statement"),
    [
        ("reading", "UPDATE reading SET quality = 'goud' WHERE at = 1799990040"),
        ("reading", "UPDATE reading SET quality = CAST(x'67fffe64' AS TEXT) WHERE at = 1799990040"),
        ("reading", "UPDATE reading SET probe = CAST(x'67fffe64' AS TEXT) WHERE at = 1799990040"),
        ("reading", "UPDATE reading SET probe = CAST(x'6300fffe' AS TEXT) WHERE at = 1799990040"),
        ("deed", "UPDATE deed SET unit = CAST(x'6300' AS TEXT) WHERE id = 1"),
        ("reading", "UPDATE reading SET value = NULL WHERE at = 1799990040"),
        ("reading", "UPDATE reading SET value = 9e999 WHERE at = 1799990040"),
        ("reading", "UPDATE reading SET at = 9000000000000000000 WHERE at = 1799990040"),
        ("alarm", "UPDATE alarm SET state = 'returned to nprmal' WHERE id = 2"),
        ("alarm", "UPDATE alarm SET condition = 'celd' WHERE id = 2"),
        ("deed", "UPDATE deed SET detail = '{\"salt_g_per_l\": 25.' WHERE id = 1"),
        ("deed", "UPDATE deed SET detail = '[25.0]' WHERE id = 1"),
        ("deed", "UPDATE deed SET detail = '{\"text\": {}}' WHERE id = 1"),
        ("deed", "UPDATE deed SET deed = 'sez' WHERE id = 1"),
        ("deed", "UPDATE deed SET detail = CAST(x'7b2261223a22ff227d' AS TEXT) WHERE id = 1"),
        ("letter", "UPDATE letter SET about = '[\"cup' WHERE id = 1"),
        ("letter", "UPDATE letter SET about = '[[]]' WHERE id = 1"),
        ("letter", "UPDATE letter SET kind = 'gold' WHERE id = 1"),
        ("experiment", "UPDATE experiment SET levels = '[\"10 g/L\", 25]' WHERE id = 1"),
        ("experiment", "UPDATE experiment SET near = CAST(x'77fffe' AS TEXT) WHERE id = 1"),
        ("experiment_seat", "UPDATE experiment_seat SET block = -3 WHERE block = 2 AND place = 1"),
        ("experiment_count", "UPDATE experiment_count SET hatched = 51 WHERE id = 1"),
    ],
)
def test_a_row_that_cannot_be_true_is_set_aside_and_all_others_stay(
    state: Path, table: str, statement: str
) -> None:
    before = _counts(state)
    write_into(state, statement)
    with closing(open_store(state, NOW)) as store:
        assert last_rows_aside(store.connection) == RowsAside(NOW, 1, ((table, 1),))
        (kept,) = store.connection.execute("SELECT row FROM row_set_aside").fetchone()
        assert isinstance(json.loads(kept), dict)
        assert store.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert mishaps.last_set_aside(store.connection) is None
    assert _counts(state) == {**before, table: before[table] - 1}
    with closing(open_store(state, NOW + 60)) as store:  # told of once
        assert last_rows_aside(store.connection) == RowsAside(NOW, 1, ((table, 1),))


@pytest.mark.parametrize("table", sorted(RULES))
def test_no_new_row_breaks_a_rule(state: Path, table: str) -> None:
    """The schema itself keeps them out, whoever writes."""
    with closing(WritingStore(state)) as store:
        (sql,) = store.connection.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    assert [rule for rule in RULES[table] if f"CHECK ({rule})" not in sql] == []


def test_a_reading_without_a_quality_and_a_state_that_no_alarm_has_are_refused(state: Path) -> None:
    with closing(WritingStore(state)) as store:
        for statement in (
            "INSERT INTO reading VALUES (1, 'cup-water', 20.0, 'fine')",
            "INSERT INTO alarm (at, vessel, condition, state) VALUES (1, 'cup', 'cold', 'ringing')",
            "INSERT INTO letter (at, kind, subject, state, due_at, about) VALUES (1, '', '', '', 1, '{}')",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="CHECK constraint failed"):
                store.connection.execute(statement)


def test_every_quality_and_every_state_of_an_alarm_may_be_kept(tmp_path: Path) -> None:
    """A new one needs a migration: the rules name them one by one."""
    with closing(WritingStore(tmp_path)) as store, store.transaction() as connection:
        readings.add(connection, [Reading(1, quality.value, 1.0, quality) for quality in Quality])
        for state in State:
            alarms.add(connection, AlarmRow(1, "cup", "cold", state.value, None))


def test_an_index_that_disagrees_with_its_table_is_written_anew_and_nothing_is_lost(state: Path) -> None:
    before = _counts(state)
    spoiler, chance = Spoiler(state / FILE_NAME), Random(4)
    for index in ("deed_by_time", "alarm_by_time", "letter_by_state"):
        spoiler.spoil(chance, only=index)
    spoiler.write()
    with closing(open_store(state, NOW)) as store:
        assert last_rows_aside(store.connection) is None
        assert [deed.at for deed in deeds.between(store.connection, 0, NOW)] == [NOW - 50_000, NOW - 40_000]
        assert store.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert _counts(state) == before


def test_of_two_letters_of_one_number_the_first_stays(state: Path) -> None:
    with closing(WritingStore(state)) as store, store.transaction() as connection:
        for number in (1, 2):
            letter = letters.hold(connection, NOW, "hot", "hot", NOW, [])
            letters.write(connection, letter, [], f"hot {number}", b"hot", number, NOW)
    _with_a_number_twice(state, 2, 1)
    with closing(open_store(state, NOW)) as store:
        assert last_rows_aside(store.connection) == RowsAside(NOW, 1, (("letter", 1),))
        kept = store.connection.execute("SELECT number, subject FROM letter WHERE number > 0").fetchall()
        assert kept == [(1, "hot 1")]


@pytest.mark.parametrize("spoiled", [1, 2])
def test_of_two_letters_of_one_number_the_one_stays_that_bears_it(state: Path, spoiled: int) -> None:
    """A bit made one's number the other's: what each says of itself tells which of them that was."""
    true = 3 - spoiled
    with closing(WritingStore(state)) as store, store.transaction() as connection:
        for number in (1, 2):
            letter = letters.hold(connection, NOW, "hot", "hot", NOW, [])
            message = compose(
                kind="hot",
                subject="hot",
                text="hot",
                html="hot",
                date_s=NOW,
                zone=ZoneInfo("UTC"),
                message_id=f"<naupliad.{letter}.x@localhost>",
                sender="",
                to=(),
                number=number,
            )
            letters.write(connection, letter, [], f"hot {number}", message, number, NOW)
    _with_a_number_twice(state, spoiled, true)
    with closing(open_store(state, NOW)) as store:
        assert last_rows_aside(store.connection) == RowsAside(NOW, 1, (("letter", 1),))
        kept = store.connection.execute("SELECT number, subject FROM letter WHERE number > 0").fetchall()
        assert kept == [(true, f"hot {true}")]


@pytest.mark.parametrize(("spoiled", "became"), [(2, 3), (3, 2), (2, 6), (6, 2), (6, 5), (1, 3)])
def test_of_two_letters_of_one_number_that_bear_none_the_one_stays_that_is_in_line(
    state: Path, spoiled: int, became: int
) -> None:
    """As the first version wrote them: numbers were given in the order of writing, and none was left out."""
    with closing(WritingStore(state)) as store, store.transaction() as connection:
        for number in range(1, 7):
            letter = letters.hold(connection, NOW - 60 * number, "hot", "hot", NOW, [])
            letters.write(connection, letter, [], f"hot {number}", b"hot", number, NOW + 60 * number)
    _with_a_number_twice(state, spoiled, became)
    with closing(open_store(state, NOW)) as store:
        kept = store.connection.execute("SELECT number, subject FROM letter WHERE number > 0 ORDER BY number")
        assert kept.fetchall() == [(n, f"hot {n}") for n in range(1, 7) if n != spoiled]
        assert last_rows_aside(store.connection) == RowsAside(NOW, 1, (("letter", 1),))


def _with_a_number_twice(state: Path, spoiled: int, became: int) -> None:
    """One letter's number became another's, past the index that allows no two."""
    write_into(
        state,
        "DROP INDEX letter_by_number",
        f"UPDATE letter SET number = {became} WHERE number = {spoiled}",
        "PRAGMA writable_schema = ON",
        "CREATE INDEX letter_by_number ON letter (number)",
        "UPDATE sqlite_master SET sql = 'CREATE UNIQUE INDEX letter_by_number ON \"letter\" (number)' "
        "WHERE name = 'letter_by_number'",
    )


def test_a_backup_with_a_spoiled_row_is_a_backup(state: Path) -> None:
    """The row is set aside when it is taken up; a copy without it would be no copy at all."""
    write_into(state, "UPDATE alarm SET state = 'celd' WHERE id = 2")
    made = back_up(state, state / BACKUPS, day(), free=lambda _: 10**12)
    assert made.path.is_file()


def day() -> date:
    return date(2027, 1, 15)


def test_a_store_that_cannot_be_taken_up_for_what_stands_in_it_is_set_aside_for_its_backup(
    state: Path,
) -> None:
    """What no rule foresees: here a deed of the store makes the whole house fail, and its backup does not."""
    back_up(state, state / BACKUPS, day(), free=lambda _: 10**12)
    write_into(state, "UPDATE deed SET vessel = 'unheard-of' WHERE id = 1")

    def put_together(store: WritingStore) -> list[str]:
        found = [deed.vessel for deed in deeds.between(store.connection, 0, NOW)]
        if "unheard-of" in found:
            raise KeyError("unheard-of")
        return found

    store, found = taken_up(state, NOW, put_together)
    with closing(store):
        assert found == ["cup", "cup"]
        told = mishaps.last_set_aside(store.connection)
        assert told is not None
        assert (told[1].found, told[1].backup) == ("KeyError: 'unheard-of'", "station-2027-01-15.db")
        assert (state / told[1].kept_as).is_file()


def test_a_program_that_fails_whatever_store_it_is_given_sets_aside_no_more_than_two(state: Path) -> None:
    """One that has a backup's place is tried, then an empty one; then the fault is the program's."""
    back_up(state, state / BACKUPS, day(), free=lambda _: 10**12)

    def never(_store: WritingStore) -> None:
        raise ValueError("never")

    for at in (NOW, NOW + 15, NOW + 30):  # systemd starts it again and again
        with pytest.raises(ValueError, match="never"):
            taken_up(state, at, never)
        kept = [path.name for path in state.glob("*.broken-*") if not path.name.endswith("-wal")]
        assert len(kept) == 2


def test_a_disk_that_fails_while_it_is_taken_up_sets_nothing_aside(state: Path) -> None:
    def full(_store: WritingStore) -> None:
        error = sqlite3.OperationalError("database or disk is full")
        error.sqlite_errorcode = sqlite3.SQLITE_FULL
        raise error

    with pytest.raises(sqlite3.OperationalError, match="full"):
        taken_up(state, NOW, full)
    assert [*state.glob("*.broken-*")] == []


def test_the_daemon_itself_reads_on_past_spoiled_rows_and_says_so_in_one_letter(tmp_path: Path) -> None:
    config, state, now = somebody_there(tmp_path), tmp_path / "state", int(time.time())
    _filled(state, now)
    write_into(
        state,
        f"UPDATE reading SET quality = 'g' WHERE at = (SELECT max(at) FROM reading WHERE at < {now - 600})",
        "UPDATE deed SET detail = '{' WHERE id = 1",
        "UPDATE alarm SET state = 'norm' WHERE id = 1",
    )
    with running(config, state) as daemon:
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        said = daemon.stop()
    assert said.code == 0
    assert "Traceback" not in said.err
    assert "found rows that cannot be true; they are in row_set_aside: alarm 1, deed 1, reading 1" in said.err
    words = words_of(letter.read_bytes())
    assert words.subject.startswith("Some records were damaged")
    told = " ".join(words.text.split())
    assert "1 reading, 1 entry of the care log and 1 other record" in told
    assert "look through the care log, and write in it again what is missing" in told
    found = files.store(state, None)
    assert "rows were damaged and set aside" in found.account
    with running(config, state) as again:
        assert len(again.rows("SELECT id FROM letter WHERE kind = 'storage'")) == 1
        assert again.stop().code == 0


def test_stores_spoiled_at_random_inside_their_rows_start_and_lose_nothing_without_a_word(
    base: Path, tmp_path: Path
) -> None:
    found = Spoils()
    for seed in range(2001, 2009):
        found.add(suffer(base, tmp_path / str(seed), seed))
        shutil.rmtree(tmp_path / str(seed))
    assert found.held, found.broken
    assert found.stores == 8
    assert found.rows_set_aside > 0
    assert found.index_entries > 0


def test_a_start_that_judges_no_row_is_found_out(
    base: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check of the check: the same stores, and rows are taken as they come."""
    monkeypatch.setattr("daemon.running.disk.store.set_aside_spoiled", lambda *_: None)
    found = Spoils()
    for seed in range(2001, 2009):
        found.add(suffer(base, tmp_path / str(seed), seed))
    assert not found.held


def _counts(folder: Path) -> dict[str, int]:
    with closing(sqlite3.connect(f"file:{folder / FILE_NAME}?mode=ro", uri=True)) as connection:
        return {t: connection.execute(f"SELECT count(*) FROM {t} NOT INDEXED").fetchone()[0] for t in RULES}
