"""What the centre's database costs: `python -m tests.bench.rooms_database`.

Prints readings stored a second by one line and by two at once (as a ratio), bytes kept a reading, and how
long it takes to ask who needs help with 1,000 stations. PostgreSQL is a real one, with fsync, on this
machine; no broker is between.
"""

import argparse
import json
import statistics
import threading
import time
from collections.abc import Iterator

import psycopg

from tests.kit.postgres import Cluster, cluster_running, new_database

PROBES, READINGS = 8, 60
BEGAN = 1_800_000_000
HEAP = 100
SAFE = ("fsync=on", "synchronous_commit=on", "full_page_writes=on")


def hour(n: int, at: int) -> str:
    values = [20.0 + (i * 7 + n) % 64 / 16 for i in range(READINGS)]
    said = {"measure": "water_c", "vessel": "tray-a", "first": 0, "values": values, "quality": "good"}
    probes = {f"tray-water-{number}": said for number in range(PROBES)}
    return json.dumps({"v": 1, "n": n, "kind": "hour", "store": 1, "at": at, "every_s": 60, "probes": probes})


def alarm(n: int, condition: str, vessel: str, state: str) -> str:
    said = {
        "condition": condition,
        "vessel": vessel,
        "probe": "",
        "state": state,
        "value": 31.0,
        "since": BEGAN,
    }
    return json.dumps({"v": 1, "n": n, "kind": "alarm", "store": 1, "id": n, "at": BEGAN + n, **said})


def heaps(stations: range, hours: int) -> Iterator[tuple[list[str], list[str]]]:
    told = [(f"k{key}", hour(n, BEGAN + n * 3600)) for n in range(1, hours + 1) for key in stations]
    for i in range(0, len(told), HEAP):
        yield [key for key, _ in told[i : i + HEAP]], [box for _, box in told[i : i + HEAP]]


def store(dsn: str, made: list[tuple[list[str], list[str]]]) -> None:
    with psycopg.connect(dsn, autocommit=True, options="-csearch_path=naupliad") as line:
        for keys, boxes in made:
            line.execute("SELECT take(%s::text[], %s::jsonb[])", (keys, boxes))


def spent_s(cluster: Cluster, work: list[list[tuple[list[str], list[str]]]]) -> tuple[str, float]:
    """A new database, and how long it took to store this work, a line for each part of it."""
    name = new_database(cluster)
    lines = [threading.Thread(target=store, args=(cluster.dsn(name), part)) for part in work]
    began = time.monotonic()
    for line in lines:
        line.start()
    for line in lines:
        line.join()
    return name, time.monotonic() - began


def speed(cluster: Cluster, stations: int, hours: int) -> None:
    one = list(heaps(range(stations), hours))
    half = [list(heaps(range(stations // 2), hours)), list(heaps(range(stations // 2, stations), hours))]
    readings = stations * hours * PROBES * READINGS
    ratios, name = [], ""
    for _ in range(3):
        _, by_one_s = spent_s(cluster, [one])
        name, by_two_s = spent_s(cluster, half)
        ratios.append(by_one_s / by_two_s)
        print(f"readings/s: one line {readings / by_one_s:,.0f}, two {readings / by_two_s:,.0f}")
    print(f"two lines to one: {statistics.median(ratios):.2f}")
    size = "sum(pg_total_relation_size(oid))::bigint"
    where = "relnamespace = 'naupliad'::regnamespace AND relkind = 'r' AND relname"
    hours_b, boxes_b = (
        int(str(cluster.ask(f"SELECT {size} FROM pg_class WHERE {where} {like}", name)[0][0]))
        for like in ("LIKE 'hour\\_2%' OR relname = 'hour_other'", "= 'hour_box'")
    )
    kept, numbers = (hours_b + boxes_b) / readings, boxes_b / readings
    print(f"kept: {kept:.2f} B a reading, {numbers:.2f} of it the hours' numbers")


def help_needed(cluster: Cluster, stations: int) -> None:
    """1,000 stations, 39 states each as measured before it was built; one in twenty has a standing alarm."""
    name = new_database(cluster)
    conditions = ("hot", "cold", "lamp", "water", "salinity", "swing", "probe", "hot-ahead", "cold-ahead")
    with psycopg.connect(cluster.dsn(name), autocommit=True, options="-csearch_path=naupliad") as line:
        for key in range(stations):
            told = [(vessel, condition) for vessel in ("a", "b", "c", "d") for condition in conditions]
            boxes = [
                alarm(n, condition, vessel, "unacknowledged" if key % 20 == 0 and n == 7 else "normal")
                for n, (vessel, condition) in enumerate(
                    [*told, ("", "storage"), ("", "clock"), ("e", "hot")], 1
                )
            ]
            line.execute("SELECT take(%s::text[], %s::jsonb[])", ([f"k{key}"] * len(boxes), boxes))
        line.execute("ANALYZE")
        asked = "SELECT * FROM needs_help ORDER BY urgency, since"
        times_ms = []
        for _ in range(20):
            began = time.monotonic()
            found = len(line.execute(asked).fetchall())
            times_ms.append(1000 * (time.monotonic() - began))
        count = line.execute("SELECT count(*) FROM state").fetchone()
    print(
        f"needs_help: {found} of {stations} stations, {count and count[0]} states: "
        f"median {statistics.median(times_ms):.1f} ms, longest {max(times_ms):.1f} ms"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--stations", type=int, default=1000)
    parser.add_argument("--hours", type=int, default=3)
    given = parser.parse_args()
    with cluster_running(*SAFE) as cluster:
        help_needed(cluster, given.stations)
        speed(cluster, given.stations, given.hours)


if __name__ == "__main__":
    main()
