"""Requests in their order: one that reaches weeks back is thought over a stretch at a time, between beats."""

import shutil
import threading
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from daemon.assembly import assemble
from daemon.care.deed import Deed
from daemon.inbox.asking import ask
from daemon.inbox.listening import Inbox
from daemon.requests.request_queue import RequestQueue
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from daemon.watching.snapshot.snapshots import Snapshots
from sensors.reading import Quality, Reading
from tests.kit.command_line import PATIENCE_S
from tests.kit.station import probe, station, vessel

DAY, EVERY, WEEKS_S = 86_400, 600, 14 * 86_400
BEGAN = 1_806_000_000
SHELF = station(
    probe("a-water"), probe("b-water"), vessel("a", "a-water"), vessel("b", "b-water"), every_s=EVERY
)


@dataclass
class House:
    """A station of two weeks with a socket for requests; beats are made by hand."""

    folder: Path
    now: int = BEGAN
    wake: threading.Event = field(default_factory=threading.Event)
    people: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(4))
    searches: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        if reading_store.newest_at(self.store.connection) is None:
            self._live()
        self.now = BEGAN + WEEKS_S - EVERY
        kept = Snapshots(self.folder, SHELF).found(self.store.connection, self.now)
        desks = assemble(SHELF, self.store.connection, self.now, kept)
        desks.alarms.take_up(self.now)
        self.beliefs, self.queue = (
            desks.beliefs,
            RequestQueue(self.store, desks.requests, lambda at: desks.beliefs.rebuild(["cup"], at)),
        )
        self.inbox = Inbox(self.folder / "inbox.sock", self.wake)

    def _live(self) -> None:
        with self.store.transaction() as connection:
            for vessel_id in ("a", "b"):
                deed_store.add(connection, Deed(BEGAN, vessel_id, "set", 0.05, {"lot": "x"}), BEGAN)
            deed_store.add(connection, Deed(BEGAN + DAY, "a", "top-up", 10.0, {"to": "mark"}), BEGAN + DAY)
            for at in range(BEGAN, BEGAN + WEEKS_S, EVERY):
                self.read(at)

    def read(self, at: int) -> list[Reading]:
        wave = (at // EVERY * 7919 % 13 - 6) / 16
        found = [Reading(at, f"{name}-water", 22.0 + wave, Quality.GOOD) for name in "ab"]
        reading_store.add(self.store.connection, found)
        self.now = at
        return found

    def beat(self) -> None:
        self.beliefs.feed(self.read(self.now + EVERY))

    def between(self) -> None:
        self.queue.serve(self.inbox.requests(), self.now)

    def asked(self, **words: Any) -> "Future[dict[str, Any] | None]":
        """Somebody asks, and waits; back when the request has come."""
        self.wake.clear()
        answer = self.people.submit(ask, self.folder / "inbox.sock", words, PATIENCE_S)
        assert self.wake.wait(PATIENCE_S)
        return answer

    def believed(self, vessel_id: str) -> str:
        return repr(self.beliefs.estimates(vessel_id, self.now))

    def anew(self, vessel_id: str) -> str:
        return repr(Beliefs(SHELF, self.store.connection, self.now).estimates(vessel_id, self.now))

    def deeds(self) -> list[Deed]:
        return deed_store.between(self.store.connection, 0, self.now)


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store of two weeks, and the snapshot of what is believed then: believing takes long."""
    folder = tmp_path_factory.mktemp("lived")
    house = House(folder)
    with closing(house.store), closing(house.inbox), house.people:
        Snapshots(folder, SHELF).take(house.store.connection, house.now, house.beliefs)
    return folder


@pytest.fixture
def house(lived: Path, tmp_path: Path) -> Iterator[House]:
    house = House(Path(shutil.copytree(lived, tmp_path / "state")))
    with closing(house.store), closing(house.inbox), house.people:
        yield house
        house.queue.turn_away()


LATE = {
    "ask": "correct",
    "id": 3,
    "at": BEGAN + DAY,
    "vessel": "a",
    "deed": "top-up",
    "amount": "40",
    "unit": "ml",
}
LATER = {"record": {**LATE, "ask": "record"}, "correct": LATE, "withdraw": {"ask": "withdraw", "id": 3}}
MOVED = {**LATE, "vessel": "b"}


@pytest.mark.parametrize("words", [*LATER.values(), MOVED], ids=[*LATER, "another vessel"])
def test_beats_go_on_while_a_deed_of_weeks_ago_is_thought_over(house: House, words: dict[str, Any]) -> None:
    before, answer, calls = house.deeds(), house.asked(**words), 0
    house.between()
    while not house.queue.is_empty:
        assert house.deeds() == before  # nothing of it is done before its turn
        house.beat()
        house.between()
        calls += 1
    assert calls >= 3  # two weeks in stretches
    told = answer.result(PATIENCE_S)
    assert told is not None
    assert "error" not in told
    assert house.deeds() != before
    for vessel_id in ("a", "b"):
        assert house.believed(vessel_id) == house.anew(vessel_id)


def test_what_was_thought_over_is_not_read_again(house: House) -> None:
    house.asked(**LATE)
    house.store.connection.set_trace_callback(
        lambda said: (
            house.searches.append(said) if "quality = 'good'" in said and "ORDER BY" in said else None
        )
    )
    house.between()
    while not house.queue.is_empty:
        house.searches.clear()
        house.between()
    begins = "SELECT at, probe, value FROM reading WHERE at > "
    read = [said for said in house.searches if said.startswith(begins)]
    # The last call reads the last stretch, and then what came since: nothing.
    assert read
    assert min(int(said.removeprefix(begins).split()[0]) for said in read) >= house.now - 5 * DAY


def test_a_past_that_changes_meanwhile_is_thought_over_again(house: House) -> None:
    answer = house.asked(**LATE)
    for _ in range(2):
        house.between()
    reading_store.requalify(house.store.connection, "a-water", BEGAN, BEGAN + 2 * DAY, Quality.IN_AIR)
    house.beliefs.rebuild(["a", "b"], house.now)
    while not house.queue.is_empty:
        house.between()
    assert answer.result(PATIENCE_S) is not None
    assert house.believed("a") == house.anew("a")


def test_who_comes_later_waits_for_his_turn_and_who_hung_up_is_forgotten(house: House) -> None:
    first, second = house.asked(**LATE), house.asked(ask="record", vessel="b", deed="stir", at=house.now)
    house.between()
    assert not first.done()
    assert not second.done()
    while not house.queue.is_empty:
        house.between()
    told = [answer.result(PATIENCE_S) for answer in (first, second)]
    assert [set(answer or {}) >= {"id", "changed"} for answer in told] == [True, True]


def test_what_makes_no_sense_is_refused_at_once(house: House) -> None:
    for words in (
        {"ask": "withdraw", "id": 99},
        {"ask": "withdraw", "id": 2**70},
        {"ask": "withdraw", "id": [1]},
        {"ask": "record", "vessel": "nobody's", "deed": "stir", "at": BEGAN},
        {"ask": "correct", "id": 3, "vessel": "a", "deed": "set", "at": 2**60},
        {"ask": {"x": 1}},
        {},
    ):
        answer = house.asked(**words)
        house.between()
        assert house.queue.is_empty
        assert "error" in (answer.result(PATIENCE_S) or {})


def test_who_waits_when_the_daemon_ends_hears_that_nothing_was_done(house: House) -> None:
    answer, before = house.asked(**LATE), house.deeds()
    house.between()
    house.queue.turn_away()
    assert answer.result(PATIENCE_S) == {"error": "inbox: the daemon is ending; nothing was done"}
    assert house.deeds() == before


def prepared(house: House, deeds: list[Deed]) -> None:
    while not house.beliefs.prepare({"a": deeds}, house.now):
        pass


def test_what_came_since_it_was_thought_over_counts_too(house: House) -> None:
    prepared(house, [deed for deed in house.deeds() if deed.vessel == "a"])
    for _ in range(3):
        house.beat()
    house.beliefs.rebuild(["a"], house.now)
    assert house.believed("a") == house.anew("a")


def test_what_was_thought_over_for_other_deeds_is_not_used(house: House) -> None:
    prepared(house, [Deed(BEGAN + DAY, "a", "top-up", 90.0, {"to": "mark"})])
    house.beliefs.rebuild(["a"], house.now)
    assert house.believed("a") == house.anew("a")


def test_what_a_vessel_tells_of_its_lot_stands_while_it_is_thought_over(house: House) -> None:
    looked = Deed(BEGAN + DAY, "a", "hatched", 0.9)
    deed_store.add(house.store.connection, looked, house.now)
    house.beliefs.rebuild(["a"], house.now)
    assert not house.beliefs.prepare({"a": []}, house.now)
    assert house.believed("b") == house.anew("b")
