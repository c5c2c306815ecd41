"""Old readings, estimates and letters' words: what a store lets go, what it never does, and when."""

import sqlite3
import tempfile
import threading
from collections.abc import Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.config.station_file import KEEP_LEAST_DAYS
from daemon.errors import InputError
from daemon.estimates.quantile import Estimate
from daemon.store import alarms, deeds, deliveries, done_and_said, estimates, letters, mishaps, readings, runs
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from daemon.store.mishaps import CardFailure, Overlooked, SetAside
from daemon.store.runs import Outage
from daemon.store.thinning import Thinned, empty_letters, thin_stretch
from daemon.surroundings import Surroundings
from daemon.watching.nightly_thinning import NightlyThinning
from daemon.watching.old_hatches import READ_BACK_S
from daemon.workers import InlineWorkers
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix
from tests.kit.station import station, station_text

HOUR = 3600
DAY = 24 * HOUR
BEGAN = unix("2026-03-01T00:00:00+00:00")
Row = tuple[int, str, float | None, str]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    with closing(WritingStore(tmp_path)) as opened:
        yield opened


def every_minute(began: int, ended: int, probes: tuple[str, ...] = ("cup-water",)) -> list[Reading]:
    return [Reading(at, probe, 22.0, Quality.GOOD) for at in range(began, ended, 60) for probe in probes]


def keep(store: WritingStore, rows: list[Reading]) -> None:
    with store.transaction() as connection:
        readings.add(connection, rows)


def thin(store: WritingStore, before: int) -> list[Thinned]:
    found: list[Thinned] = []
    while True:
        with store.transaction() as connection:
            thinned = thin_stretch(connection, before)
        if thinned is None:
            return found
        found.append(thinned)


def kept(store: WritingStore) -> list[Row]:
    return store.connection.execute(
        "SELECT at, probe, value, quality FROM reading ORDER BY at, probe"
    ).fetchall()


def test_of_a_minutes_readings_the_one_on_the_full_hour_is_left(store: WritingStore) -> None:
    keep(store, every_minute(BEGAN, BEGAN + 3 * DAY, ("cup-water", "room-air")))
    thin(store, BEGAN + 2 * DAY)
    old = [row for row in kept(store) if row[0] < BEGAN + DAY]
    assert {row[0] for row in old} == {BEGAN + hour * HOUR for hour in range(24)}
    assert len(old) == 48


def test_where_the_full_hour_has_a_fault_the_nearest_good_reading_is_left(store: WritingStore) -> None:
    keep(
        store,
        [
            Reading(BEGAN + HOUR, "cup-water", None, Quality.ABSENT),
            Reading(BEGAN + HOUR + 600, "cup-water", 21.0, Quality.GOOD),
            Reading(BEGAN + HOUR - 300, "cup-water", 20.0, Quality.GOOD),
            Reading(BEGAN + HOUR + 60, "cup-water", 40.0, Quality.JUMP),
        ],
    )
    thin(store, BEGAN + DAY)
    assert kept(store) == [(BEGAN + HOUR - 300, "cup-water", 20.0, "good")]


def test_what_is_not_old_yet_stays_to_the_last_reading(store: WritingStore) -> None:
    keep(store, every_minute(BEGAN, BEGAN + 2 * DAY))
    before = BEGAN + DAY + 100
    young = [row for row in kept(store) if row[0] >= before]
    thin(store, before)
    assert [row for row in kept(store) if row[0] >= before] == young


def test_deeds_alarms_outages_and_letters_are_never_removed(store: WritingStore) -> None:
    keep(store, every_minute(BEGAN, BEGAN + DAY))
    with store.transaction() as connection:
        deeds.add(connection, Deed(BEGAN + 10, "cup", "set", 0.05, {"lot": "tin"}), BEGAN + 10)
        alarms.add(connection, AlarmRow(BEGAN + 20, "cup", "cold", "unacknowledged", 17.0))
        runs.add_outage(connection, Outage(BEGAN, BEGAN + 30, clock_trusted=True))
        sent(connection, BEGAN + 40, 1)
    tables = ("deed", "alarm", "outage", "delivery")
    before = {table: store.connection.execute(f"SELECT * FROM {table}").fetchall() for table in tables}
    rows = letters.between(store.connection, 0, BEGAN + DAY)
    thin(store, BEGAN + 400 * DAY)
    assert empty_letters(store.connection, BEGAN + 400 * DAY) == 1
    assert before == {
        table: store.connection.execute(f"SELECT * FROM {table}").fetchall() for table in tables
    }
    assert letters.between(store.connection, 0, BEGAN + DAY) == rows
    assert all(before.values())


def sent(connection: sqlite3.Connection, at: int, number: int, state: str = "sent") -> int:
    letter = letters.hold(connection, at, "nightly", "Tonight", at, ["cup"])
    letters.write(connection, letter, ["cup"], "Tonight", b"words", number, at)
    deliveries.queue(connection, letter, ["mail", "webhook"], at)
    by_mail, by_web = deliveries.of(connection, letter)
    deliveries.sent(connection, by_mail, at)
    if state == "sent":
        deliveries.sent(connection, by_web, at)
    elif state == "parked":
        deliveries.park(connection, by_web, "410")
    return letter


@pytest.mark.parametrize("state", ["queued", "parked"])
def test_a_letter_that_may_still_be_tried_keeps_its_words(store: WritingStore, state: str) -> None:
    letter = sent(store.connection, BEGAN, 1, state)
    assert empty_letters(store.connection, BEGAN + DAY) == 0
    assert letters.message(store.connection, letter) == b"words"


def test_a_young_letter_keeps_its_words(store: WritingStore) -> None:
    letter = sent(store.connection, BEGAN + DAY, 1)
    assert empty_letters(store.connection, BEGAN + DAY) == 0
    assert letters.message(store.connection, letter) == b"words"


def test_of_hourly_estimates_one_every_six_hours_is_left_for_each_quantity(store: WritingStore) -> None:
    keep(store, every_minute(BEGAN, BEGAN + 2 * DAY))
    believed = {"loss_ml": Estimate(1, 2, 3), "hatched_fraction": Estimate(0.1, 0.2, 0.3)}
    for vessel in ("cup", "jar"):
        for hour in range(48):
            estimates.add(store.connection, BEGAN + hour * HOUR, vessel, believed)
        estimates.add(store.connection, BEGAN + 6 * HOUR + 1, vessel, believed)  # just after a deed
    thin(store, BEGAN + DAY + 4 * HOUR)
    for vessel in ("cup", "jar"):
        for quantity in believed:
            series = estimates.series(store.connection, vessel, quantity, BEGAN, BEGAN + DAY)
            assert [row[0] - BEGAN for row in series] == [hour * HOUR for hour in (0, 6, 12, 18, 24)]


def test_no_stretch_is_longer_than_a_day_or_ten_thousand_readings_and_six_hours(store: WritingStore) -> None:
    keep(store, [Reading(at, "cup-water", 22.0, Quality.GOOD) for at in range(BEGAN, BEGAN + 2 * DAY, 5)])
    steps = thin(store, BEGAN + 2 * DAY)
    assert max(step.readings for step in steps) <= 10_000
    ends = [step.until for step in steps]
    assert ends == sorted(set(ends))
    assert max(b - a for a, b in pairwise(ends)) <= DAY


def test_a_summer_without_readings_is_leapt_over(store: WritingStore) -> None:
    keep(store, every_minute(BEGAN, BEGAN + HOUR) + every_minute(BEGAN + 90 * DAY, BEGAN + 90 * DAY + HOUR))
    assert len(thin(store, BEGAN + 100 * DAY)) <= 4
    assert len(kept(store)) == 4  # of either hour the reading on it and the one nearest the next


QUALITIES = st.sampled_from([Quality.GOOD, Quality.GOOD, Quality.ABSENT, Quality.STUCK])
READINGS = st.lists(
    st.tuples(st.integers(0, 3 * DAY), st.sampled_from(["cup-water", "room-air"]), QUALITIES),
    max_size=60,
    unique_by=lambda row: row[:2],
)


@settings(max_examples=60, deadline=None)
@given(READINGS, st.integers(-DAY, 4 * DAY))
def test_whatever_was_read_every_good_hour_keeps_its_nearest_and_all_young_stays(
    rows: list[tuple[int, str, Quality]], old: int
) -> None:
    with tempfile.TemporaryDirectory() as folder, closing(WritingStore(Path(folder), durable=False)) as store:
        keep(store, [Reading(BEGAN + at, probe, 22.0, quality) for at, probe, quality in rows])
        all_rows = kept(store)
        steps = thin(store, BEGAN + old)
        left = kept(store)
        until = steps[-1].until if steps else 0
        assert until <= max(BEGAN + old, 0)
        assert [row for row in all_rows if row[0] >= until] == [row for row in left if row[0] >= until]
        assert [row for row in left if row[0] < until] == nearest([row for row in all_rows if row[0] < until])
        assert sum(step.readings for step in steps) == len(all_rows) - len(left)
        assert not any(row[0] < BEGAN + old - 6 * HOUR for row in left if row[0] >= until)
        assert thin(store, BEGAN + old) == []


def nearest(rows: list[Row]) -> list[Row]:
    """Of every probe and hour the good row nearest to it: said again without SQL."""
    best: dict[tuple[str, int], Row] = {}
    for row in rows:
        hour = round_to_hour(row[0])
        before = best.get((row[1], hour))
        if row[3] == "good" and (before is None or abs(row[0] - hour) < abs(before[0] - hour)):
            best[(row[1], hour)] = row
    return sorted(best.values())


def round_to_hour(at: int) -> int:
    down = at - at % HOUR
    return down if at - down < HOUR / 2 else down + HOUR


# The night's job ----------------------------------------------------------------------------------------

TEXT = station_text(keep_readings_days=100)
STATION = parse_station(TEXT, "station.toml")
FOUR = unix("2026-11-25T04:00:00+00:00")  # Lisbon keeps UTC in winter


class Water:
    """A bench that always reads well."""

    def sample(self, at: int) -> list[Reading]:
        return [Reading(at, "cup-water", 22.0, Quality.GOOD), Reading(at, "room-air", 21.0, Quality.GOOD)]

    def close(self) -> None:
        """Nothing is held."""


def live(folder: Path, began: int, ended: int) -> list[int]:
    """Let the whole station live through a stretch of played time; its beats."""
    beats: list[int] = []
    with closing(WritingStore(folder, durable=False)) as store:
        clock = PlayedClock(began)
        around = Surroundings(
            bench=Water(),
            clock=clock,
            workers=InlineWorkers(),
            carriers={},
            folder=folder,
            free_bytes=lambda: 10**10,
        )
        house = House(STATION, TEXT, store, around)
        Loop(
            house,
            house.clock,
            60,
            threading.Event(),
            next_job_s=house.next_job_s,
            until_s=ended,
            listeners=[Listener(beats.append)],
        ).run()
    return beats


def count(folder: Path, began: int, ended: int) -> int:
    with closing(sqlite3.connect(folder / "station.db")) as connection:
        row = connection.execute("SELECT count(*) FROM reading WHERE at >= ? AND at < ?", (began, ended))
        return int(row.fetchone()[0])


def test_the_station_thins_between_four_and_five_and_misses_no_beat(tmp_path: Path) -> None:
    old = FOUR - 103 * DAY
    with closing(WritingStore(tmp_path, durable=False)) as store:
        keep(store, every_minute(old, old + 2 * DAY, ("cup-water", "room-air")))
    live(tmp_path, FOUR - 1200, FOUR - 60)
    assert count(tmp_path, old, old + 2 * DAY) == 2 * 2 * 1440
    beats = live(tmp_path, FOUR - 60, FOUR + 600)
    assert beats == list(range(FOUR - 60, FOUR + 601, 60))
    assert count(tmp_path, old, old + 2 * DAY) <= 2 * 49


def test_a_station_that_was_off_at_four_thins_the_next_night(tmp_path: Path) -> None:
    old = FOUR - 103 * DAY
    with closing(WritingStore(tmp_path, durable=False)) as store:
        keep(store, every_minute(old, old + HOUR))
    live(tmp_path, FOUR + 2 * HOUR, FOUR + 2 * HOUR + 600)
    assert count(tmp_path, old, old + DAY) == 60


def test_what_seems_old_by_a_clock_that_is_not_sure_stays(store: WritingStore) -> None:
    keep(store, every_minute(FOUR - 200 * DAY, FOUR - 200 * DAY + HOUR))
    keeping = NightlyThinning(STATION, store, lambda: False)
    keeping.begin(FOUR)
    keeping.step(FOUR + 60)
    assert len(kept(store)) == 60


def test_a_disk_that_takes_nothing_more_does_not_end_the_watch(store: WritingStore) -> None:
    keep(store, every_minute(FOUR - 200 * DAY, FOUR - 200 * DAY + HOUR))
    store.connection.execute("PRAGMA query_only = ON")  # every write is refused
    keeping = NightlyThinning(STATION, store, lambda: True)
    keeping.begin(FOUR)
    keeping.step(FOUR + 60)
    store.connection.execute("PRAGMA query_only = OFF")
    assert len(kept(store)) == 60


def test_no_station_can_be_told_to_thin_what_beliefs_are_made_of() -> None:
    assert KEEP_LEAST_DAYS * DAY > READ_BACK_S
    assert STATION.keep_readings_days == KEEP_LEAST_DAYS
    assert station().keep_readings_days == 400
    with pytest.raises(InputError, match="found 99; allowed: a whole number from 100 to 4000 days"):
        station(keep_readings_days=99)


@pytest.mark.long
def test_the_log_beside_the_store_is_cut_back_after_a_large_write(store: WritingStore) -> None:
    log = store.path.with_name("station.db-wal")
    keep(store, every_minute(BEGAN, BEGAN + 300 * DAY))
    assert log.stat().st_size > 2 * 2**20
    for extra in range(3):
        keep(store, every_minute(BEGAN + (301 + extra) * DAY, BEGAN + (301 + extra) * DAY + 60))
    assert log.stat().st_size <= 2**20


def test_the_ledgers_lose_what_is_old_and_what_befell_store_and_station_file_stays(
    store: WritingStore,
) -> None:
    aside = SetAside("station.db.broken-2026-03-01", "no database", None)
    overlooked = Overlooked("/etc/naupliad/station.toml", ("one", "two"))
    with store.transaction() as connection:
        mishaps.keep_set_aside(connection, aside, FOUR - 300 * DAY)
        mishaps.keep_overlooked(connection, overlooked, FOUR - 300 * DAY)
        for days in (300, 99):
            mishaps.keep_card_failure(connection, CardFailure("full", days), FOUR - days * DAY)
            done_and_said.say_once(connection, "outage", str(days), FOUR - days * DAY)
        for hour in range(200 * 24):
            at = FOUR - hour * HOUR
            done_and_said.begin_job(connection, "estimates", done_and_said.slot_of(at), at)
    keeping = NightlyThinning(STATION, store, lambda: True)
    keeping.begin(FOUR)
    for minute in range(30):
        keeping.step(FOUR + minute * 60)
    oldest = store.connection.execute("SELECT min(at) FROM job_run WHERE job = 'estimates'").fetchone()[0]
    assert FOUR - 100 * DAY <= oldest < FOUR - 99 * DAY
    assert mishaps.last_set_aside(store.connection) == (FOUR - 300 * DAY, aside)
    assert mishaps.overlooked(store.connection) == (FOUR - 300 * DAY, overlooked)
    assert store.connection.execute("SELECT what, about FROM said_once").fetchall() == [("outage", "99")]
    assert store.connection.execute("SELECT began FROM card_failure").fetchall() == [(99,)]
    # What was just done is not done again.
    assert not done_and_said.begin_job(store.connection, "estimates", done_and_said.slot_of(FOUR), FOUR)


def test_a_new_store_has_small_pages_and_an_older_one_keeps_its_own(tmp_path: Path) -> None:
    size = "PRAGMA page_size"
    (tmp_path / "new").mkdir()
    with closing(WritingStore(tmp_path / "new")) as new:
        assert new.connection.execute(size).fetchone() == (512,)
    with closing(sqlite3.connect(tmp_path / "station.db")) as older:
        older.execute("PRAGMA page_size = 4096")
        older.execute("CREATE TABLE something (made TEXT)")
    with closing(WritingStore(tmp_path)) as older_store:
        keep(older_store, every_minute(BEGAN, BEGAN + HOUR))
        assert older_store.connection.execute(size).fetchone() == (4096,)
        assert len(kept(older_store)) == 60
