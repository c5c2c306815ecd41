"""Power cuts: the short form of tests/bench/power_cuts.py, which does a thousand."""

import sys
from pathlib import Path
from random import Random

import pytest

from tests.kit.cut_station import CutStation, nursery
from tests.kit.lost_writes import Disk, built_shim


@pytest.fixture
def shim(tmp_path: Path) -> Path:
    made = built_shim(tmp_path)
    if made is None:
        pytest.skip("no C compiler here to build tests/data/lost_writes.c with")
    return made


def test_a_station_killed_again_and_again_loses_no_finished_beat_and_no_letter(tmp_path: Path) -> None:
    with nursery() as born:
        found = CutStation(tmp_path / "station", 1, born).suffer(9)
    assert found.held, found
    assert found.cuts == 9
    assert found.beats_acknowledged > 0
    assert found.letters_sent > 0


def test_what_the_disk_had_not_written_when_the_power_went_is_missed_by_nobody(
    tmp_path: Path, shim: Path
) -> None:
    with nursery(shim) as born:
        found = CutStation(tmp_path / "station", 2, born, forgetful=True).suffer(6, till_missed=True)
    assert found.held, found
    assert 6 <= found.cuts <= 60
    assert found.beats_acknowledged > 0
    assert found.writes_lost > 0


def test_a_store_that_does_not_sync_is_found_out(tmp_path: Path, shim: Path) -> None:
    """The check of the check: the same cuts, and a store that only says that it keeps things."""
    with nursery(shim) as born:
        found = CutStation(
            tmp_path / "station", 3, born, forgetful=True, durable=False, least_beats=3
        ).suffer(4)
    assert found.beats_acknowledged > 0
    assert not found.held
    assert found.beats_lost > 0


def test_a_card_that_lies_about_what_it_has_synced_costs_beats_and_no_start(
    tmp_path: Path, shim: Path
) -> None:
    """Nothing brings back what the card dropped; but the station watches on, and tells of a broken store."""
    with nursery(shim) as born:
        found = CutStation(tmp_path / "station", 4, born, lying=True, least_beats=2).suffer(8)
    assert found.held, found
    assert found.cuts == 8
    assert found.writes_lost > 0
    assert found.beats_a_card_lied_about > 0


def test_what_was_synced_stays_and_what_was_not_may_go(tmp_path: Path) -> None:
    state, log = tmp_path / "state", tmp_path / "log"
    state.mkdir()
    log.write_bytes(_noted("w", 0, b"a" * 600) + _noted("s", 0, b"") + _noted("w", 600, b"b" * 600))
    lost = 0
    for seed in range(20):
        lost += Disk(state).cut_power(log, Random(seed))
        content = (state / "station.db").read_bytes()
        assert content[:600] == b"a" * 600
        assert set(content[600:]) <= {0, ord("b")}
        (state / "station.db").unlink()
    assert lost > 0


def _noted(kind: str, where: int, data: bytes) -> bytes:
    """A record as tests/data/lost_writes.c writes it."""
    path = b"/state/station.db"
    head = kind.encode() + len(path).to_bytes(2, sys.byteorder)
    return head + where.to_bytes(8, sys.byteorder) + len(data).to_bytes(8, sys.byteorder) + path + data
