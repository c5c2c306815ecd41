"""Backups of the store: whole, dated, beside a writer, not too many, and never the disk's last room."""

import fcntl
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError, NaupliadError
from daemon.store import readings, runs
from daemon.store.backup import BACKUPS, NoRoom, back_up, copy_to, fault_of, kept, newest_good
from daemon.store.broken_file import look_at, set_aside
from daemon.store.file import FILE_NAME, WritingStore, open_for_reading
from sensors.reading import Quality, Reading
from tests.kit.command_line import naupliad
from tests.kit.running_daemon import care, rehearsing, running

DAY = date(2027, 1, 15)
MEMORY = Path("/dev/shm")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    (tmp_path / "state").mkdir()
    with closing(WritingStore(tmp_path / "state")) as opened:
        with opened.transaction() as connection:
            runs.keep_station_file(connection, 0, "[station]")
            readings.add(connection, (Reading(at, "cup-water", 22.0, Quality.GOOD) for at in range(5000)))
        yield opened


@pytest.fixture
def state(store: WritingStore) -> Path:
    return store.path.parent


@pytest.fixture
def stick() -> Iterator[Path]:
    """A folder on another disk than the tests' own."""
    if not MEMORY.is_dir():
        pytest.skip("no second disk here")
    folder = MEMORY / f"naupliad-test-{os.getpid()}"
    folder.mkdir()
    yield folder
    shutil.rmtree(folder)


def counted(path: Path) -> int:
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as connection:
        return int(connection.execute("SELECT count(*) FROM reading").fetchone()[0])


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_backup_beside_the_writer_holds_all_that_was_acknowledged(state: Path, tmp_path: Path) -> None:
    assert (state / "station.db-wal").stat().st_size > 0  # most of it is in the log still
    made = back_up(state, tmp_path / "backups", DAY)
    assert made.path == tmp_path / "backups" / "station-2027-01-15.db"
    assert names(made.path.parent) == ["station-2027-01-15.db"]  # no log, nothing unfinished
    assert counted(made.path) == 5000
    assert made.bytes == made.path.stat().st_size


def test_the_writer_goes_on_while_and_after_a_backup_is_made(store: WritingStore, tmp_path: Path) -> None:
    with store.transaction() as connection:
        readings.add(connection, [Reading(9000, "cup-water", 22.0, Quality.GOOD)])
        made = back_up(store.path.parent, tmp_path / "backups", DAY)
    assert counted(made.path) == 5000  # what was not whole yet is not in it
    assert counted(back_up(store.path.parent, tmp_path / "backups", DAY).path) == 5001


def test_a_store_put_back_from_a_backup_is_a_store(state: Path, tmp_path: Path) -> None:
    made = back_up(state, tmp_path / "backups", DAY)
    (tmp_path / "again").mkdir()
    shutil.copy(made.path, tmp_path / "again" / "station.db")
    with closing(WritingStore(tmp_path / "again")) as again, again.transaction() as connection:
        readings.add(connection, [Reading(9000, "cup-water", 22.0, Quality.GOOD)])
    with closing(open_for_reading(tmp_path / "again")) as reader:
        assert readings.newest_at(reader) == 9000


def test_no_backup_takes_the_last_of_the_room(state: Path, tmp_path: Path) -> None:
    with pytest.raises(NoRoom, match=r"found 200 MB free; allowed: .* and 200 MB that stay free"):
        back_up(state, tmp_path / "backups", DAY, free=lambda _folder: 200 * 10**6)
    assert names(tmp_path / "backups") == []


def test_a_copy_that_is_not_whole_never_gets_a_name(state: Path, tmp_path: Path) -> None:
    made = back_up(state, tmp_path / "backups", DAY)
    spoil(made.path)
    with pytest.raises(NaupliadError, match="not whole"):
        copy_to(made.path, tmp_path / "stick")
    assert names(tmp_path / "stick") == []


def spoil(path: Path) -> None:
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 2)
        file.write(b"\xff" * 8192)


def test_the_newest_good_backup_is_the_newest_that_is_whole(state: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    assert newest_good(folder) is None
    whole = back_up(state, folder, DAY).path
    spoil(back_up(state, folder, DAY + timedelta(days=1)).path)
    (folder / "station-2027-01-17.db").write_bytes(b"")
    (folder / "station-2027-99-99.db").write_bytes(b"no day")
    assert newest_good(folder) == whole
    assert fault_of(folder / "station-2027-01-16.db") is not None
    assert names(folder)[0] == whole.name  # looking leaves no file beside them


def test_what_a_power_cut_left_is_cleared_away(state: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / ".unfinished-backup.db").write_bytes(b"half")
    back_up(state, folder, DAY)
    assert names(folder) == ["station-2027-01-15.db"]


def test_two_backups_at_once_do_not_meet(state: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    descriptor = os.open(folder, os.O_RDONLY)
    fcntl.flock(descriptor, fcntl.LOCK_EX)
    with pytest.raises(NaupliadError, match="another backup being made"):
        back_up(state, folder, DAY)
    os.close(descriptor)


def test_backups_that_are_too_many_go_and_foreign_files_stay(state: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    for ago in range(1, 400):
        (folder / f"station-{DAY - timedelta(days=ago)}.db").touch()
    (folder / "notes.txt").touch()
    made = back_up(state, folder, DAY)
    left = {date.fromisoformat(name[8:18]) for name in names(folder) if name != "notes.txt"}
    assert left == kept(DAY - timedelta(days=ago) for ago in range(400))
    assert len(made.removed) == 400 - len(left)
    assert (folder / "notes.txt").exists()


def test_after_two_years_of_nights_there_are_seven_days_four_weeks_and_twelve_months() -> None:
    there: set[date] = set()
    for night in range(800):
        there = kept({*there, DAY + timedelta(days=night)})
    last = DAY + timedelta(days=799)  # Friday 23 March 2029
    assert {last - timedelta(days=ago) for ago in range(7)} <= there
    sundays = {date(2029, 3, 18), date(2029, 3, 11), date(2029, 3, 4)}
    months = {date(2028, month, days) for month, days in ((4, 30), (8, 31), (12, 31))}
    assert sundays | months <= there
    assert min(there) == date(2028, 4, 30)
    assert len(there) <= 7 + 4 + 12


DAYS = st.sets(st.dates(date(2026, 1, 1), date(2029, 12, 31)), min_size=1, max_size=80)


@given(DAYS)
def test_the_newest_stays_whatever_is_there_and_what_stays_once_stays_again(days: set[date]) -> None:
    stay = kept(days)
    assert set(sorted(days)[-7:]) <= stay <= days
    assert len(stay) <= 23
    assert kept(stay) == stay


def test_a_folder_that_cannot_be_made_is_wrong_use(state: Path, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="allowed: a folder to write to"):
        back_up(state, tmp_path / "file", DAY)


# The command --------------------------------------------------------------------------------------------


def test_the_command_makes_a_checked_backup_in_the_state_folder(state: Path) -> None:
    said = naupliad("backup", "--state", state)
    (made,) = (state / "backups").iterdir()
    assert (said.code, said.err) == (0, "")
    assert said.out == f"{made}: {made.stat().st_size / 1e6:.1f} MB, checked\n"
    assert counted(made) == 5000


def test_the_command_puts_a_copy_on_another_disk_that_is_there(state: Path, stick: Path) -> None:
    said = naupliad("backup", "--state", state, "--also", stick, "--json")
    told = json.loads(said.out)
    assert (said.code, said.err) == (0, "")
    assert counted(Path(told["made"]["path"])) == counted(Path(told["copy"]["path"])) == 5000
    assert Path(told["copy"]["path"]).parent == stick
    assert told["made"]["removed"] == told["copy"]["removed"] == []


def test_a_stick_that_is_not_plugged_in_is_no_trouble_and_its_empty_folder_stays_empty(
    state: Path, tmp_path: Path
) -> None:
    (tmp_path / "stick").mkdir()
    said = naupliad("backup", "--state", state, "--also", tmp_path / "stick")
    assert (said.code, said.err) == (0, "")
    assert said.out.endswith(f"{tmp_path / 'stick'}: no other disk is there; no copy\n")
    assert names(tmp_path / "stick") == []


def test_a_stick_that_takes_nothing_is_trouble_and_the_backup_is_there(state: Path, stick: Path) -> None:
    today = json.loads(naupliad("backup", "--state", state, "--json").out)["made"]["path"]
    (stick / Path(today).name).mkdir()  # cannot be replaced by a file
    said = naupliad("backup", "--state", state, "--also", stick)
    assert said.code == 1
    assert said.err.startswith(f"{stick}: no copy was made: ")
    assert "checked" in said.out


def test_without_a_store_the_command_is_wrong_use(tmp_path: Path) -> None:
    said = naupliad("backup", "--state", tmp_path)
    assert said.code == 2
    assert "found no store" in said.err
    assert names(tmp_path) == []


def test_a_store_that_is_broken_is_trouble(tmp_path: Path) -> None:
    (tmp_path / "station.db").write_bytes(b"no database" * 1000)
    said = naupliad("backup", "--state", tmp_path)
    assert said.code == 1
    assert len(said.faults) == 1


def test_beside_a_running_daemon_a_backup_is_made_and_put_back_as_the_page_tells(tmp_path: Path) -> None:
    config = rehearsing(tmp_path, 60)
    state = tmp_path / "state"
    with running(config, state) as daemon:
        care(state, "add", "cup", "note", "--detail", "text=before")
        made = Path(json.loads(naupliad("backup", "--state", state, "--json").out)["made"]["path"])
        care(state, "add", "cup", "note", "--detail", "text=after")
        assert daemon.process.poll() is None
        daemon.process.kill()  # the worst way to stop: the log is left beside the store
        daemon.process.communicate()
    (state / "before").mkdir()
    for file in state.glob("station.db*"):
        file.rename(state / "before" / file.name)
    shutil.copy(made, state / "station.db")
    with running(config, state) as daemon:
        notes = [str(row[0]) for row in daemon.rows("SELECT detail FROM deed")]
        assert notes == ['{"text": "before"}']
        assert daemon.stop().code == 0


def test_a_store_that_is_broken_gives_way_to_the_newest_good_backup(tmp_path: Path) -> None:
    state, folder = tmp_path, tmp_path / BACKUPS
    store = WritingStore(state, durable=False)
    with store.transaction() as connection:
        runs.keep_station_file(connection, 1_800_000_000, "told")
    store.close()
    for day in (date(2027, 1, 15), date(2027, 1, 16)):
        back_up(state, folder, day)
    (folder / "station-2027-01-16.db").write_bytes(b"no database at all" * 500)
    (state / FILE_NAME).write_bytes(b"SQLite format 3\0" + b"\xff" * 9000)
    day = date(2027, 1, 17)
    found = look_at(state / FILE_NAME).broken
    assert found is not None
    aside = set_aside(state / FILE_NAME, day, found, lambda where: newest_good(where / BACKUPS))
    assert aside.backup == "station-2027-01-15.db"
    assert (state / aside.kept_as).read_bytes().endswith(b"\xff")
    again = WritingStore(state, durable=False)
    assert runs.station_file(again.connection) == "told"
    again.close()
