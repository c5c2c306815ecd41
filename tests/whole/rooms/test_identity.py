"""Who may what at a broker that is set up as docs/how-to/rooms.md says: each trespass is tried."""

import queue
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.subscribeoptions import SubscribeOptions

from daemon.record import topics
from daemon.record.box import Box, packed, receipt, receipted
from tests.kit.broker import needs_a_broker
from tests.kit.busy_stations import BusyStation
from tests.kit.command_line import PATIENCE_S, until
from tests.kit.gatherers import GROUP, Gathering, gather_file, gathering
from tests.kit.mail_server import certify
from tests.kit.page_broker import Guarded, guarded, password
from tests.kit.postgres import LOGIN, Cluster, needs_postgres, new_database

pytestmark = [needs_a_broker, needs_postgres]
HOUR = 1_800_000_000
A, B = "k7-tern", "k8-plover"
# Every second try of a box may be swallowed: a quarter of an hour between tries is over in half a second.
_IN_A_HURRY = 1800.0


class Intruder:
    """A stolen station: it knows its own user and password, and speaks MQTT as it likes."""

    def __init__(
        self, broker: Guarded, user: str, client_id: str = "", will: tuple[str, bytes] | None = None
    ) -> None:
        self.heard: queue.SimpleQueue[tuple[str, bytes]] = queue.SimpleQueue()
        self.answers: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self.connections: queue.SimpleQueue[bool] = queue.SimpleQueue()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, client_id=client_id, protocol=mqtt.MQTTv5)
        self._client.tls_set_context(broker.context)
        self._client.username_pw_set(user, password(user))
        self._client.reconnect_delay_set(1, 1)
        if will is not None:
            self._client.will_set(*will, qos=1)
        self._client.on_connect = lambda *said: self.connections.put(not said[3].is_failure)
        self._client.on_message = lambda *said: self.heard.put((said[2].topic, said[2].payload))
        self._client.on_publish = lambda *said: self.answers.put(said[3])
        self._client.on_subscribe = lambda *said: self.answers.put(said[3])
        self._client.connect("localhost", broker.port)
        self._client.loop_start()
        self.is_let_in = self.connections.get(timeout=PATIENCE_S)

    def subscribe(self, *filters: str) -> None:
        for one in filters:
            self._client.subscribe(one, options=SubscribeOptions(qos=1))
            self.answers.get(timeout=PATIENCE_S)

    def publish(self, topic: str, payload: bytes) -> bool:
        """Whether the broker took it."""
        self._client.publish(topic, payload, qos=1)
        return not self.answers.get(timeout=PATIENCE_S).is_failure

    def all_heard(self) -> list[tuple[str, bytes]]:
        found = []
        while not self.heard.empty():
            found.append(self.heard.get())
        return found

    def dies(self) -> None:
        """Its line breaks, and nobody is there to mend it."""
        assert self.is_let_in
        line = self._client.socket()
        assert line is not None
        self._client.disconnect = lambda *_, **__: mqtt.MQTT_ERR_SUCCESS
        self._client.loop_stop()
        line.close()

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@contextmanager
def intruder(broker: Guarded, user: str, **how: Any) -> Iterator[Intruder]:
    made = Intruder(broker, user, **how)
    try:
        yield made
    finally:
        made.close()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Guarded]:
    folder = tmp_path / "broker"
    folder.mkdir()
    with guarded(folder, A, B, "gatherer-one", "gatherer-two") as running:
        yield running


@pytest.fixture
def database(cluster: Cluster) -> str:
    return new_database(cluster)


@pytest.fixture
def gatherer(broker: Guarded, cluster: Cluster, database: str, tmp_path: Path) -> Iterator[Gathering]:
    with ExitStack() as stack:
        yield stack.enter_context(gathers(broker, cluster, database, tmp_path, "one"))


@contextmanager
def gathers(
    broker: Guarded,
    cluster: Cluster,
    database: str,
    folder: Path,
    name: str,
    *,
    says: str = "is reached",
    trusts: Path | None = None,
) -> Iterator[Gathering]:
    """A gatherer as the page has it, over TLS, with a user of its own."""
    user = f"gatherer-{name}"
    config = gather_file(folder, broker.port, cluster.dsn(database, LOGIN), name)
    config.write_text(config.read_text().replace('"plain-on-loopback"', f'"tls"\nuser = "{user}"'))
    secret = folder / f"{user}.password"
    secret.write_text(password(user), "utf-8")
    secret.chmod(0o600)
    environ = {"NAUPLIAD_MQTT_PASSWORD_FILE": str(secret), "SSL_CERT_FILE": str(trusts or broker.certificate)}
    with gathering(config, says, **environ) as running:
        yield running


@contextmanager
def living(broker: Guarded, folder: Path, key: str) -> Iterator[BusyStation]:
    """A station as it is, with its user and over TLS."""
    station = BusyStation(
        key, folder / key, broker.port, password=password(key), context=broker.context, hurry=_IN_A_HURRY
    )
    station.folder.mkdir()
    station.start()
    try:
        yield station
    finally:
        station.leave()
        until("it is gone", station.gone)


def deed(n: int) -> bytes:
    said = {"id": n, "at": HOUR, "vessel": "a", "deed": "stir", "detail": {}, "recorded_at": HOUR, "store": 1}
    return packed(
        Box(n, "deed", {**said, "amount": None, "unit": None, "withdrawn_at": None, "replaces": None})
    )


def kept(cluster: Cluster, database: str, key: str) -> set[Any]:
    words = f"SELECT n FROM naupliad.deed JOIN naupliad.station USING (station) WHERE key = '{key}'"
    return {n for (n,) in cluster.ask(words, database)}


@pytest.mark.usefixtures("gatherer")
def test_no_station_writes_anothers_topics_and_none_forges_receipts(
    broker: Guarded, cluster: Cluster, database: str
) -> None:
    with intruder(broker, A) as a, intruder(broker, B) as b:
        b.subscribe(topics.receipt(B))
        assert not a.publish(topics.box(B), deed(66))
        assert not a.publish(topics.receipt(B), receipt([1]))
        assert not a.publish(f"{topics.base(B)}/online", b"{}")
        assert not a.publish("anything", b"{}")
        assert a.publish(topics.box(A), deed(7))
        assert b.publish(topics.box(B), deed(8))
        assert receipted(b.heard.get(timeout=PATIENCE_S)[1]) == (8,), "the first that came"
        until("both are kept", lambda: kept(cluster, database, A) == {7})
        assert kept(cluster, database, B) == {8}


@pytest.mark.usefixtures("gatherer")
def test_no_stations_last_will_goes_where_it_may_not_write(
    broker: Guarded, cluster: Cluster, database: str
) -> None:
    with intruder(broker, B) as b:
        b.subscribe(topics.receipt(B))
        for topic, said in ((topics.receipt(B), receipt([1])), (topics.box(B), deed(66))):
            Intruder(broker, A, will=(topic, said)).dies()
        # By one that may be, it is seen to go out.
        Intruder(broker, A, will=(topics.box(A), deed(7))).dies()
        until("it is kept", lambda: kept(cluster, database, A) == {7})
        assert b.publish(topics.box(B), deed(8))
        assert receipted(b.heard.get(timeout=PATIENCE_S)[1]) == (8,), "the first that came"
        assert kept(cluster, database, B) == {8}


@pytest.mark.usefixtures("gatherer")
def test_no_station_reads_anothers_boxes_or_receipts(broker: Guarded) -> None:
    with intruder(broker, A) as a, intruder(broker, B) as b:
        everything = (
            "#",
            "+/+/+",
            "naupliad/#",
            topics.receipt(B),
            topics.box(B),
            "$share/own/naupliad/+/box",
        )
        a.subscribe(*everything, topics.receipt(A), "$SYS/#")
        b.subscribe(topics.receipt(B))
        for n in range(1, 6):
            assert b.publish(topics.box(B), deed(n))
        told: set[int] = set()
        while not told >= {1, 2, 3, 4, 5}:  # one receipt may be for several
            told.update(receipted(b.heard.get(timeout=PATIENCE_S)[1]))
        # What is A's own comes by the same line, behind whatever else would have come.
        assert a.publish(topics.box(A), deed(9))
        topic, payload = a.heard.get(timeout=PATIENCE_S)
        assert (topic, receipted(payload)) == (topics.receipt(A), (9,))
        assert {topic for topic, _ in a.all_heard()} <= {topics.receipt(A)}


def test_no_station_throws_another_off_by_its_client_id(broker: Guarded) -> None:
    with intruder(broker, B, client_id=f"naupliad-{B}") as b:
        for name in (f"naupliad-{B}", B, "naupliad-gather-one"):
            with intruder(broker, A, client_id=name) as a:
                assert a.is_let_in
                assert a.publish(topics.box(A), deed(1))
        assert b.publish(topics.box(B), deed(1))
        assert b.connections.empty(), "it never had to connect again"


@pytest.mark.usefixtures("gatherer")
@pytest.mark.parametrize("group", ["guessed-by-somebody", GROUP])
def test_who_joins_the_gatherers_starves_nobody(
    broker: Guarded, cluster: Cluster, database: str, group: str, tmp_path: Path
) -> None:
    with intruder(broker, A) as a, living(broker, tmp_path, B) as station:
        a.subscribe(f"$share/{group}/{topics.ALL_BOXES}")
        until("a hundred are told", lambda: not station.gone() and station.told > 100)
        station.end()
        until("all are told", station.gone)
        assert not a.all_heard(), "it reads none of them"
        given = {key: n for (kind, key), n in station.given.items() if kind == "deed"}
        assert kept(cluster, database, B) == {*given.values()}


def test_a_group_that_nobody_knows_gets_every_box_at_the_first_time(
    broker: Guarded, gatherer: Gathering, cluster: Cluster, database: str
) -> None:
    """And so the test above can fail: who knows the group swallows what is dealt to it."""
    for group, all_come in (("guessed-by-somebody", True), (GROUP, False)):
        numbers = set(range(1, 41)) if all_come else set(range(41, 82))
        with intruder(broker, A) as a, intruder(broker, B) as b:
            a.subscribe(f"$share/{group}/{topics.ALL_BOXES}")
            for n in sorted(numbers)[:-1]:
                assert b.publish(topics.box(B), deed(n))
            if all_come:
                until("all are kept", lambda: kept(cluster, database, B) >= {*range(1, 40)})
            else:
                a.close()
                assert b.publish(topics.box(B), deed(max(numbers)))
                until("the last is kept", lambda: max(kept(cluster, database, B)) == 81)
                assert not kept(cluster, database, B) >= numbers
    assert gatherer.said("refused") == 0


@pytest.mark.usefixtures("gatherer")
def test_who_is_revoked_is_off_at_once_and_not_let_in_again_and_the_others_stay(broker: Guarded) -> None:
    with intruder(broker, A) as a, intruder(broker, B) as b:
        b.subscribe(topics.receipt(B))
        broker.revoke(A)
        assert a.connections.get(timeout=PATIENCE_S) is False, "it was thrown off, and tried again"
        assert b.publish(topics.box(B), deed(1))
        assert receipted(b.heard.get(timeout=PATIENCE_S)[1]) == (1,)
        assert b.connections.empty()
        broker.add("k9-stint")
        with intruder(broker, "k9-stint") as new:
            assert new.is_let_in


def test_the_broker_speaks_to_nobody_in_plain_words_and_who_does_not_trust_it_tells_it_nothing(
    broker: Guarded, tmp_path: Path, cluster: Cluster, database: str
) -> None:
    with socket.create_connection(("127.0.0.1", broker.port), timeout=PATIENCE_S) as plain:
        # MQTT 5, 3.1: a CONNECT with a clean start and no client id.
        plain.sendall(b"\x10\x0d\x00\x04MQTT\x05\x02\x00\x3c\x00\x00\x00")
        with suppress(ConnectionResetError):
            assert not plain.recv(4).startswith(b"\x20"), "CONNACK (3.2)"
    somebody_else = certify(tmp_path, "localhost").file
    with gathers(
        broker, cluster, database, tmp_path, "one", says="cannot be reached", trusts=somebody_else
    ) as gatherer:
        assert gatherer.said("is reached") == 0
