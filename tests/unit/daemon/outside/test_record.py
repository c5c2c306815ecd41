"""A station whose record a centre keeps, over a real broker: what is lost, doubled, hostile or private."""

import json
import logging
import queue
import random
import sqlite3
import threading
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.alarms.watch import Watch
from daemon.care.deed import KINDS, Deed
from daemon.estimates.quantile import Estimate
from daemon.outside.mqtt_desk import MqttDesk
from daemon.outside.record_bodies import Bodies
from daemon.outside.record_desk import RecordDesk
from daemon.post.box_line import BoxLine
from daemon.post.mqtt import RetainedTopics
from daemon.record import topics
from daemon.record.box import packed, receipt, unpacked
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Broker, Station
from daemon.store import alarms, deeds, deliveries, estimates, letters, outbox, readings
from daemon.store.alarms import AlarmRow
from daemon.store.file import WritingStore
from daemon.workers import InlineWorkers
from sensors.reading import Quality, Reading
from tests.kit.broker import Served, needs_a_broker, served
from tests.kit.centre import Centre, centre, recorded_line
from tests.kit.command_line import until
from tests.kit.station import station

NOW = 1_800_000_000 // HOUR_S * HOUR_S
KEY = "a7-0c1"
STATION = station()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path, "allow_anonymous true\n") as running_broker:
        yield running_broker


@dataclass
class Told:
    """A station at work: its store, its desk, the line, and clocks that a test sets."""

    store: WritingStore
    line: BoxLine
    most: int = 1000
    at: int = NOW
    monotonic_s: float = 0.0
    sure: bool = True
    full: list[bool] = field(default_factory=list)
    wake: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        with self.store.transaction() as connection:
            outbox.begin(connection, KEY, self.at)
        self.desk = RecordDesk(
            STATION,
            self.store,
            self.line,
            most=self.most,
            monotonic_s=lambda: self.monotonic_s,
            is_sure=lambda: self.sure,
            is_full=self.full.append,
        )

    def do(self, at: int = NOW) -> None:
        with self.store.transaction() as connection:
            deeds.add(connection, Deed(at, "cup", "stir"), at)

    def read(self, hours: int) -> None:
        with self.store.transaction() as connection:
            for i in range(hours * 60):
                readings.add(connection, [Reading(NOW + 60 * i, "cup-water", 24.5, Quality.GOOD)])
        self.at = NOW + hours * HOUR_S

    def owed(self) -> int:
        found = outbox.waiting(self.store.connection)
        assert found is not None
        return found.boxes

    def looks_until_all_is_known(self) -> None:
        def nothing_owed() -> bool:
            self.desk.look(self.at)
            return self.owed() == 0

        until("nothing is owed", nothing_owed)


@contextmanager
def told(folder: Path, port: int, **how: Any) -> Iterator[Told]:
    (folder / "state").mkdir(exist_ok=True)
    wake = threading.Event()
    line = BoxLine(KEY, wake)
    broker = Broker("localhost", port, "plain-on-loopback", None)
    with closing(WritingStore(folder / "state", durable=False)) as store:
        made = Told(store, line, wake=wake, **how)
        retained = RetainedTopics(broker, None, topics.base(KEY), retry_s=(1, 1), boxes=line)
        try:
            yield made
        finally:
            retained.close()


def connected(made: Told) -> None:
    until("the connection stands", lambda: made.line.standing() is not None)


def heard(one: Centre) -> list[int]:
    return [box.n for _, box in one.heard]


@needs_a_broker
def test_a_box_is_forgotten_on_its_receipt_and_not_on_the_brokers_word(
    broker: Served, tmp_path: Path
) -> None:
    with centre(broker.port, lambda _box: 0) as keeps, told(tmp_path, broker.port) as made:
        connected(made)
        made.do()
        made.desk.look(made.at)
        until("it is heard", lambda: len(keeps.heard) == 1)
        until("the broker has acknowledged it", lambda: made.line.standing() and not made.line._flying)
        made.desk.look(made.at)
        assert (made.owed(), len(keeps.heard)) == (1, 1)
        made.monotonic_s = 60.0
        keeps.answers = lambda _box: 1
        made.looks_until_all_is_known()
        assert len(set(heard(keeps))) == 1


@needs_a_broker
def test_what_waited_for_hours_goes_twenty_at_a_time_and_what_stands_now_first(
    broker: Served, tmp_path: Path
) -> None:
    broker.stop()
    with told(tmp_path, broker.port) as made:
        made.read(50)
        made.desk.look(made.at)
        with made.store.transaction() as connection:
            alarms.add(connection, AlarmRow(NOW, "cup", "cold", "unacknowledged", 18.0, "", NOW))
        made.desk.look(made.at)
        assert made.owed() == 51
        broker.start()
        with centre(broker.port, lambda _box: 0) as keeps:
            connected(made)
            made.desk.look(made.at)
            until("a window is heard", lambda: len(keeps.heard) == 20)
            made.desk.look(made.at)
            made.desk.look(made.at)
            assert len(keeps.heard) == 20
            assert keeps.heard[0][1].kind == "alarm"
            assert not made.wake.is_set()
            keeps.answers = lambda _box: 1
            keeps.answer_all(KEY)
            until("the loop is woken", made.wake.is_set)
            made.looks_until_all_is_known()
            assert {what[1:] for what in keeps.kept} == {
                ("alarm", 1),
                *(("hour", NOW + i * HOUR_S) for i in range(50)),
            }


@needs_a_broker
def test_a_broker_that_is_killed_and_knows_nothing_any_more_is_sent_all_again(
    broker: Served, tmp_path: Path
) -> None:
    """Neither its sessions nor what it had acknowledged survive: persistence is off in this broker."""
    with told(tmp_path, broker.port) as made:
        connected(made)
        for _ in range(5):
            made.do()
        made.desk.look(made.at)
        until("the broker has acknowledged all", lambda: made.line.standing() and not made.line._flying)
        assert broker.process is not None
        broker.process.kill()
        broker.process.wait()
        until("the line is gone", lambda: made.line.standing() is None)
        made.do()
        made.desk.look(made.at)
        broker.start()
        with centre(broker.port) as keeps:
            connected(made)
            made.looks_until_all_is_known()
            assert {what[2] for what in keeps.kept} == {1, 2, 3, 4, 5, 6}


@needs_a_broker
def test_receipts_that_are_lost_doubled_or_late_cost_nothing(broker: Served, tmp_path: Path) -> None:
    chance = random.Random(18)
    with (
        centre(broker.port, lambda _box: chance.choice((0, 0, 1, 3))) as keeps,
        told(tmp_path, broker.port) as made,
    ):
        connected(made)
        made.read(30)

        def goes_on() -> bool:
            made.monotonic_s += 30.0
            made.desk.look(made.at)
            return made.owed() == 0

        until("nothing is owed", goes_on)
        assert {what[2] for what in keeps.kept} == {NOW + i * HOUR_S for i in range(30)}
        keeps.answer_all(KEY)
        made.do()
        made.desk.look(made.at)
        assert made.owed() == 1


@needs_a_broker
def test_what_changes_after_it_was_sent_goes_again_under_a_higher_number(
    broker: Served, tmp_path: Path
) -> None:
    with centre(broker.port, lambda _box: 0) as keeps, told(tmp_path, broker.port) as made:
        connected(made)
        made.do()
        made.desk.look(made.at)
        until("it is heard", lambda: len(keeps.heard) == 1)
        with made.store.transaction() as connection:
            deeds.withdraw(connection, 1, NOW + 5)
        keeps.answer_all(KEY)  # for what is no longer so
        keeps.answers = lambda _box: 1
        made.looks_until_all_is_known()
        first, last = heard(keeps)[0], heard(keeps)[-1]
        assert first < last
        assert keeps.kept[KEY, "deed", 1].body["withdrawn_at"] == NOW + 5


@needs_a_broker
def test_hostile_receipts_forget_nothing_and_fill_neither_log_nor_memory(
    broker: Served, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    nonsense = [
        b"",
        b"\xff\xfe",
        b'{"n": "all"}',
        b'{"n": [true, null, -1, 1e99]}',
        b"[" * 100_000,
        receipt(range(1, 8000)),
        receipt([2**62, 3, 4]),
        b'{"n": [' + b"9" * 60_000 + b"]}",
    ]
    with (
        caplog.at_level(logging.WARNING),
        centre(broker.port, lambda _box: 0) as keeps,
        told(tmp_path, broker.port) as made,
    ):
        connected(made)
        made.do()
        made.desk.look(made.at)
        until("it is heard", lambda: len(keeps.heard) == 1)
        for _ in range(50):
            for payload in nonsense:
                keeps.say(topics.receipt(KEY), payload)
            keeps.say(topics.receipt("another"), receipt(heard(keeps)))
        n = heard(keeps)[0]
        keeps.say(topics.receipt(KEY), receipt([n + 1]))
        made.do()
        made.desk.look(made.at)
        until("the second is heard", lambda: len(keeps.heard) == 2)
        second = heard(keeps)[1]
        keeps.say(topics.receipt(KEY), receipt([second]))  # behind all the nonsense
        until("it came", lambda: made.line._received)
        assert made.line.received() == {second}
        assert made.owed() == 2
        assert caplog.text.count("receipt") == 1


@needs_a_broker
def test_while_nothing_changes_nothing_is_written(broker: Served, tmp_path: Path) -> None:
    with centre(broker.port, lambda _box: 0) as keeps, told(tmp_path, broker.port) as made:
        connected(made)
        for _ in range(30):
            made.do()
        made.desk.look(made.at)
        until("a window is heard", lambda: len(keeps.heard) == 20)
        log = tmp_path / "state" / "station.db-wal"
        changes, size = made.store.connection.total_changes, log.stat().st_size
        for beat in range(200):
            made.monotonic_s = 60.0 * beat
            made.desk.after_beat(made.at + 60 * beat)
        until("it is sent again", lambda: len(keeps.heard) > 60)
        assert made.store.connection.total_changes == changes
        assert log.stat().st_size == size


@needs_a_broker
def test_an_hour_waits_for_a_clock_that_is_sure_and_a_new_store_for_its_number(
    broker: Served, tmp_path: Path
) -> None:
    with centre(broker.port) as keeps, told(tmp_path, broker.port, sure=False, at=NOW - DAY_S) as made:
        connected(made)
        made.read(2)
        made.do()
        made.desk.look(made.at)
        assert outbox.store_number(made.store.connection) is None
        made.monotonic_s = DAY_S  # nobody ever vouches for this clock
        made.desk.look(made.at)
        until("the deed is heard", lambda: len(keeps.heard) == 1)
        assert keeps.heard[0][1].kind == "deed"
        made.sure, made.at = True, NOW + 30 * DAY_S
        made.looks_until_all_is_known()
        assert {box.kind for _, box in keeps.heard} == {"deed", "hour"}
        assert min(box.n for _, box in keeps.heard if box.kind == "hour") > made.at * 1000
        assert {box.body["store"] for _, box in keeps.heard} == {NOW + 2 * HOUR_S}


def test_what_is_more_than_may_wait_is_given_up_and_told_of(tmp_path: Path) -> None:
    with told(tmp_path, 9, most=10) as made:
        made.read(30)
        made.desk.after_beat(made.at)
        made.desk.after_beat(made.at + 60)
        assert (made.owed(), made.full) == (10, [True])
        made.do()
        made.desk.after_beat(made.at + HOUR_S)
        assert (made.owed(), made.full) == (10, [True, True])
        with made.store.transaction() as connection:
            outbox.forget(connection, [n for (n,) in connection.execute("SELECT n FROM outbox LIMIT 2")], NOW)
        made.desk.after_beat(made.at + 2 * HOUR_S)
        assert made.full == [True, True, False]


# --- what a box says --------------------------------------------------------------------------------------


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    with closing(WritingStore(tmp_path / "state", durable=False)) as opened:
        yield opened


@pytest.fixture(autouse=True)
def _state(tmp_path: Path) -> None:
    (tmp_path / "state").mkdir()


def said(connection: sqlite3.Connection, kind: str, key: int, of: Station = STATION) -> dict[str, Any]:
    box = unpacked(packed(Bodies(of, connection, 7).box(outbox.Owed(1, kind, key))))
    assert (box.n, box.kind, box.body["store"]) == (1, kind, 7)
    return {name: value for name, value in box.body.items() if name != "store"}


def test_an_hour_says_its_readings_regular_ones_by_the_first(store: WritingStore) -> None:
    with store.transaction() as connection:
        for i in range(60):
            readings.add(connection, [Reading(NOW + 7 + 60 * i, "cup-water", 24.0625, Quality.GOOD)])
        readings.add(connection, [Reading(NOW, "room-air", 19.0, Quality.GOOD)])
        readings.add(connection, [Reading(NOW + 61, "room-air", None, Quality.ABSENT)])
        readings.add(connection, [Reading(NOW + 5, "taken-away", 1.0, Quality.GOOD)])
        readings.add(connection, [Reading(NOW + HOUR_S, "room-air", 19.0, Quality.GOOD)])
    probes = {
        "cup-water": {
            "measure": "water_c",
            "vessel": "cup",
            "first": 7,
            "values": [24.0625] * 60,
            "quality": "good",
        },
        "room-air": {
            "measure": "room_c",
            "vessel": "cup",
            "seconds": [0, 61],
            "values": [19.0, None],
            "quality": ["good", "absent"],
        },
        "taken-away": {"measure": "unknown", "vessel": None, "first": 5, "values": [1.0], "quality": "good"},
    }
    assert said(store.connection, "hour", NOW) == {"at": NOW, "every_s": 60, "probes": probes}
    assert said(store.connection, "hour", NOW - HOUR_S)["probes"] == {}


def test_estimates_of_a_moment_are_told_together_and_forgotten_ones_too(store: WritingStore) -> None:
    with store.transaction() as connection:
        estimates.add(connection, NOW, "cup", {"loss_ml": Estimate(1, 2, 3)})
        estimates.add(connection, NOW, "jar", {"hatch_t50": Estimate(NOW, NOW + 1, NOW + 2)})
        estimates.add(connection, NOW + 1, "jar", {"loss_ml": Estimate(1, 2, float("inf"))})
    vessels = {"cup": {"loss_ml": [1, 2, 3]}, "jar": {"hatch_t50": [NOW, NOW + 1, NOW + 2]}}
    assert said(store.connection, "estimate", NOW) == {"at": NOW, "vessels": vessels}
    assert said(store.connection, "estimate", NOW + 1) == {"at": NOW + 1, "vessels": {}}
    assert said(store.connection, "estimate", NOW + 2) == {"at": NOW + 2, "vessels": {}}


def test_a_letter_says_how_it_went_and_a_row_that_is_gone_says_so(store: WritingStore) -> None:
    with store.transaction() as connection:
        letter = letters.hold(connection, NOW, "cold", "words", NOW, ["cup"])
        letters.write(connection, letter, ["cup"], "words", b"words", 4, NOW)
        deliveries.queue(connection, letter, ["mail"], NOW)
        deliveries.sent(connection, deliveries.queued(connection, "mail")[0], NOW + 9)
        alarms.add(connection, AlarmRow(NOW, "cup", "probe", "normal", None, "cup-water", NOW))
    assert said(store.connection, "letter", letter) == {
        "id": 1,
        "at": NOW,
        "letter": "cold",
        "state": "sent",
        "number": 4,
        "sent_at": NOW + 9,
        "deliveries": [{"carrier": "mail", "state": "sent", "attempts": 1, "sent_at": NOW + 9}],
    }
    assert said(store.connection, "alarm", 1) == {
        "id": 1,
        "at": NOW,
        "vessel": "cup",
        "condition": "probe",
        "probe": "cup-water",
        "state": "normal",
        "value": None,
        "since": NOW,
    }
    for kind in ("alarm", "deed", "letter"):
        assert said(store.connection, kind, 99) == {"id": 99, "gone": True}


def test_a_tins_name_is_told_as_a_digest(store: WritingStore) -> None:
    detail: dict[str, float | str] = {"lot": "From the Lake", "salt_g_per_l": 30.0, "light": "yes"}
    with store.transaction() as connection:
        deeds.add(connection, Deed(NOW, "cup", "set", 0.5, detail), NOW)
        deeds.add(connection, Deed(NOW, "cup", "set", 0.5, {"lot": "from the lake"}), NOW)
    one, other = (said(store.connection, "deed", i)["detail"] for i in (1, 2))
    assert one == {"lot": other["lot"], "salt_g_per_l": 30.0, "light": "yes"}
    # SHA-256 of "from the lake" (FIPS 180-4), by sha256sum [C].
    assert one["lot"] == "f2ffc8e9f57e"


# Long and odd enough to stand nowhere by chance.
WORDS = st.text(
    st.characters(codec="utf-8", exclude_characters="\0", exclude_categories=["Cs"]), min_size=6
).map(lambda text: f"Zq{text}xJ")


def texts(word: str) -> list[bytes]:
    """A word as it may stand in bytes: as UTF-8, in JSON's escapes, as part of a topic."""
    return [word.encode(), json.dumps(word)[1:-1].encode(), word.encode("utf-16-le")]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(note=WORDS, lot=WORDS, subject=WORDS, letter=WORDS, trouble=WORDS, address=WORDS, room=WORDS)
def test_nothing_that_a_person_wrote_and_no_room_stands_in_any_byte(
    note: str, lot: str, subject: str, letter: str, trouble: str, address: str, room: str, tmp_path: Path
) -> None:
    of = station(name="Room " + "".join(ch for ch in room if ch.isalnum()))
    (tmp_path / "state").mkdir(exist_ok=True)
    handed: list[bytes] = []
    with closing(WritingStore(tmp_path / "state", durable=False)) as store:
        with store.transaction() as connection:
            outbox.begin(connection, KEY, NOW)
            every: dict[str, dict[str, float | str]] = {word: {} for word in KINDS}
            every["note"], every["set"] = {"text": note}, {"lot": lot}
            for word, detail in every.items():
                # Whatever a later version or somebody's hand puts there stays here too.
                deeds.add(connection, Deed(NOW, "cup", word, None, {**detail, "who": note}), NOW)
            readings.add(connection, [Reading(NOW, "cup-water", 24.5, Quality.GOOD)])
            number = letters.next_number(connection)
            one = letters.hold(connection, NOW, "cold", subject, NOW, [note])
            letters.write(connection, one, [note], subject, letter.encode(), number, NOW)
            deliveries.queue(connection, one, ["mail", "files"], NOW)
            deliveries.park(connection, deliveries.queued(connection, "mail")[0], f"{address}: {trouble}")
            deliveries.set_note(connection, deliveries.queued(connection, "files")[0], note)
            other = letters.hold(connection, NOW, note, subject, NOW, [])
            deliveries.queue(connection, other, [address], NOW)
        bodies = Bodies(of, store.connection, NOW)
        boxes = [packed(bodies.box(box)) for box in outbox.due(store.connection, NOW + DAY_S, (), 999)]
        assert len(boxes) >= len(KINDS) + 3
        handed += [*boxes, *map(zlib.decompress, boxes)]
        watch = Watch(of)
        retained = MqttDesk(of, store.connection, watch, _nobody, InlineWorkers()).topics(NOW)
        handed += [f"{topic} {text}".encode() for topic, text in retained.items()]
        with store.transaction() as connection:
            for table in ("outbox", "deed", "reading", "delivery", "letter"):
                connection.execute(f"DELETE FROM {table}")
    for word in (note, lot, subject, letter, trouble, address, of.name.removeprefix("Room ")):
        for text in texts(word):
            assert not [found for found in handed if text in found], (word, text)


class _Nobody:
    def publish(self, _topics: Any) -> None:
        raise AssertionError


_nobody = _Nobody()


@needs_a_broker
def test_no_packet_bears_a_rooms_name_not_even_the_first(broker: Served, tmp_path: Path) -> None:
    with recorded_line(broker.port) as (port, sent), told(tmp_path, port) as made:
        connected(made)
        made.do()
        made.desk.look(made.at)
        until("it is acknowledged", lambda: made.line.standing() and not made.line._flying)
    packets = b"".join(_all(sent))
    assert b"naupliad/a7-0c1/online" in packets
    assert b"naupliad-a7-0c1" in packets
    assert b"small" not in packets.lower()


def _all(sent: "queue.SimpleQueue[bytes]") -> list[bytes]:
    found = []
    while not sent.empty():
        found.append(sent.get())
    return found
