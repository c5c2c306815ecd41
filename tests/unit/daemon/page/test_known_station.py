"""The station as the guard knows it, over a store that comes, changes, is taken away and is spoiled."""

from contextlib import closing
from pathlib import Path

from daemon.page.known_station import KnownStation
from daemon.store import runs as run_store
from daemon.store.file import FILE_NAME, WritingStore
from tests.kit.station import station_text, table


def keep(folder: Path, at: int, text: str) -> None:
    with closing(WritingStore(folder)) as store:
        run_store.keep_station_file(store.connection, at, text)


def test_it_is_what_ran_last_and_stays_known_while_its_records_are_gone(tmp_path: Path) -> None:
    known = KnownStation(tmp_path)
    assert known() is None
    keep(tmp_path, 1, station_text())
    first = known()
    assert first is not None
    assert first.page.reading == "all"
    assert known() is first  # not read anew
    keep(tmp_path, 2, station_text() + "\n" + table("[page]", reading="pin"))
    second = known()
    assert second is not None
    assert second.page.reading == "pin"
    (tmp_path / FILE_NAME).rename(tmp_path / "away")
    assert known() is second
    (tmp_path / FILE_NAME).write_bytes(b"spoiled" * 1000)
    assert known() is second
    assert KnownStation(tmp_path)() is None
