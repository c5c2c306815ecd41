"""What the local page costs: `python -m tests.bench.page`. Nothing is judged.

Sixty days of eight vessels, as tests/bench/recompute.py makes them: each view's size and processor time,
the process's memory after a thousand requests, and what the files of a first visit come to; then its memory
after what is rarely asked for. Then fifty readers at once beside a daemon that beats every five seconds: how
many views they got, how many beats were missed, and what both processes took.
"""

import argparse
import gzip
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from daemon.watching.beliefs import Beliefs
from tests.bench.measuring import compile_all, handles, machine, memory, ran_s, threads
from tests.bench.recompute import BEGAN, DAY_S, fill
from tests.kit.command_line import surroundings
from tests.kit.running_daemon import OFTEN_S, rehearsing, running
from tests.kit.station import probe, station, station_text, vessel

_HOUR_S = 3600
# What a lesson or an evening asks for once, if at all.
RARELY = (
    *("/night/2027-03-15", "/paper/labels", "/paper/week", "/do/cup-3", "/calendar.ics", "/records.zip"),
    "/plan/start?day=2027-06-10&from=10:00&to=11:30&water=22",
    *("/plan/dose", "/plan/cone?daily_at=08:00&water_c=26", "/plan/tin?put=50&hatched=20&hours=20&water=20"),
    *("/plan/tins", "/plan/experiment?factor=salt&levels=10;25;40&cups=4&of=50&near=window&seed=7"),
    *("/plan/wrap-up", "/plan/wrap-up/cup-3"),
)


def _text(count: int) -> str:
    probes = (probe(f"water-{n}") for n in range(count))
    vessels = (vessel(f"cup-{n}", f"water-{n}", lamp=["18:00-07:00"]) for n in range(count))
    return station_text(*probes, *vessels, name="Bench", zone="UTC")


def _filled(folder: Path, vessels: int, days: int) -> None:
    """Readings and deeds of all days, and of the last two what was believed hour by hour."""
    store = WritingStore(folder, durable=False)
    fill(store, vessels, days)
    until = BEGAN + days * DAY_S - 60
    with store.transaction() as connection:
        run_store.keep_station_file(connection, BEGAN, _text(vessels))
        told = station(*(_tables(vessels)), name="Bench", zone="UTC")
        for at in range(until - 2 * DAY_S, until + 1, 6 * _HOUR_S):
            beliefs = Beliefs(told, connection, at)
            beliefs.write([f"cup-{n}" for n in range(vessels)], at)
    store.close()
    (folder / "summary.json").write_text("{}")  # its now is its last reading


def _tables(count: int) -> Iterator[str]:
    yield from (probe(f"water-{n}") for n in range(count))
    yield from (vessel(f"cup-{n}", f"water-{n}", lamp=["18:00-07:00"]) for n in range(count))


@contextmanager
def _serving(state: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    words = [sys.executable, "-m", "daemon", "page", "--state", str(state), "--port", "0"]
    environ = {
        **surroundings(),
        "MALLOC_ARENA_MAX": "1",
        "MALLOC_MMAP_THRESHOLD_": "65536",
    }  # as its unit has it
    process = subprocess.Popen(words, env=environ, text=True, stdout=subprocess.PIPE)
    try:
        assert process.stdout is not None
        yield process, process.stdout.readline().split()[-1]
    finally:
        process.terminate()
        process.wait()


def _got(address: str) -> bytes:
    with urlopen(address, timeout=60) as answer:
        return bytes(answer.read())


def _views(process: "subprocess.Popen[str]", address: str, times: int) -> None:
    started = memory(process.pid).resident
    print(f"\n{'view':28} {'bytes':>8} {'gzip':>7} {'ms of processor, median':>24}")
    for path in ("/", "/today", "/class", "/vessel/cup-3", "/vessel/cup-3?span=batch", "/nights", "/station"):
        took, page = [], b""
        for _ in range(times):
            before = ran_s(process.pid)
            page = _got(address + path)
            took.append((ran_s(process.pid) - before) * 1000)
        print(f"{path:28} {len(page):8} {len(gzip.compress(page)):7} {statistics.median(took):24.1f}")
    first = _got(address + "/")
    files = re.findall(r'(?:href|src)="(/static/[^"]+)"', first.decode())
    size = len(first) + sum(len(_got(address + one)) for one in files)
    print(f"first visit: {size} bytes in {1 + len(files)} files")
    for _ in range(1000):
        _got(address + "/")
    print(f"resident: {started:.1f} MiB at the start; after a thousand requests {_of(process)}")
    for path in RARELY:
        _got(address + path)
        print(f"after {path}: {_of(process)}")


def _of(process: "subprocess.Popen[str]") -> str:
    """What a process takes now."""
    now = memory(process.pid)
    return (
        f"{now.resident:.1f} MiB (Pss {now.proportional:.1f}, own {now.own:.1f}), "
        f"{threads(process.pid)} threads, {handles(process.pid)} handles"
    )


def _readers(folder: Path, readers: int, seconds: int) -> None:
    with (
        running(rehearsing(folder, OFTEN_S), folder / "state") as daemon,
        _serving(daemon.state) as (page, address),
    ):
        over, views = time.monotonic() + seconds, [0] * readers
        before, ran = daemon.beats(), (ran_s(page.pid), ran_s(daemon.process.pid))

        def read(place: int) -> None:
            while time.monotonic() < over:
                _got(address + "/")
                views[place] += 1

        reading = [threading.Thread(target=read, args=(place,)) for place in range(readers)]
        for one in reading:
            one.start()
        for one in reading:
            one.join()
        came = daemon.beats() - before
        print(
            f"\n{readers} readers for {seconds} s: {sum(views)} views; {came} beats of {seconds // OFTEN_S}"
        )
        for name, process, since in (("page", page, ran[0]), ("daemon", daemon.process, ran[1])):
            print(f"{name}: {_of(process)}; {ran_s(process.pid) - since:.1f} s of processor")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--days", type=int, default=60)
    asked.add_argument("--vessels", type=int, default=8)
    asked.add_argument("--times", type=int, default=20)
    asked.add_argument("--readers", type=int, default=50)
    asked.add_argument("--seconds", type=int, default=60)
    told = asked.parse_args()
    compile_all()
    print(machine())
    with tempfile.TemporaryDirectory() as folder:
        state = Path(folder) / "state"
        state.mkdir()
        _filled(state, told.vessels, told.days)
        with _serving(state) as (process, address):
            _views(process, address, told.times)
        if told.readers:
            _readers(Path(folder), told.readers, told.seconds)


if __name__ == "__main__":
    main()
