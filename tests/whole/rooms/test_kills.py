"""Stations, a broker, two gatherers, PostgreSQL: each killed again and again, nothing is lost or doubled."""

import signal
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.kit.broker import Served, needs_a_broker, served
from tests.kit.busy_stations import BEGAN, BusyStation, CountedLine, ForgetsOnPuback
from tests.kit.command_line import until
from tests.kit.gatherers import Gathering, gather_file, gathering
from tests.kit.postgres import LOGIN, Cluster, cluster_running, needs_postgres, new_database

pytestmark = [needs_a_broker, needs_postgres]
KEYS = ("k-east", "k-north", "k-south", "k-west")
# A broker as it is by default keeps what it acknowledged for half an hour before it writes it down.
BROKER = "allow_anonymous true\nmax_queued_messages 0\npersistence true\npersistence_location {}/\n"
# So many boxes are told between one kill and the next.
BETWEEN = 25


@dataclass
class Rooms:
    """The whole of it."""

    stations: list[BusyStation]
    broker: Served
    gatherers: list[Gathering]
    cluster: Cluster
    database: str

    def told(self) -> int:
        for one in self.stations:
            one.gone()
        return sum(one.told for one in self.stations)

    def until_more_is_told(self) -> None:
        enough = self.told() + BETWEEN
        until("more boxes are told", lambda: self.told() >= enough)

    def kill_a_gatherer(self, turn: int) -> None:
        one = self.gatherers[turn % 2]
        one.kill()
        one.start()

    def kill_the_broker(self, _turn: int) -> None:
        """While both gatherers are busy with something, so that it holds boxes that it has acknowledged."""
        for one in self.gatherers:
            one.signal(signal.SIGSTOP)
        before = [station.acknowledged for station in self.stations]
        until(
            "the broker has acknowledged more",
            lambda: any(one.acknowledged > was for one, was in zip(self.stations, before, strict=True)),
        )
        self.broker.kill()
        self.broker.start()
        for one in self.gatherers:
            one.signal(signal.SIGCONT)

    def kill_the_database(self, _turn: int) -> None:
        self.cluster.kill()
        self.cluster.start()

    def end(self) -> None:
        for one in self.stations:
            one.end()
        until("every station owes nothing", lambda: all(one.gone() for one in self.stations))


KILLS: dict[str, Callable[[Rooms, int], None]] = {
    "gatherer": Rooms.kill_a_gatherer,
    "broker": Rooms.kill_the_broker,
    "database": Rooms.kill_the_database,
}


@pytest.fixture(scope="module")
def safe_cluster() -> Iterator[Cluster]:
    """It hands on what it commits, as anybody's does; the machine, which lives on, sees to the disk."""
    with cluster_running("fsync=off", "synchronous_commit=on", "full_page_writes=on") as running:
        yield running


def lived(
    folder: Path, cluster: Cluster, killed: str, times: int, line: type[CountedLine] = CountedLine
) -> Rooms:
    """Rooms that told all they owed, while one part was killed so many times."""
    (folder / "broker").mkdir()
    database = new_database(cluster)
    with ExitStack() as stack:
        broker = stack.enter_context(served(folder / "broker", BROKER.format(folder / "broker")))
        files = [
            gather_file(folder, broker.port, cluster.dsn(database, LOGIN), name) for name in ("one", "two")
        ]
        gatherers = [stack.enter_context(gathering(file)) for file in files]
        stations = [BusyStation(key, folder / key, broker.port, line) for key in KEYS]
        for one in stations:
            one.folder.mkdir()
            one.start()
        rooms = Rooms(stations, broker, gatherers, cluster, database)
        for turn in range(times):
            rooms.until_more_is_told()
            KILLS[killed](rooms, turn)
        rooms.until_more_is_told()
        rooms.end()
        # Who forgot early may owe nothing while some of it is still on its way.
        until("nothing more comes", _at_rest(rooms))
    return rooms


def _at_rest(rooms: Rooms) -> Callable[[], bool]:
    counts: list[object] = []

    def unchanged() -> bool:
        counts.append(rooms.cluster.ask("SELECT sum(last_n) FROM naupliad.station", rooms.database))
        return len(counts) > 20 and len({*map(str, counts[-20:])}) == 1

    return unchanged


# What each kind's rows are known by, and the number that they were told under.
TABLES = {
    "hour": "SELECT extract(epoch FROM at)::bigint, n FROM naupliad.hour_box",
    "estimate": "SELECT extract(epoch FROM at)::bigint, n FROM naupliad.estimate",
    "deed": "SELECT id, n FROM naupliad.deed",
    "alarm": "SELECT id, n FROM naupliad.alarm",
    "letter": "SELECT id, n FROM naupliad.letter",
}


def lost_and_doubled(rooms: Rooms) -> tuple[int, int]:
    """How many things stand in no table under the last number they were given; how many stand there twice."""
    lost = doubled = 0
    for station in rooms.stations:
        for kind, words in TABLES.items():
            of_it = f"{words} JOIN naupliad.station USING (station) WHERE key = '{station.key}'"
            rows = [(int(str(key)), int(str(n))) for key, n in rooms.cluster.ask(of_it, rooms.database)]
            kept = dict(rows)
            doubled += len(rows) - len(kept)
            given = {key: n for (of, key), n in station.given.items() if of == kind}
            lost += sum(kept.get(key) != n for key, n in given.items())
            doubled += len(kept.keys() - given.keys())
    return lost, doubled


AT = "extract(epoch FROM {0})::bigint".format
# The same question to a station's store and to the centre, where it is of one station.
CONTENTS = (
    (
        "SELECT probe, at, value, quality FROM reading WHERE at >= ? ORDER BY 1, 2",
        f"SELECT probe, {AT('at')}, value, quality FROM naupliad.reading WHERE key = '{{}}' ORDER BY 1, 2",
    ),
    (
        "SELECT id, at, deed, amount, withdrawn_at FROM deed WHERE at >= ? ORDER BY 1",
        (
            f"SELECT id, {AT('at')}, deed, amount, {AT('withdrawn_at')} FROM naupliad.deed "
            "JOIN naupliad.station USING (station) WHERE key = '{}' ORDER BY 1"
        ),
    ),
    (
        "SELECT id, at, condition, state, value FROM alarm WHERE at >= ? ORDER BY 1",
        (
            f"SELECT id, {AT('at')}, condition, state, value FROM naupliad.alarm "
            "JOIN naupliad.station USING (station) WHERE key = '{}' ORDER BY 1"
        ),
    ),
    (
        "SELECT at, quantity, p10, p50, p90 FROM estimate WHERE at >= ? ORDER BY 1, 2",
        f"SELECT {AT('at')}, quantity, p10, p50, p90 FROM naupliad.belief WHERE key = '{{}}' ORDER BY 1, 2",
    ),
    (
        "SELECT id, at, kind, state, number FROM letter WHERE at >= ? ORDER BY 1",
        (
            f"SELECT id, {AT('at')}, kind, state, number FROM naupliad.letter "
            "JOIN naupliad.station USING (station) WHERE key = '{}' ORDER BY 1"
        ),
    ),
)


def assert_the_same_stands_in_both(rooms: Rooms) -> None:
    for station in rooms.stations:
        store: sqlite3.Connection = station.store()
        for here, there in CONTENTS:
            ours: list[Any] = store.execute(here, (BEGAN,)).fetchall()
            assert ours, here
            assert rooms.cluster.ask(there.format(station.key), rooms.database) == ours
        store.close()


def assert_whole(rooms: Rooms) -> None:
    assert lost_and_doubled(rooms) == (0, 0)
    assert_the_same_stands_in_both(rooms)
    (refused,) = rooms.cluster.ask("SELECT count(*) FROM naupliad.refused", rooms.database)
    assert refused == (0,)


@pytest.mark.parametrize("killed", KILLS)
def test_three_kills_lose_and_double_nothing(killed: str, tmp_path: Path, safe_cluster: Cluster) -> None:
    assert_whole(lived(tmp_path, safe_cluster, killed, 3))


@pytest.mark.long
@pytest.mark.parametrize("killed", KILLS)
def test_twenty_kills_lose_and_double_nothing(killed: str, tmp_path: Path, safe_cluster: Cluster) -> None:
    rooms = lived(tmp_path, safe_cluster, killed, 20)
    assert_whole(rooms)
    assert sum(len(one.numbers) - len(one.given) for one in rooms.stations) > 0, "some was told anew"


def test_who_took_the_brokers_word_for_a_receipt_would_lose_boxes(
    tmp_path: Path, safe_cluster: Cluster
) -> None:
    """So the test above can fail: what is forgotten on PUBACK goes with the broker that is killed."""
    rooms = lived(tmp_path, safe_cluster, "broker", 3, ForgetsOnPuback)
    lost, doubled = lost_and_doubled(rooms)
    assert (lost > 0, doubled) == (True, 0)
