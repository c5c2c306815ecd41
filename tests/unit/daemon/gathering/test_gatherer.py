"""A gatherer at work, with a real broker and a real PostgreSQL: what is told is kept, whoever is killed."""

import logging
import re
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
from collections.abc import Callable, Iterator
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from daemon.gathering import arrivals
from daemon.gathering.arrivals import MOST_UNDER_WAY, MOST_WAITING, Arrival, Arrivals
from daemon.gathering.database import connect
from daemon.gathering.gatherer import Gatherer
from daemon.gathering.keeping import BoxKeeping
from daemon.gathering.line import GatherLine
from daemon.gathering.plan import read_plan
from daemon.record.box import Box
from daemon.running.service_notices import ServiceNotices
from tests.kit.broker import Served, needs_a_broker, served
from tests.kit.command_line import until
from tests.kit.gatherers import GROUP, ROOMY, TellingStation, gather_file, gathering, telling
from tests.kit.mail_server import certify
from tests.kit.postgres import LOGIN, Cluster, needs_postgres, new_database

HOUR = 1_800_000_000


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Served]:
    folder = tmp_path / "broker"
    folder.mkdir()
    with served(folder, ROOMY) as running:
        yield running


@pytest.fixture
def database(cluster: Cluster) -> str:
    return new_database(cluster)


@pytest.fixture
def config(tmp_path: Path, broker: Served, cluster: Cluster, database: str) -> Callable[[str], Path]:
    return lambda name: gather_file(tmp_path, broker.port, cluster.dsn(database, LOGIN), name)


def hour(n: int) -> Box:
    said = {"measure": "water_c", "vessel": "a", "first": 0, "values": [float(n % 30)], "quality": "good"}
    return Box(n, "hour", {"at": HOUR + 3600 * n, "every_s": 60, "probes": {"p": said}})


def all_are_kept(station: TellingStation) -> None:
    """It sends again what it has no receipt for, as a station does."""

    def owes_nothing() -> bool:
        return not station.owed or not station.tell_again()

    until("all are kept", owes_nothing)


def kept(cluster: Cluster, database: str) -> list[Any]:
    rows = cluster.ask(
        "SELECT key, n, value[1] FROM naupliad.hour JOIN naupliad.station USING (station) ORDER BY key, n",
        database,
    )
    return [(key, n, value) for key, n, value in rows]


def expected(key: str, numbers: range) -> list[Any]:
    return [(key, n, float(n % 30)) for n in numbers]


@needs_a_broker
@needs_postgres
def test_what_is_told_is_kept_and_receipted_and_what_is_no_box_holds_nothing_up(
    broker: Served, cluster: Cluster, database: str, config: Callable[[str], Path]
) -> None:
    with gathering(config("one")) as gatherer, telling(broker.port, "east") as station:
        station.send(b"no box")
        station.tell(Box(900, "deed", {"id": 1}), *map(hour, range(1, 30)))
        station.send(b"neither", qos=0)
        until("all are receipted", lambda: not station.owed)
        assert kept(cluster, database) == expected("east", range(1, 30))
        refused = "SELECT reason, payload, box->>'n' FROM naupliad.refused ORDER BY reason"
        until("both are set aside", lambda: len(cluster.ask(refused, database)) == 3)
        reasons = cluster.ask(refused, database)
        assert [row[1] for row in reasons] == [b"no box", b"neither", None]
        assert reasons[2][2] == "900"
        assert gatherer.stop() == 0
        assert gatherer.said("WARNING") == gatherer.said("ERROR") == 0


@needs_a_broker
@needs_postgres
def test_a_gatherer_that_is_killed_loses_nothing_whoever_was_its_fellow(
    broker: Served, cluster: Cluster, database: str, config: Callable[[str], Path]
) -> None:
    with (
        gathering(config("one")) as one,
        gathering(config("two")) as two,
        telling(broker.port, "east") as station,
    ):
        station.tell(*map(hour, range(1, 150)))
        one.kill()
        station.tell(*map(hour, range(150, 300)))
        all_are_kept(station)
        assert kept(cluster, database) == expected("east", range(1, 300)), "by the other alone"
        two.kill()
        one.start()
        station.tell(*map(hour, range(300, 350)))
        all_are_kept(station)
        assert kept(cluster, database) == expected("east", range(1, 350))


@needs_a_broker
@needs_postgres
def test_while_the_database_is_killed_nothing_is_acknowledged_and_one_line_says_so(
    broker: Served, cluster: Cluster, database: str, config: Callable[[str], Path]
) -> None:
    with gathering(config("one")) as gatherer, telling(broker.port, "east") as station:
        for numbers, killed_too in ((range(1, 50), False), (range(50, 250), True)):
            cluster.kill()
            try:
                station.tell(*map(hour, numbers))
                gatherer.until_it_said("nothing is acknowledged", 1 + killed_too)
                assert {*station.owed} == {*numbers}
                if killed_too:
                    gatherer.kill()
            finally:
                cluster.start()
            if killed_too:
                gatherer.start()
            # Not sent again by the station: the broker held what was not acknowledged.
            until("all are receipted", lambda: not station.owed)
        assert kept(cluster, database) == expected("east", range(1, 250))
        assert gatherer.said("nothing is acknowledged") == 2
        assert gatherer.said("is there again") == 1


@needs_a_broker
@needs_postgres
def test_a_broker_that_is_away_costs_one_line_and_its_boxes_come_when_it_is_back(
    broker: Served, cluster: Cluster, database: str, config: Callable[[str], Path]
) -> None:
    with gathering(config("one")) as gatherer:
        broker.stop()
        gatherer.until_it_said("it is tried again")
        broker.start()
        gatherer.until_it_said("is reached", 2)
        with telling(broker.port, "east") as station:
            station.tell(hour(1))
            all_are_kept(station)
        assert kept(cluster, database) == expected("east", range(1, 2))
        assert gatherer.said("WARNING") == 1


@needs_a_broker
@needs_postgres
def test_it_counts_every_five_minutes_and_feeds_the_watchdog(
    broker: Served, cluster: Cluster, config: Callable[[str], Path], caplog: pytest.LogCaptureFixture
) -> None:
    plan = read_plan(config("one"))
    monotonic_s = count(0, 200).__next__  # each look at the clock is minutes later
    stop = threading.Event()
    caplog.set_level(logging.INFO)
    with (
        tempfile.TemporaryDirectory() as folder,
        socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager,
        telling(broker.port, "east") as station,
    ):
        manager.bind(f"{folder}/notify")
        keeping, line = BoxKeeping(partial(connect, plan, {})), GatherLine(plan, None)
        notices = ServiceNotices({"NOTIFY_SOCKET": f"{folder}/notify"})
        gatherer = Gatherer(line, keeping, stop, notices, clock=monotonic_s)
        running = threading.Thread(target=gatherer.run)
        running.start()
        until("it listens", lambda: "is reached" in caplog.text)
        station.tell(*map(hour, range(1, 4)))
        all_are_kept(station)
        counts = re.compile(
            r"in 5 min (\d+) boxes kept, 0 refused, (\d+) transactions, the longest \d+\.00 s; 0 wait"
        )
        until("they are counted", lambda: sum(int(kept) for kept, _ in counts.findall(caplog.text)) >= 3)
        stop.set()
        running.join()
        line.close()
        keeping.close()
        manager.setblocking(False)
        assert manager.recv(100) == b"READY=1"
        assert manager.recv(100) == b"WATCHDOG=1"


@needs_a_broker
@needs_postgres
def test_a_broker_with_certificate_and_passwords_is_reached_and_no_secret_is_said(
    cluster: Cluster, database: str, tmp_path: Path
) -> None:
    tool = shutil.which("mosquitto_passwd")
    if tool is None:
        pytest.skip("no mosquitto_passwd here")
    papers = certify(tmp_path, "localhost")
    secrets = tmp_path / "right", tmp_path / "wrong"
    for file, secret in zip(secrets, ("nine-tide-pools", "ten-tide-pools"), strict=True):
        file.write_text(f"{secret}\n")
    users = tmp_path / "users"
    subprocess.run(
        [tool, "-b", "-c", users, "gatherer-one", "nine-tide-pools"], check=True, capture_output=True
    )
    for file in (users, tmp_path / "localhost.key", papers.file):
        file.chmod(0o644)
    settings = f"allow_anonymous false\npassword_file {users}\n"
    settings += f"certfile {papers.file}\nkeyfile {tmp_path}/localhost.key\n"
    with served(tmp_path, settings) as broker:
        config = gather_file(tmp_path, broker.port, cluster.dsn(database, LOGIN))
        text = config.read_text().replace('"plain-on-loopback"', '"tls"\nuser = "gatherer-one"')
        config.write_text(text)
        right, wrong = ({"NAUPLIAD_MQTT_PASSWORD_FILE": str(secret)} for secret in secrets)
        trusted = {"SSL_CERT_FILE": str(papers.file)}
        for says, environ in (
            ("is reached", {**trusted, **right}),
            ("refused the connection: Not authorized", {**trusted, **wrong}),
            ("cannot be reached", right),
        ):
            with gathering(config, says, **environ) as gatherer:
                assert gatherer.stop() == 0
        assert "tide-pools" not in gatherer.log()
        assert GROUP not in gatherer.log()


@needs_a_broker
def test_no_more_comes_than_may_be_under_way_and_what_was_not_acknowledged_comes_again(
    broker: Served, tmp_path: Path
) -> None:
    plan = read_plan(gather_file(tmp_path, broker.port, "dbname=none"))
    first = GatherLine(plan, None, retry_s=(1, 1))
    with telling(broker.port, "east") as station:
        until("it listens", lambda: _is_heard(station, first))
        station.tell(*map(hour, range(1, 251)))
        until("it is full", lambda: len(first.arrivals) == MOST_UNDER_WAY)
        heap = first.arrivals.take(0)
        assert first.arrivals.take(0.2) == [], "the rest waits at the broker"
        first.acknowledge(heap[:40])
        first.close()
        again = GatherLine(plan, None, retry_s=(1, 1))
        owed = {*station.owed.values()} - {one.payload for one in heap[:40]}
        come: set[bytes] = set()

        def rest_has_come() -> bool:
            heap = again.arrivals.take(0.1)
            come.update(one.payload for one in heap)
            again.acknowledge(heap)
            return come >= owed

        until("what was not acknowledged has come again, and the rest", rest_has_come)
        again.close()


@needs_a_broker
def test_a_broker_that_sends_more_than_there_is_room_for_fills_no_memory_and_nothing_is_lost(
    broker: Served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arrivals, "MOST_WAITING", 60)
    line = GatherLine(read_plan(gather_file(tmp_path, broker.port, "dbname=none")), None, retry_s=(1, 1))
    with telling(broker.port, "east") as station:
        until("it listens", lambda: _is_heard(station, line))
        station.tell(*map(hour, range(1, 301)))
        come: set[bytes] = set()

        def all_have_come() -> bool:
            assert len(line.arrivals) <= 60
            heap = line.arrivals.take(0.1)
            come.update(one.payload for one in heap)
            if heap:
                line.acknowledge(heap)
            else:
                line.ask_for_the_rest()
            return come >= {*station.owed.values()}

        until("it is full", lambda: len(line.arrivals) == 60)
        until("all have come", all_have_come)
    line.close()


def _is_heard(station: TellingStation, line: GatherLine) -> bool:
    station.send(b"are you there", qos=0)
    heard = line.arrivals.take(0.1)
    return bool(heard) and not line.arrivals.take(0.5)


def test_what_needs_no_acknowledgement_fills_no_memory_and_takes_no_room_from_what_does() -> None:
    some = Arrivals()
    taken = [some.put(Arrival("t", b"", 0, 0, 1)) for _ in range(1000)]
    assert taken.count(True) == MOST_UNDER_WAY
    assert all(some.put(Arrival("t", b"", n, 1, 1)) for n in range(MOST_UNDER_WAY))
    assert [some.put(Arrival("t", b"", n, 1, 1)) for n in range(MOST_WAITING)].count(True) == 800
    assert len(some.take(0)) == MOST_UNDER_WAY
    some.forget()
    assert [some.put(Arrival("t", bytes(10**7), n, 1, 1)) for n in range(9)].count(True) == 5, "50 MB"
    assert len(some.take(0)) == 5
    assert some.put(Arrival("t", bytes(10**7), 9, 1, 1))


@needs_a_broker
@needs_postgres
def test_a_signal_ends_it_even_while_the_database_is_away(
    broker: Served, cluster: Cluster, tmp_path: Path
) -> None:
    nowhere = gather_file(tmp_path, broker.port, f"host={tmp_path} dbname=none")
    with gathering(nowhere) as gatherer:
        gatherer.until_it_said("it is tried again")
        assert gatherer.process is not None
        gatherer.process.send_signal(signal.SIGTERM)
        assert gatherer.process.wait(60) == 0
