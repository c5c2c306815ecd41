"""Records that are gone from their place are told from a station that was never set up."""

from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from daemon.config import parse_station
from daemon.page.site import make_site
from daemon.setting_up.place import SetUpPlace
from daemon.station import Station
from daemon.store.file import FILE_NAME, WritingStore
from tests.kit.page_station import main_of
from tests.kit.set_up_daemon import asked
from tests.kit.station import station_text

UNSET = "Nothing is watched here yet"
GONE = "The records are not in their place."


def answering(state: Path, followed: Station | None) -> AbstractContextManager[object]:
    """The desk of a daemon that watches by a station file, or waits for one, behind a real inbox."""
    return asked(SetUpPlace(state / "station.toml", state, {}, followed))


def said_at(state: Path, path: str = "/") -> str:
    answer = make_site(state).test_client().get(path)
    assert answer.status_code == 503
    return main_of(answer)


@pytest.mark.parametrize("path", ["/", "/today", "/nights", "/station", "/vessel/cup"])
def test_a_daemon_that_watches_is_asked_and_puts_its_records_back(tmp_path: Path, path: str) -> None:
    """Not even the lock is left: somebody removed all that is called after the store."""
    with answering(tmp_path, parse_station(station_text(), "station.toml")):
        said = said_at(tmp_path, path)
    assert f"{GONE} The watch puts them back at its next reading." in said
    assert UNSET not in said
    assert "Set it up" not in said


def test_without_a_daemon_the_lock_tells_that_records_stood_there(tmp_path: Path) -> None:
    WritingStore(tmp_path).close()
    (tmp_path / FILE_NAME).unlink()
    assert f"{GONE} When the watch starts, it takes its newest copy." in said_at(tmp_path)


def test_a_daemon_that_waits_for_a_station_file_leads_to_the_set_up_all_the_same(tmp_path: Path) -> None:
    WritingStore(tmp_path).close()
    (tmp_path / FILE_NAME).unlink()
    with answering(tmp_path, None):
        said = said_at(tmp_path)
    assert UNSET in said
    assert "Set it up" in said


def test_where_nothing_ever_ran_nothing_is_watched_yet(tmp_path: Path) -> None:
    assert UNSET in said_at(tmp_path)
