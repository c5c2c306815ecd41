"""The whole start of a station with a long past: `python -m tests.bench.whole_start`. Nothing is judged.

From the process's start to the end of its first beat, every belief with it: sixty days of a reading a minute
from eight vessels, as tests/bench/recompute.py makes them, on real files. By the snapshot of a clean stop and
by none; then what of it the modules take, and the checks of the file and of its rows. In processor time.
"""

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from daemon.post.message import number_of
from daemon.running.disk.store import WORDS
from daemon.store.broken_file import look_at
from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.spoiled_rows import set_aside_spoiled
from daemon.watching.snapshot.file import FILE_NAME as SNAPSHOT
from tests.bench.measuring import compile_all, cpu_s, machine
from tests.bench.recompute import BEGAN, fill
from tests.kit.busy_shelf import DAY_S, EVERY_S, Shelf, Tree, address
from tests.kit.checkout import ROOT
from tests.kit.command_line import surroundings
from tests.kit.led import led
from tests.kit.mail_server import free_port
from tests.kit.station import probe, station_text, vessel

_TIMES = 5


@dataclass(frozen=True, slots=True)
class Tray(Shelf):
    """The shelf of tests/bench/recompute.py, on a 1-Wire bus: a thermometer in each cup."""

    def station_text(self, *, every_s: int = EVERY_S, smtp_port: int | None = None) -> str:
        """Without mail: letters go into the state folder."""
        cups = range(self.cups)
        probes = (probe(f"water-{n}", driver="ds18b20", address=address(n, "water")) for n in cups)
        vessels = (vessel(f"cup-{n}", f"water-{n}", lamp=["18:00-07:00"]) for n in cups)
        return station_text(*probes, *vessels, name="Bench", zone="UTC", every_s=every_s)


def _start(folder: Path, tree: Tree, shelf: Shelf, at: int, *, kept: bool) -> float:
    if not kept:
        (folder / "state" / SNAPSHOT).unlink(missing_ok=True)
    with led(folder, shelf, tree, free_port(), began=at) as life:
        took_s = cpu_s(life.pid)[0]
        life.stop()
    return took_s


def _of_processor(done: Callable[[], object]) -> float:
    began = time.process_time()
    done()
    return time.process_time() - began


def _rows(store: WritingStore) -> None:
    with store.transaction() as connection:
        set_aside_spoiled(connection, (), WORDS, number_of)


def _imports() -> float:
    words = "import time, tests.kit.fast_life; print(time.process_time())"
    done = subprocess.run(
        [sys.executable, "-c", words],
        cwd=ROOT,
        env=surroundings(),
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout)


def main() -> None:
    """Fill a store, start in it by turns, and print the middle of each."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--vessels", type=int, default=8)
    asked.add_argument("--days", type=int, default=60)
    told = asked.parse_args()
    compile_all()
    print(machine())
    with tempfile.TemporaryDirectory(prefix="naupliad-start-") as name:
        folder, shelf = Path(name), Tray(told.vessels)
        state = folder / "state"
        state.mkdir()
        store = WritingStore(state, durable=False)
        fill(store, told.vessels, told.days)
        store.close()
        tree = Tree(folder / "w1", shelf)
        at = BEGAN + told.days * DAY_S
        anew = _start(folder, tree, shelf, at, kept=False)
        kept = [_start(folder, tree, shelf, at + n * EVERY_S, kept=True) for n in range(1, _TIMES + 1)]
        file = [_of_processor(lambda: look_at(state / FILE_NAME)) for _ in range(_TIMES)]
        store = WritingStore(state)
        rows = [_of_processor(lambda: _rows(store)) for _ in range(_TIMES)]
        store.close()
    imports = [_imports() for _ in range(_TIMES)]
    print(f"{told.vessels} vessels, {told.days} days; to the first beat, processor: {anew:.2f} s read anew")
    print(f"{statistics.median(kept):.2f} s by a snapshot ({', '.join(f'{one:.2f}' for one in kept)})")
    parts = {"modules": imports, "file": file, "rows": rows}
    print("of it", ", ".join(f"{part} {statistics.median(took):.2f} s" for part, took in parts.items()))


if __name__ == "__main__":
    main()
