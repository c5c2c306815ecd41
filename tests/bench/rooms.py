"""What many rooms cost, with a real broker, gatherers as processes and a real PostgreSQL with fsync.

    python -m tests.bench.rooms [--minutes 2] [--stations 10000]

Prints how long it takes to ask who needs help with 1,000 stations; how long a live box waits for its
receipt while six stations tell a week, against quiet; readings stored a second with one gatherer and
with two, alternately, as a ratio; bytes a reading on the wire and kept; and how far behind the database
is while so many stations of 8 probes tell for so many minutes at 60 times speed (an hour box each a
minute). Stations are simulated: one client publishes for all of them, readings are those of
tests.bench.record. All runs on this machine.
"""

import argparse
import itertools
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from paho.mqtt import client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from daemon.record import topics
from daemon.record.box import Box, packed, receipted
from tests.bench.record import BEGAN, HOUR_S, value
from tests.bench.rooms_database import SAFE, help_needed
from tests.kit.broker import served
from tests.kit.gatherers import ROOMY, gather_file, gathering
from tests.kit.postgres import LOGIN, Cluster, cluster_running, new_database

PROBES, READINGS, WINDOW = 8, 60, 20
A_BOX = PROBES * READINGS
# MQTT 5, 2.1, 3.3, 3.4: fixed header, topic's length and topic, packet's number, no properties; and PUBACK.
_AROUND_BOX = 3 + 2 + len("naupliad/k7-tern/box") + 2 + 1 + 4


def hour_box(number: int) -> bytes:
    at = BEGAN + number * HOUR_S
    probes = {
        f"tray-water-{place}": {
            "measure": "water_c",
            "vessel": "tray",
            "first": 0,
            "values": [value(at + 60 * i, place) for i in range(READINGS)],
            "quality": "good",
        }
        for place in range(PROBES)
    }
    return packed(Box(number + 1, "hour", {"store": 1, "at": at, "every_s": 60, "probes": probes}))


class Crowd:
    """Publishes for any station; hears every receipt."""

    def __init__(self, port: int) -> None:
        self.receipts: dict[tuple[str, int], float] = {}
        self.heard = threading.Condition()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
        self._client.max_inflight_messages_set(1000)
        self._client.on_message = self._on_message
        self._client.connect("127.0.0.1", port)
        self._client.subscribe("naupliad/+/receipt", qos=1)
        self._client.loop_start()

    def send(self, key: str, payload: bytes) -> None:
        self._client.publish(topics.box(key), payload, qos=1)

    def until(self, count: int) -> None:
        with self.heard:
            assert self.heard.wait_for(lambda: len(self.receipts) >= count, 3600)

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        now, key = time.monotonic(), message.topic.split("/")[1]
        with self.heard:
            for n in receipted(message.payload):
                self.receipts.setdefault((key, n), now)
            self.heard.notify_all()

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@contextmanager
def rooms(cluster: Cluster, gatherers: int) -> Iterator[tuple[Crowd, str]]:
    """A broker, so many gatherers, a new database."""
    database = new_database(cluster)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        broker = stack.enter_context(served(folder, ROOMY))
        for name in ("one", "two")[:gatherers]:
            stack.enter_context(
                gathering(gather_file(folder, broker.port, cluster.dsn(database, LOGIN), name))
            )
        crowd = Crowd(broker.port)
        stack.callback(crowd.close)
        yield crowd, database


def speed(cluster: Cluster, stations: int, hours: int) -> None:
    payloads, ratios = [hour_box(number) for number in range(hours)], []
    for _ in range(3):
        spent_s = {}
        for count in (1, 2):
            with rooms(cluster, count) as (crowd, database):
                began = time.monotonic()
                for payload, key in itertools.product(payloads, range(stations)):
                    crowd.send(f"k{key}", payload)
                crowd.until(stations * hours)
                spent_s[count] = time.monotonic() - began
        readings = stations * hours * A_BOX
        print(f"readings/s: one {readings / spent_s[1]:,.0f}, two {readings / spent_s[2]:,.0f}", flush=True)
        ratios.append(spent_s[1] / spent_s[2])
    print(f"two gatherers to one: {statistics.median(ratios):.2f}")
    wire = statistics.mean(len(payload) + _AROUND_BOX for payload in payloads) / A_BOX
    print(f"on the wire: {wire:.2f} B a reading (computed, without TLS and TCP)")
    print(f"kept: {kept_b(cluster, database) / (stations * hours * A_BOX):.2f} B a reading, with keys")


def kept_b(cluster: Cluster, database: str) -> int:
    words = (
        "SELECT sum(pg_total_relation_size(oid))::bigint FROM pg_class "
        "WHERE relnamespace = 'naupliad'::regnamespace AND relkind = 'r' AND relname LIKE 'hour%'"
    )
    return int(str(cluster.ask(words, database)[0][0]))


def a_week_offline(cluster: Cluster, samples: int) -> None:
    """Six stations with 168 hours each, 20 under way each; a seventh tells a box at a time."""
    payloads = [hour_box(number) for number in range(168)]
    with rooms(cluster, 2) as (crowd, _):
        numbers = itertools.count()
        quiet = [live_s(crowd, next(numbers)) for _ in range(samples)]
        done = threading.Event()
        began = time.monotonic()

        def tell() -> None:
            sent = dict.fromkeys((f"six-{i}" for i in range(6)), 0)
            while any(count < len(payloads) for count in sent.values()):
                with crowd.heard:
                    known = {key: sum(told == key for told, _ in crowd.receipts) for key in sent}
                for key, count in sent.items():
                    more = payloads[count : min(len(payloads), known[key] + WINDOW)]
                    for payload in more:
                        crowd.send(key, payload)
                    sent[key] += len(more)
                time.sleep(0.005)
            done.set()

        thread = threading.Thread(target=tell)
        thread.start()
        busy = []
        while not done.is_set():
            busy.append(live_s(crowd, next(numbers)))
        thread.join()
        crowd.until(len(quiet) + len(busy) + 6 * len(payloads))
        print(
            f"six stations after a week: {time.monotonic() - began:.1f} s, {len(busy)} live boxes meanwhile"
        )
        for what, found in (("quiet", quiet), ("meanwhile", busy)):
            middle, most = 1000 * statistics.median(found), 1000 * p95(found)
            print(f"live, {what}: median {middle:.0f} ms, p95 {most:.0f} ms")
        print(f"p95 to quiet: {p95(busy) / p95(quiet):.2f}")


def live_s(crowd: Crowd, number: int) -> float:
    """How long a box waits for its receipt."""
    began = time.monotonic()
    crowd.send("live", hour_box(number))
    with crowd.heard:
        assert crowd.heard.wait_for(lambda: ("live", number + 1) in crowd.receipts, 600)
    return crowd.receipts["live", number + 1] - began


def p95(found: list[float]) -> float:
    return sorted(found)[int(0.95 * (len(found) - 1))]


def crowded(cluster: Cluster, stations: int, minutes: int) -> None:
    """Every station's hour in each minute, spread over it; how far behind the receipts are."""
    with rooms(cluster, 2) as (crowd, database):
        began = time.monotonic()
        for minute in range(minutes):
            payload, late_s = hour_box(minute), 0.0
            for key in range(stations):
                due = began + 60 * (minute + key / stations)
                now = time.monotonic()
                if now < due:
                    time.sleep(due - now)
                else:
                    late_s = max(late_s, now - due)
                crowd.send(f"k{key}", payload)
            behind = stations * (minute + 1) - len(crowd.receipts)
            print(
                f"minute {minute + 1}: {behind} of {stations * (minute + 1)} boxes without a receipt; "
                f"they were sent up to {late_s:.1f} s late",
                flush=True,
            )
        last = time.monotonic()
        crowd.until(stations * minutes)
        print(f"the rest came {time.monotonic() - last:.1f} s after the last was sent")
        rows = cluster.ask("SELECT count(*) FROM naupliad.hour", database)
        print(f"kept: {rows[0][0]} hours of a probe, {stations * minutes * PROBES} were told")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=int, default=2)
    parser.add_argument("--stations", type=int, default=10_000)
    given = parser.parse_args()
    with cluster_running(*SAFE) as cluster:
        help_needed(cluster, 1000)
        a_week_offline(cluster, 60)
        speed(cluster, 500, 4)
        crowded(cluster, given.stations, given.minutes)


if __name__ == "__main__":
    main()
