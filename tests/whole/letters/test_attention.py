"""What people are asked to heed, by a station at work in played time: what was promised comes, in good time,
and by the letter's own numbers.
"""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from daemon.alarms.conditions import AlarmKey
from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.letters.promise import next_planned
from daemon.post.folder import FolderCarrier
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.probe_bench import InlineBench
from tests.kit.cold_tray import HOUR, MIDDAY, STATION, TEXT, Water, course

pytestmark = pytest.mark.usefixtures("undrawn")

SLOW = replace(STATION, sample_every_s=900)
DAY = 24  # MIDDAY is that of a Wednesday


@dataclass
class Life:
    """A station at work, and what it announced at each hour."""

    station: Station
    house: House
    store: WritingStore
    clock: PlayedClock
    announced: set[int] = field(default_factory=set)

    def until(self, hours: float) -> None:
        """Beat until so many hours after Wednesday's midday."""
        Loop(
            self.house,
            self.clock,
            self.station.sample_every_s,
            threading.Event(),
            next_job_s=self.house.next_job_s,
            until_s=MIDDAY + round(hours * HOUR),
            listeners=[Listener(self._listen)],
        ).run()

    def _listen(self, at: int) -> None:
        if at % HOUR == 0:
            planned = next_planned(self.station, self.store.connection, at)
            self.announced |= set() if planned is None else {planned.at}

    def went(self, *kinds: str) -> list[LetterRow]:
        rows = letter_store.in_state(self.store.connection, "sent")
        return [row for row in rows if not kinds or row.kind in kinds]


@contextmanager
def life(
    folder: Path,
    water_c: Callable[[int], float],
    station: Station = SLOW,
    *,
    began: int = MIDDAY,
    sets: bool = True,
) -> Iterator[Life]:
    deeds = [Deed(MIDDAY - 4 * HOUR, "tray", "set", 0.05, {"salt_g_per_l": 25.0})] if sets else []
    clock, store = PlayedClock(began), WritingStore(folder, durable=False)
    around = Surroundings(
        bench=InlineBench([Water(water_c)]),
        clock=clock,
        workers=InlineWorkers(),
        carriers={"folder": FolderCarrier(folder)},
        folder=folder,
        free_bytes=lambda: 20_000_000_000,
        played_deeds=lambda at: [deeds.pop(0) for _ in range(len(deeds)) if deeds[0].at <= at],
    )
    yield Life(station, House(station, TEXT, store, around), store, clock)
    store.close()


def hours(row: LetterRow) -> float:
    """When a letter went, in hours after Wednesday's midday."""
    return ((row.sent_at or 0) - MIDDAY) / HOUR


def warm(_at: int) -> float:
    return 24.0


@pytest.mark.parametrize("sets", [True, False])
@pytest.mark.parametrize("nightly", [True, False])
def test_each_announced_moment_brings_a_letter_at_its_minute(
    tmp_path: Path, nightly: bool, sets: bool
) -> None:
    station = replace(SLOW, sample_every_s=HOUR, post=replace(SLOW.post, nightly=nightly))
    with life(tmp_path, warm, station, sets=sets) as here:
        here.until(2.5 * DAY)
        went = [row.sent_at or 0 for row in here.went()]
        now = MIDDAY + round(2.5 * DAY) * HOUR
    due = {moment for moment in here.announced if moment < now}
    assert bool(here.announced) is (nightly or sets), "where nothing is sure to come, nothing is announced"
    for moment in due:
        assert any(moment <= at < moment + 60 for at in went), moment


def test_water_that_is_back_inside_its_limit_makes_no_letter_until_it_leaves_it_again(tmp_path: Path) -> None:
    # Cold from ten in the evening; from seven on inside the half degree; from ten on colder again.
    night = course((10, 21.0), (10.2, 19.0), (18.9, 19.0), (19.0, 20.2), (22.0, 20.2), (22.2, 19.5))
    with life(tmp_path, night) as here:
        here.until(24)
        assert here.house.watch.alarm(AlarmKey("tray", "cold")).active
        (cold,) = here.went("cold")
    assert 22.0 < hours(cold) < 23.0
    assert "19.5" in cold.subject


def test_what_was_due_while_the_station_was_off_keeps_the_quiet_hours(tmp_path: Path) -> None:
    cold = course((10, 21.0), (10.2, 19.0))
    with life(tmp_path, cold) as here:
        here.until(18)
    with life(tmp_path, cold, began=MIDDAY + 37 * HOUR, sets=False) as here:  # on again at one in the morning
        here.until(45)
        again = [row for row in here.went() if hours(row) > 18]
    assert again
    assert all(hours(row) > 43 for row in again), [(row.kind, hours(row)) for row in again]


def test_who_asks_for_cold_at_any_hour_is_told_at_night(tmp_path: Path) -> None:
    asked = replace(SLOW, post=replace(SLOW.post, urgent=("cold",), urgent_after_min=120))
    with life(tmp_path, course((10, 21.0), (10.2, 19.0)), asked) as here:
        here.until(15)
        (cold,) = here.went("cold")
    assert 12.0 < hours(cold) < 12.6
