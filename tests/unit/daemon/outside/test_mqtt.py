"""What a station tells an MQTT broker, against a real one (mosquitto) where it is installed."""

import importlib.util
import json
import queue
import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Watch
from daemon.errors import InputError
from daemon.estimates.quantile import Estimate
from daemon.outside.mqtt_desk import MqttDesk, slug, unit_of
from daemon.post import mqtt as mqtt_post
from daemon.post.mqtt import RetainedTopics, check_installed
from daemon.running import run
from daemon.station import Broker
from daemon.store import estimates, readings
from daemon.store.file import WritingStore
from daemon.workers import InlineWorkers
from sensors.reading import Quality, Reading
from tests.kit.broker import Served, needs_a_broker, served
from tests.kit.command_line import PATIENCE_S, until
from tests.kit.mail_server import Papers, certify, free_port
from tests.kit.station import station, station_text
from tests.kit.vessel_states import states_with

NOW = 1_800_000_000
SECRET = "seven-salt-lakes"
# Ten thousand tellings in vain take a tenth of a second: whoever needs so long waits for somebody.
HANGS_S = 30.0
STATION = station()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path, "allow_anonymous true\n") as running_broker:
        yield running_broker


class Listener:
    """Somebody who listens to all a station tells."""

    def __init__(self, port: int) -> None:
        self.heard: queue.Queue[tuple[str, bytes, bool]] = queue.Queue()
        self.last: dict[str, Any] = {}
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
        self._client.on_message = self._on_message
        self._client.connect("127.0.0.1", port)
        self._client.subscribe("naupliad/#", qos=1)
        self._client.loop_start()

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        self.last[message.topic] = json.loads(message.payload) if message.payload else None
        self.heard.put((message.topic, message.payload, message.retain))

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@contextmanager
def listening(port: int) -> Iterator[Listener]:
    listener = Listener(port)
    try:
        yield listener
    finally:
        listener.close()


@contextmanager
def connected(broker: Broker, password: str | None = None, **how: Any) -> Iterator[RetainedTopics]:
    made = RetainedTopics(broker, password, "naupliad/small-room", **{"retry_s": (1, 1), **how})
    try:
        yield made
    finally:
        made.close()


def plain(port: int) -> Broker:
    return Broker("localhost", port, "plain-on-loopback", None)


@needs_a_broker
def test_what_is_told_is_kept_by_the_broker_for_who_comes_later(broker: Served) -> None:
    with connected(plain(broker.port)) as topics:
        topics.publish({"cup/water_c": '{"value": 24.5}'})
        with listening(broker.port) as early:
            until("it is heard", lambda: "naupliad/small-room/cup/water_c" in early.last)
            until("it is on", lambda: early.last.get("naupliad/small-room/online") == {"value": True})
        with listening(broker.port) as late:
            until("it is kept", lambda: late.last.get("naupliad/small-room/cup/water_c") == {"value": 24.5})
            kept = [retained for topic, _, retained in list(late.heard.queue) if topic.endswith("water_c")]
            assert kept == [True]


@needs_a_broker
def test_the_broker_says_that_the_station_is_off_when_it_leaves(broker: Served) -> None:
    with listening(broker.port) as listener:
        with connected(plain(broker.port)):
            until("it is on", lambda: listener.last.get("naupliad/small-room/online") == {"value": True})
        until("it is off", lambda: listener.last.get("naupliad/small-room/online") == {"value": False})


@needs_a_broker
def test_a_topic_that_is_no_longer_told_is_taken_down_and_one_unchanged_is_told_once(broker: Served) -> None:
    with connected(plain(broker.port)) as topics, listening(broker.port) as listener:
        until("it is on", lambda: listener.last.get("naupliad/small-room/online") == {"value": True})
        for values in ({"a": "1", "b": "2"}, {"a": "1", "b": "2"}, {"a": "1", "c": "3"}):
            topics.publish(values)
        until("all is heard", lambda: listener.last.get("naupliad/small-room/c") == 3)
        until("b is down", lambda: listener.last.get("naupliad/small-room/b", 0) is None)
        told = [topic.rsplit("/", 1)[1] for topic, _, _ in list(listener.heard.queue)]
        assert (told.count("a"), told.count("b"), told.count("c")) == (1, 2, 1)


@needs_a_broker
def test_a_broker_that_comes_back_is_told_how_things_stand_then(broker: Served) -> None:
    with connected(plain(broker.port)) as topics:
        topics.publish({"cup/water_c": "1"})
        with listening(broker.port) as listener:
            until("it is told", lambda: listener.last.get("naupliad/small-room/cup/water_c") == 1)
        broker.stop()
        for water in range(2, 500):
            topics.publish({"cup/water_c": str(water)})
        broker.start()
        with listening(broker.port) as listener:
            until("it is told again", lambda: listener.last.get("naupliad/small-room/cup/water_c") == 499)
        # What was on its way when the line broke is sent once more, but never after the newest word.
        with listening(broker.port) as later:
            until("it is kept", lambda: "naupliad/small-room/cup/water_c" in later.last)
            assert later.last["naupliad/small-room/cup/water_c"] == 499


@needs_a_broker
def test_a_broker_with_certificate_and_password_is_told(tmp_path: Path) -> None:
    papers = certify(tmp_path, "localhost")
    users = tmp_path / "users"
    tool = shutil.which("mosquitto_passwd")
    if tool is None:
        pytest.skip("no mosquitto_passwd here")
    subprocess.run([tool, "-b", "-c", str(users), "cups", SECRET], check=True, capture_output=True)
    for file in (users, tmp_path / "localhost.key", tmp_path / "localhost.crt"):
        file.chmod(0o644)
    settings = f"allow_anonymous false\npassword_file {users}\n"
    settings += f"certfile {tmp_path}/localhost.crt\nkeyfile {tmp_path}/localhost.key\n"
    with served(tmp_path, settings) as broker:
        encrypted = Broker("localhost", broker.port, "tls", "cups")
        with (
            connected(encrypted, SECRET, context=papers.client) as topics,
            heard_over_tls(broker.port, papers) as heard,
        ):
            topics.publish({"cup/water_c": "1"})
            assert heard.get(timeout=PATIENCE_S) == ("naupliad/small-room/cup/water_c", b"1")


@contextmanager
def heard_over_tls(port: int, papers: Papers) -> "Iterator[queue.Queue[tuple[str, bytes]]]":
    heard: queue.Queue[tuple[str, bytes]] = queue.Queue()
    client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
    client.tls_set_context(papers.client)
    client.username_pw_set("cups", SECRET)
    client.on_message = lambda _client, _data, said: heard.put((said.topic, said.payload))
    client.connect("localhost", port)
    client.subscribe("naupliad/+/cup/water_c", qos=1)
    client.loop_start()
    yield heard
    client.disconnect()
    client.loop_stop()


@needs_a_broker
def test_a_wrong_password_is_logged_once_and_never_shown(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with (
        served(tmp_path, "allow_anonymous false\n") as broker,
        connected(Broker("localhost", broker.port, "plain-on-loopback", "cups"), SECRET) as topics,
    ):
        until("it is refused", lambda: "refused the connection" in caplog.text)
        for water in range(50):
            topics.publish({"cup/water_c": str(water)})
    assert SECRET not in caplog.text
    assert caplog.text.count("refused the connection") == 1


def test_nobody_at_the_brokers_port_holds_up_neither_telling_nor_leaving() -> None:
    before = set(threading.enumerate())

    def publishes_and_leaves() -> None:
        with connected(plain(free_port()), retry_s=(1, 300)) as topics:
            for water in range(10_000):
                topics.publish({"cup/water_c": str(water)})

    publisher = threading.Thread(target=publishes_and_leaves, daemon=True)
    publisher.start()
    publisher.join(HANGS_S)
    assert not publisher.is_alive()
    until("the client's own threads have ended", lambda: set(threading.enumerate()) <= before)


# --- what is told -----------------------------------------------------------------------------------------


class Kept:
    """Keeps the topics that are published."""

    def __init__(self) -> None:
        self.topics: dict[str, str] = {}

    def publish(self, topics: Any) -> None:
        self.topics = dict(topics)


def test_readings_beliefs_and_alarms_are_told_a_topic_each_with_moment_and_unit(tmp_path: Path) -> None:
    store, told = WritingStore(tmp_path, durable=False), Kept()
    with store.transaction() as connection:
        readings.add(connection, [Reading(NOW, "cup-water", 24.25, Quality.GOOD)])
        readings.add(connection, [Reading(NOW, "room-air", None, Quality.ABSENT)])
        estimates.add(connection, NOW - 60, "cup", {"hatched_fraction": Estimate(0.1, 0.2, 0.3)})
        estimates.add(connection, NOW - 86_400, "cup", {"loss_ml": Estimate(1, 2, 3)})
    watch = Watch(STATION)
    watch.vessels_are(NOW, states_with(STATION, "cup"))
    MqttDesk(STATION, store.connection, watch, told, InlineWorkers()).after_beat(NOW)
    store.close()
    said = {topic: json.loads(text) for topic, text in told.topics.items()}
    assert said.pop("cup/water_c") == {"at": "2027-01-15T08:00:00+00:00", "value": 24.25, "unit": "°C"}
    assert said.pop("cup/hatched_fraction") == {
        "at": "2027-01-15T07:59:00+00:00",
        "p10": 0.1,
        "p50": 0.2,
        "p90": 0.3,
        "unit": "1",
    }
    judged = ("cold", "hot", "water", "salinity", "swing", "cold-ahead", "hot-ahead")
    names = [f"cup/alarm/{name}" for name in (*judged, "probe/cup-water", "probe/room-air")]
    names += ["alarm/storage", "alarm/clock"]
    assert said == {name: {"value": State.NORMAL.value, "since": None} for name in names}


def test_every_quantity_that_is_told_has_a_unit() -> None:
    quantities = [
        "hatched_fraction", "hatch_t10", "hatch_t50", "hatch_t90", "loss_ml", "loss_ml_per_day",
        "salinity_g_per_kg", "low_mark_at", "water_c_min_next_16h", "harvest_opens_at", "harvest_closes_at",
        "water_c", "light_lux", "light_fraction", "room_c", "room_rh_pct", "float_low",
    ]  # fmt: skip
    assert all(unit_of(quantity) for quantity in quantities)
    assert (unit_of("loss_ml_per_day"), unit_of("hatch_t50")) == ("mL/day", "Unix s")


@pytest.mark.parametrize(
    ("name", "topic"),
    [("Room 12", "room-12"), ("Zürich / 3+#", "zurich-3"), ("教室", "station"), ("--A--", "a")],
)
def test_a_stations_name_becomes_a_plain_part_of_a_topic(name: str, topic: str) -> None:
    """No `+`, `#` or `/` (MQTT 5, 4.7.1), so a name cannot be a wildcard."""
    assert slug(name) == topic


def test_without_the_extra_a_run_ends_at_once_with_a_line_that_names_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    find = importlib.util.find_spec
    monkeypatch.setattr(
        mqtt_post.importlib.util, "find_spec", lambda name: None if name == "paho" else find(name)
    )
    with pytest.raises(
        InputError, match=r"station\.toml: mqtt: found no paho-mqtt installed.*naupliad\[mqtt\]"
    ):
        check_installed()
    # The signals of the process that tests are its own.
    monkeypatch.setattr(run, "on_signals", lambda _do: None)
    text = station_text(driver="rehearsal") + '\n[mqtt]\nhost = "localhost"\nsecurity = "plain-on-loopback"\n'
    (tmp_path / "station.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        run.run_station(tmp_path / "station.toml", tmp_path / "state")
    assert len(caught.value.faults) == 1
    assert not (tmp_path / "state").exists()
