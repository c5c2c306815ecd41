"""What a tin has told in one term is known in the next: hatches older than the readings read at a start."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.care.deed import Deed
from daemon.estimates.hatch.lots import NEWEST, REMEMBERED_S
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from daemon.watching.old_hatches import READ_BACK_S
from sensors.reading import Quality, Reading
from tests.kit.desks import tray_station

STATION = tray_station("tray", "jar")
NOW = 1_800_316_800  # 2027-01-19 00:00 UTC, a Tuesday
DAY, HOUR, STEP = 86_400, 3600, 600
LAST_TERM = NOW - 150 * DAY
LOOKS = ((12, "first-swimmer", None), (15, "hatched", 0.5), (20, "hatched", 0.9))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path)
    yield store
    store.close()


def add(store: WritingStore, deed: Deed) -> int:
    with store.transaction() as connection:
        return deed_store.add(connection, deed, deed.at)


def hatch(
    store: WritingStore, vessel: str, set_at: int, *, lot: str = "spring", water_c: float = 25.0
) -> int:
    """A batch that people looked at and ended; the number of its last look."""
    with store.transaction() as connection:
        moments = range(set_at - HOUR, set_at + 24 * HOUR, STEP)
        reading_store.add(connection, [Reading(at, "water", water_c, Quality.GOOD) for at in moments])
    add(store, Deed(set_at, vessel, "set", 0.5, {"lot": lot, "salt_g_per_l": 25.0}))
    ids = [add(store, Deed(set_at + hours * HOUR, vessel, deed, amount)) for hours, deed, amount in LOOKS]
    add(store, Deed(set_at + 23 * HOUR, vessel, "end"))
    return ids[-1]


def new_batch(store: WritingStore) -> None:
    """The batch that is asked of, in the tray, set two hours ago."""
    with store.transaction() as connection:
        moments = range(NOW - 5 * DAY, NOW + 1, STEP)
        reading_store.add(connection, [Reading(at, "water", 25.0, Quality.GOOD) for at in moments])
    add(store, Deed(NOW - 2 * HOUR, "tray", "set", 0.5, {"lot": "spring", "salt_g_per_l": 25.0}))


def width_h(store: WritingStore) -> float:
    """How wide the time is believed at which half of the new batch has hatched."""
    found = Beliefs(STATION, store.connection, NOW).estimates("tray", NOW)["hatch_t50"]
    return (found.p90 - found.p10) / HOUR


def alone_h(store: WritingStore) -> float:
    new_batch(store)
    return width_h(store)


@pytest.mark.parametrize("vessel", ["tray", "jar"])
def test_a_tin_opened_last_term_is_known_this_term(store: WritingStore, vessel: str) -> None:
    alone = alone_h(store)
    hatch(store, vessel, LAST_TERM)
    assert width_h(store) < 0.6 * alone


def test_an_old_hatch_tells_by_the_water_it_had(store: WritingStore) -> None:
    """The same looks in cooler water speak of a quicker lot."""
    new_batch(store)
    hatch(store, "jar", LAST_TERM, water_c=21.0)
    quicker = Beliefs(STATION, store.connection, NOW).estimates("tray", NOW)["hatch_t50"]
    hatch(store, "jar", LAST_TERM + 10 * DAY, water_c=25.0)
    assert quicker.p50 < Beliefs(STATION, store.connection, NOW).estimates("tray", NOW)["hatch_t50"].p50


def test_another_lot_teaches_nothing_and_nor_does_one_of_two_years_ago(store: WritingStore) -> None:
    alone = alone_h(store)
    hatch(store, "jar", LAST_TERM, lot="autumn")
    hatch(store, "jar", NOW - REMEMBERED_S - DAY)
    assert width_h(store) == alone


def test_a_look_of_last_term_that_is_withdrawn_now_is_unlearned(store: WritingStore) -> None:
    new_batch(store)
    last = hatch(store, "jar", LAST_TERM)
    beliefs = Beliefs(STATION, store.connection, NOW)
    before = beliefs.estimates("tray", NOW)["hatch_t50"]
    with store.transaction() as connection:
        deed_store.withdraw(connection, last, NOW)
    beliefs.rebuild(["jar"], NOW)
    after = beliefs.estimates("tray", NOW)["hatch_t50"]
    assert after != before
    assert after == Beliefs(STATION, store.connection, NOW).estimates("tray", NOW)["hatch_t50"]


def test_looks_that_say_nothing_take_no_hatch_its_place(store: WritingStore) -> None:
    new_batch(store)
    hatch(store, "jar", LAST_TERM)
    known = width_h(store)
    for n in range(1, NEWEST + 1):
        set_at = LAST_TERM + n * 2 * DAY
        add(store, Deed(set_at, "jar", "set", 0.5, {"lot": "spring", "salt_g_per_l": 25.0}))
        add(store, Deed(set_at + 12 * HOUR, "jar", "count"))  # of how many nobody wrote down
        add(store, Deed(set_at + 23 * HOUR, "jar", "end"))
    assert width_h(store) == known


def test_a_hatch_tells_the_same_when_it_has_grown_too_old_to_be_read_whole(tmp_path: Path) -> None:
    widths = []
    for name, age in (("young", READ_BACK_S - DAY), ("old", READ_BACK_S + DAY)):
        (tmp_path / name).mkdir()
        store = WritingStore(tmp_path / name)
        new_batch(store)
        hatch(store, "jar", NOW - age)
        widths.append(width_h(store))
        store.close()
    assert widths[1] == pytest.approx(widths[0], rel=0.02)


# --- deeds from before the days that are read


def test_batches_that_were_over_before_the_days_that_are_read_change_nothing(store: WritingStore) -> None:
    new_batch(store)
    over_at = NOW - 300 * DAY
    add(store, Deed(over_at, "tray", "end"))
    before = Beliefs(STATION, store.connection, NOW).estimates("tray", NOW)
    for year in (0, 1, 2):
        set_at = over_at - 30 * DAY - year * 365 * DAY
        add(store, Deed(set_at, "tray", "set", 0.5, {"salt_g_per_l": 25.0}))
        for week in range(1, 5):
            add(store, Deed(set_at + week * 7 * DAY, "tray", "top-up", 30.0, {"to": "mark"}))
        add(store, Deed(set_at + 29 * DAY, "tray", "end"))
    assert Beliefs(STATION, store.connection, NOW).estimates("tray", NOW) == before


def test_of_a_batch_that_runs_since_before_them_every_deed_counts(store: WritingStore) -> None:
    new_batch(store)
    add(store, Deed(NOW - 200 * DAY, "jar", "set", 0.5, {"salt_g_per_l": 25.0}))
    for day in range(196, 0, -7):
        add(store, Deed(NOW - day * DAY, "jar", "top-up", 30.0, {"to": "mark"}))
    before = Beliefs(STATION, store.connection, NOW).estimates("jar", NOW)["salinity_g_per_kg"]
    add(store, Deed(NOW - 150 * DAY, "jar", "brine", 100.0, {"salt_g_per_l": 100.0}))
    after = Beliefs(STATION, store.connection, NOW).estimates("jar", NOW)["salinity_g_per_kg"]
    assert after.p50 > before.p50


def test_a_batch_set_years_ago_that_nobody_ended_still_runs_and_costs_no_more(store: WritingStore) -> None:
    set_at = NOW - 10 * 365 * DAY
    new_batch(store)
    add(store, Deed(set_at, "jar", "set", 0.5, {"salt_g_per_l": 25.0}))
    before = Beliefs(STATION, store.connection, NOW).estimates("jar", NOW)
    for week in range(1, 9 * 52):
        add(store, Deed(set_at + week * 7 * DAY, "jar", "top-up", 30.0, {"to": "mark"}))
    beliefs = Beliefs(STATION, store.connection, NOW)
    running = beliefs.of("jar").running
    assert running is not None
    assert running.set_at == set_at
    assert beliefs.estimates("jar", NOW) == before
    assert len(deed_store.every(store.connection)) == 1 + 9 * 52
