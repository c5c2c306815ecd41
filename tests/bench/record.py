"""What a beat pays for being recorded: the same beats with and without an outbox, alternately, as a ratio.

    python -m tests.bench.record [--beats 2000] [--probes 8] [--disk]

`--disk` has every transaction confirmed by the disk, as the daemon does. It also prints the bytes of a
reading in a box (of a signal more regular than a room's), what boxes take while they wait, how long one
is read, and what the modules take in memory.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from statistics import median

from daemon.estimates.quantile import Estimate
from daemon.outside.record_bodies import Bodies
from daemon.record.box import packed
from daemon.store import estimates, outbox, readings
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.station import probe, station, vessel

BEGAN, HOUR_S, EVERY_S = 1_800_000_000 // 3600 * 3600, 3600, 60
ROUNDS = 10
QUANTITIES = 12


def value(at: int, place: int) -> float:
    """A room's slow day with a thermometer's steps of 1/16 °C, and its noise."""
    day_s = at % 86_400
    slow = 22 + 2 * abs(day_s - 43_200) / 43_200 + 0.3 * place
    return round((slow + (at * 7919 + place * 104_729) % 5 * 0.03125) * 16) / 16


def beat(store: WritingStore, at: int, probes: int) -> None:
    """The readings of a beat, and once an hour what is believed."""
    with store.transaction() as connection:
        rows = [Reading(at, f"probe-{i}", value(at, i), Quality.GOOD) for i in range(probes)]
        readings.add(connection, rows)
        if at % HOUR_S == 0:
            believed = {f"quantity-{i}": Estimate(1.1 * i, 2.123456 * i, 3.3 * i) for i in range(QUANTITIES)}
            estimates.add(connection, at, "cup", believed)


def took_s(work: Callable[[], object]) -> float:
    """How long something took."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def beats(folder: Path, count: int, probes: int, *, disk: bool) -> Path:
    """Print the ratio; the folder of the recorded store."""
    plain, told = (WritingStore(folder / name, durable=disk) for name in ("plain", "told"))
    with told.transaction() as connection:
        outbox.begin(connection, "bench", BEGAN)
    ratios, times = [], ([], [])  # type: ignore[var-annotated]
    for turn in range(ROUNDS):
        span = range(turn * count // ROUNDS, (turn + 1) * count // ROUNDS)
        moments = [BEGAN + EVERY_S * i for i in span]

        def run(store: WritingStore, moments: list[int] = moments) -> None:
            for at in moments:
                beat(store, at, probes)

        took = [took_s(lambda s=store: run(s)) for store in (plain, told)]  # type: ignore[misc]
        ratios.append(took[1] / took[0])
        for one, spent in zip(times, took, strict=True):
            one.append(1e6 * spent / len(moments))
    print(f"a beat of {probes} probes: {median(times[0]):.0f} µs, recorded {median(times[1]):.0f} µs")
    print(f"ratio: median {median(ratios):.2f}, from {min(ratios):.2f} to {max(ratios):.2f}")
    for store in (plain, told):
        store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    sizes = [store.path.stat().st_size for store in (plain, told)]
    (waiting,) = told.connection.execute("SELECT count(*) FROM outbox").fetchone()
    print(f"store: {sizes[0]} B, recorded {sizes[1]} B with {waiting} boxes waiting")
    plain.close()
    told.close()
    return folder / "told"


def boxes(state: Path, probes: int) -> None:
    """Print what boxes are like that wait in a store."""
    tables = [probe(f"probe-{i}") for i in range(probes)]
    of = station(*tables, *(vessel(f"cup-{i}", f"probe-{i}") for i in range(probes)))
    with closing(WritingStore(state, durable=False)) as store:
        owed = outbox.due(store.connection, BEGAN + 10**9, (), 10**9)
        bodies = Bodies(of, store.connection, BEGAN)
        made: list[bytes] = []
        spent = took_s(lambda: made.extend(packed(bodies.box(box)) for box in owed))
        hours = [len(payload) for box, payload in zip(owed, made, strict=True) if box.kind == "hour"]
        print(f"reading and packing {len(made)} boxes: {1e3 * spent / len(made):.2f} ms each")
        whole = hours[:-1] or hours
        print(f"an hour box: {median(whole):.0f} B, {median(whole) / (60 * probes):.2f} B a reading")


def memory() -> None:
    """Print what the modules of a record take beside those of an MQTT station."""
    child = (
        "import sys, resource\n"
        "import daemon.app, daemon.post.mqtt, daemon.outside.mqtt_desk, paho.mqtt.client, ssl\n"
        "if sys.argv[1] == 'record':\n    import daemon.outside.record\n"
        "status = open('/proc/self/status').read()\n"
        "print(status.split('VmRSS:')[1].split()[0])\n"
    )
    sizes = {}
    for what in ("plain", "record"):
        found = [
            int(subprocess.run([sys.executable, "-c", child, what], check=True, capture_output=True).stdout)
            for _ in range(5)
        ]
        sizes[what] = median(found)
    print(f"modules: {sizes['plain']:.0f} kB, recorded {sizes['record'] - sizes['plain']:+.0f} kB")


def main() -> None:
    """See above."""
    said = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    said.add_argument("--beats", type=int, default=2000)
    said.add_argument("--probes", type=int, default=8)
    said.add_argument("--disk", action="store_true")
    given = said.parse_args()
    with tempfile.TemporaryDirectory(dir=Path.cwd() if given.disk else None) as name:
        for part in ("plain", "told"):
            Path(name, part).mkdir()
        boxes(beats(Path(name), given.beats, given.probes, disk=given.disk), given.probes)
    memory()


if __name__ == "__main__":
    main()
