"""The store's file is deleted or replaced, by somebody at a terminal or by a program that tidies up."""

import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from daemon.post.message import words_of
from daemon.running.disk.store import open_store
from daemon.running.disk.store_watch import StoreWatch, close
from daemon.store import deeds, mishaps, readings, runs
from daemon.store.backup import BACKUPS, back_up
from daemon.store.file import FILE_NAME, Whereabouts, WritingStore
from daemon.store.mishaps import StoreGone
from sensors.reading import Quality, Reading
from tests.kit.command_line import until
from tests.kit.running_daemon import Running, care, running, somebody_there

NOW = 1_800_000_000
DAY = date(2027, 1, 15)


def fill(store: WritingStore, since: int, count: int) -> None:
    with store.transaction() as connection:
        readings.add(
            connection,
            [Reading(at, "cup-water", 24.0, Quality.GOOD) for at in range(since, since + 60 * count, 60)],
        )
        runs.keep_station_file(connection, since, "[station]")


def delete(state: Path) -> None:
    (state / FILE_NAME).unlink()


def delete_all(state: Path) -> None:
    for path in state.glob(f"{FILE_NAME}*"):
        path.unlink()


def delete_folder(state: Path) -> None:
    shutil.rmtree(state)


def replace(state: Path) -> None:
    """By a store of another day, as who puts a backup back does, or an editor."""
    other = state / "other"
    other.mkdir()
    with closing(WritingStore(other)) as store:
        fill(store, NOW - 9_000_000, 3)
    (other / FILE_NAME).rename(state / FILE_NAME)
    shutil.rmtree(other)


def spoil(state: Path) -> None:
    (state / "note").write_bytes(b"no database at all" * 100)
    (state / "note").rename(state / FILE_NAME)


@pytest.mark.parametrize("hurt", [delete, delete_all, delete_folder, replace, spoil])
def test_a_store_deleted_or_replaced_while_it_is_open_is_put_back_with_all_that_was_acknowledged(
    tmp_path: Path, hurt: Callable[[Path], None]
) -> None:
    state, began_anew = tmp_path / "state", list[bool]()
    state.mkdir()
    store = WritingStore(state)
    fill(store, NOW - 60_000, 100)
    watch = StoreWatch(store, lambda: began_anew.append(True))
    watch.after_beat(NOW)
    assert began_anew == []
    hurt(state)
    fill(store, NOW - 30_000, 100)  # the beat that is acknowledged into a file that is nowhere
    watch.after_beat(NOW)
    assert began_anew == [True]
    fill(store, NOW - 10_000, 10)  # and what is still finished before the end
    close(store, NOW)
    with closing(open_store(state, NOW + 15)) as again:
        (count,) = again.connection.execute("SELECT count(*) FROM reading").fetchone()
        assert count == 210
        assert again.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        told = mishaps.last_store_gone(again.connection)
        assert told is not None
        found = "replaced" if hurt in (replace, spoil) else "deleted"
        kept = "station.db.broken-2027-01-15" if hurt in (replace, spoil) else None
        assert told == (1, NOW, StoreGone(found, kept, None, saved=True))
    assert kept is None or (state / kept).stat().st_size > 0


def test_a_log_deleted_under_an_open_store_is_folded_in_first(tmp_path: Path) -> None:
    store, began_anew = WritingStore(tmp_path), list[bool]()
    fill(store, NOW - 60_000, 100)
    (tmp_path / f"{FILE_NAME}-wal").unlink()
    fill(store, NOW - 30_000, 100)
    assert store.where_it_was() is Whereabouts.LOG_GONE
    StoreWatch(store, lambda: began_anew.append(True)).after_beat(NOW)
    close(store, NOW)
    assert began_anew == [True]
    with closing(open_store(tmp_path, NOW + 15)) as again:
        assert again.connection.execute("SELECT count(*) FROM reading").fetchone() == (200,)


def test_where_it_cannot_be_put_back_the_open_file_is_kept_and_it_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    state, began_anew = tmp_path / "state", list[bool]()
    state.mkdir()
    store = WritingStore(state)
    fill(store, NOW - 60_000, 100)
    state.rename(tmp_path / "elsewhere")
    state.write_text("in the way", encoding="utf-8")  # not even root makes a folder there
    watch = StoreWatch(store, lambda: began_anew.append(True))
    watch.after_beat(NOW)
    assert began_anew == []
    state.unlink()
    watch.after_beat(NOW + 60)
    assert began_anew == [True]
    close(store, NOW + 60)
    with closing(open_store(state, NOW + 75)) as again:
        assert again.connection.execute("SELECT count(*) FROM reading").fetchone() == (100,)


@pytest.mark.parametrize("backed_up", [True, False])
def test_a_store_that_is_gone_at_a_start_is_told_and_a_backup_takes_its_place(
    tmp_path: Path, backed_up: bool
) -> None:
    with closing(WritingStore(tmp_path)) as store:
        fill(store, NOW - 60_000, 100)
    if backed_up:
        back_up(tmp_path, tmp_path / BACKUPS, DAY, free=lambda _: 10**12)
    delete(tmp_path)
    with closing(open_store(tmp_path, NOW)) as store:
        (count,) = store.connection.execute("SELECT count(*) FROM reading").fetchone()
        assert count == (100 if backed_up else 0)
        backup = "station-2027-01-15.db" if backed_up else None
        assert mishaps.last_store_gone(store.connection) == (
            1,
            NOW,
            StoreGone("deleted", None, backup, False),
        )
    with closing(open_store(tmp_path, NOW + 60)) as store:
        assert store.connection.execute("SELECT count(*) FROM store_gone").fetchone() == (1,)


def test_a_folder_in_which_no_store_ever_was_begins_without_a_word(tmp_path: Path) -> None:
    with closing(open_store(tmp_path / "new", NOW)) as store:
        assert mishaps.last_store_gone(store.connection) is None


def test_the_daemon_itself_puts_its_store_back_and_says_so_in_one_letter(tmp_path: Path) -> None:
    config, state = somebody_there(tmp_path), tmp_path / "state"
    with running(config, state, hurried=True) as daemon:
        care(state, "add", "cup", "note", "--detail", "text=before")
        number = daemon.process.pid
        delete(state)
        until("the store is back", lambda: (state / FILE_NAME).exists() and gone_rows(daemon))
        until("it answers again", daemon.answers)
        care(state, "add", "cup", "note", "--detail", "text=after")
        letter = until("the letter", lambda: [*(state / "letters").glob("*-storage.eml")])[0]
        assert daemon.process.pid == number
        said = daemon.stop()
    assert said.code == 0
    assert "Traceback" not in said.err
    words = words_of(letter.read_bytes())
    assert words.subject.startswith("Records deleted, and put back")
    with closing(sqlite3.connect(state / FILE_NAME)) as connection:
        assert [deed.detail["text"] for deed in deeds.between(connection, 0, int(time.time()) + 3600)] == [
            "before",
            "after",
        ]
        assert connection.execute("SELECT count(*) FROM letter WHERE kind = 'storage'").fetchone() == (1,)


def gone_rows(daemon: Running) -> bool:
    try:
        return daemon.rows("SELECT count(*) FROM store_gone") == [(1,)]
    except sqlite3.OperationalError:
        return False
