"""Trust inside a station: what is stored, believed and alarmed is put right, also over a restart."""

import math
import random
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from daemon.alarms.conditions import AlarmKey
from daemon.app import House
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.letters.night_record import night_record
from daemon.play.story_world import PLENTY_BYTES
from daemon.post.folder import FolderCarrier
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.reading import Quality, Reading
from tests.kit.station import station_text
from tests.kit.temperatures import in_air, relaxing, shown

TEXT = station_text()
STATION = parse_station(TEXT, "station.toml")
BEGAN = 1_799_964_000  # a Thursday, 22:00 UTC: what is noticed now is told in the morning
SET = Deed(
    BEGAN - 4 * 3600,
    "cup",
    "set",
    0.05,
    {"lot": "a", "salt_g_per_l": 25.0, "volume_ml": 250.0, "light": "yes"},
)
COLD, HOT = AlarmKey("cup", "cold"), AlarmKey("cup", "hot")


class Tray:
    """A bench that says what it is told to."""

    def __init__(self) -> None:
        self.water_c, self.room_c = 24.0, 19.5
        self.quality = Quality.GOOD

    def sample(self, at: int) -> Sequence[Reading]:
        water_c = shown(self.water_c, random.Random(at))
        return [
            Reading(at, "cup-water", water_c, self.quality),
            Reading(at, "room-air", self.room_c + 0.01 * (at // 60 % 3), Quality.GOOD),
        ]

    def close(self) -> None:
        pass


class Running:
    """A house with its store, that can be closed and opened again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.tray, self.now = folder, Tray(), BEGAN
        self.open()

    def open(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        around = Surroundings(
            free_bytes=lambda: PLENTY_BYTES,
            bench=self.tray,
            clock=PlayedClock(self.now, ()),
            workers=InlineWorkers(),
            carriers={"files": FolderCarrier(self.folder)},
            folder=self.folder,
            played_deeds=lambda at: [SET] if at == BEGAN else [],
        )
        self.house = House(STATION, TEXT, self.store, around)

    def restart(self) -> None:
        self.close()
        self.open()

    def close(self) -> None:
        self.store.close()

    def beat(self, water_c: float, room_c: float = 19.5) -> None:
        self.tray.water_c, self.tray.room_c = water_c, room_c
        self.house.beat(self.now)
        self.now += 60

    def qualities(self, since: int = 0) -> list[str]:
        stored = reading_store.between(self.store.connection, since - 1, self.now)
        return [reading.quality.value for reading in stored if reading.probe == "cup-water"]


@pytest.fixture
def running(tmp_path: Path) -> Running:
    return Running(tmp_path)


def test_readings_are_distrusted_in_the_store_from_the_fall_on_and_the_belief_forgets_them(
    running: Running,
) -> None:
    with closing(running):
        for _ in range(120):
            running.beat(24.0)
        fell = running.now
        for minute in range(40):
            running.beat(in_air(24.0, 19.5)(minute))
        assert set(running.qualities(fell + 120)) == {"in-air"}
        last_c = running.house.beliefs.of("cup").last_water_c
        assert last_c == pytest.approx(24.0, abs=0.2)


def test_cold_counts_nothing_that_was_read_in_air(running: Running) -> None:
    with closing(running):
        for _ in range(120):
            running.beat(24.0)
        for minute in range(300):  # 19.5 °C, under the limit of 20 °C, for five hours
            running.beat(in_air(24.0, 19.5)(minute))
        assert not running.house.watch.alarm(COLD).active
        assert running.house.watch.alarm(COLD).run == 0
        assert running.house.watch.alarm(AlarmKey("cup", "probe", "cup-water")).active


def test_a_cold_alarm_raised_by_what_turns_out_to_be_air_is_taken_back(running: Running) -> None:
    with closing(running):
        raised = False
        for minute in range(180):  # in air from the first reading on: known when the room turns
            room_c = 18.0 + 3.0 * min(1.0, max(0, minute - 62) / 30)
            running.beat(min(19.0, room_c + 0.5) if minute < 62 else room_c + 0.5, room_c)
            raised = raised or running.house.watch.alarm(COLD).active
            if "in-air" in running.qualities(running.now - 60):
                break
        assert raised
        assert not running.house.watch.alarm(COLD).active
        held = running.store.connection.execute("SELECT state FROM letter WHERE kind = 'cold'").fetchall()
        assert held == [("held",)]
        while running.now < BEGAN + 10 * 3600:
            running.beat(21.5, 21.0)
        told = running.store.connection.execute("SELECT state FROM letter WHERE kind = 'cold'").fetchall()
        assert told == [("merged",)]  # when its morning came it had nothing left to say


def test_a_cold_alarm_that_only_air_has_cleared_stands_on_and_is_no_news(running: Running) -> None:
    """Lifted out of cold water within an hour, too slowly to be seen at once; meanwhile the room warms."""
    with closing(running):
        for minute in range(240):
            running.beat(17.5 + 0.1 * math.sin(minute / 60), 18.5 + 0.4 * math.sin(minute / 20))
        cleared = False
        for minute in range(200):
            room_c = 18.0 + 4.5 * min(1.0, minute / 150) + 0.8 * math.sin(minute / 12.7)
            lifted = min(1.0, minute / 60)
            running.beat(17.5 + lifted * (room_c + 0.05 - 17.5), room_c)
            cleared = cleared or not running.house.watch.alarm(COLD).active
            if "in-air" in running.qualities(running.now - 60):
                break
        assert cleared
        alarm = running.house.watch.alarm(COLD)
        assert (alarm.active, alarm.since) == (True, BEGAN)
        letters = running.store.connection.execute(
            "SELECT count(*) FROM letter WHERE kind = 'cold'"
        ).fetchone()
        assert letters == (1,)
        (cup,) = night_record(STATION, running.store.connection, running.now).vessels
        assert [event.kind for event in cup.open_alarms if event.kind == "cold"] == ["cold"]
        assert cup.past_alarms == ()


def test_hot_counts_a_warm_pour_as_if_it_had_been_trusted_at_once(running: Running) -> None:
    with closing(running):
        for _ in range(120):
            running.beat(24.0)
        poured = running.now
        for minute in range(20):
            running.beat(relaxing(36.0, 24.0)(minute))
        assert running.house.watch.alarm(HOT).active
        assert running.house.watch.alarm(HOT).since == poured
        assert set(running.qualities()) == {"good"}


def test_a_letter_about_what_was_made_up_for_is_of_the_moment_when_it_was_noticed(running: Running) -> None:
    with closing(running):
        for _ in range(120):
            running.beat(24.0)
        noticed: list[int] = []
        for minute in range(20):
            running.beat(relaxing(36.0, 24.0)(minute))
            noticed += [running.now - 60] * running.house.watch.alarm(HOT).active
        alarms = running.store.connection.execute("SELECT at FROM alarm WHERE condition = 'hot'").fetchall()
        letters = running.store.connection.execute("SELECT at FROM letter WHERE kind = 'hot'").fetchall()
        assert {at for (at,) in letters} == {noticed[0]}
        assert alarms[0][0] < noticed[0]


def course(folder: Path, restart_after: int | None) -> list[str]:
    """The qualities of a probe that falls out and is put back ten hours later."""
    folder.mkdir()
    with closing(Running(folder)) as running:
        for _ in range(120):
            running.beat(24.0)
        for minute in range(600):
            if minute == restart_after:
                running.restart()
            running.beat(in_air(24.0, 19.5)(minute))
        for minute in range(40):
            running.beat(relaxing(22.0, 24.0)(minute))
        return running.qualities()


def test_a_restart_in_the_fall_in_the_doubt_or_in_the_air_changes_nothing(tmp_path: Path) -> None:
    without = course(tmp_path / "without", None)
    assert without[-1] == "good"
    for restart_after in (3, 7, 590):
        assert course(tmp_path / f"after {restart_after}", restart_after) == without


def test_a_failed_reading_keeps_its_fault_when_its_neighbours_are_put_right(tmp_path: Path) -> None:
    with closing(WritingStore(tmp_path, durable=False)) as store:
        qualities = (Quality.GOOD, Quality.CRC, Quality.JUMP, Quality.RANGE)
        reading_store.add(
            store.connection, [Reading(at, "w", 20.0, quality) for at, quality in enumerate(qualities)]
        )
        reading_store.requalify(store.connection, "w", 0, 3, Quality.IN_AIR)
        found = [r.quality for r in reading_store.between(store.connection, -1, 9)]
        assert found == [Quality.IN_AIR, Quality.CRC, Quality.IN_AIR, Quality.RANGE]
