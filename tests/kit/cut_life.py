"""A nursery of station processes that live fast and are killed: `python -m tests.kit.cut_life`.

It has everything imported and forks a process for each line of JSON it is told, so that a thousand starts
take minutes. A process runs the daemon's own house, loop, store, workers and SMTP; only its clock goes
faster (a beat as soon as the last one is done) and its probes are made of a formula.
"""

import json
import math
import os
import sys
import threading
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock import WallClock
from daemon.clock_keeper import Keeper
from daemon.config import parse_station
from daemon.post.station_carriers import make_carriers
from daemon.running.disk.store import taken_up
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import ThreadWorkers
from sensors.probe_bench import InlineBench
from sensors.reading import Measure, Reading, judged

PROBES = {"cup-water": Measure.WATER_C, "room-air": Measure.ROOM_C}
_NAP_S = 0.002  # between two beats, for the threads of post and drawing
_DAY_S = 86_400


def value_at(at: int, probe: str) -> float:
    """What a probe reads: water that is too cold and too hot by turns; no two beats alike."""
    swing_c = 9.0 if probe == "cup-water" else 1.0
    return round(25.0 + swing_c * math.sin(2 * math.pi * at / (1.3 * _DAY_S)) + (at // 60 % 7) / 100, 4)


class FormulaProbe:
    """Reads `value_at`."""

    def __init__(self, probe: str) -> None:
        self.id = probe
        self.measures = PROBES[probe]

    def read(self, at: int) -> Reading:
        return judged(at, self.id, self.measures, value_at(at, self.id))

    def close(self) -> None:
        pass


class Diary:
    """Lines that outlive the process: the kernel has them when `write` returns."""

    def __init__(self, path: Path) -> None:
        self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)

    def tell(self, word: str, at: int) -> None:
        os.write(self._file, f"{word} {at}\n".encode())


class DiaryBench(InlineBench):
    """A bench that says when a beat begins."""

    def __init__(self, diary: Diary) -> None:
        super().__init__([FormulaProbe(probe) for probe in PROBES])
        self._diary = diary

    def sample(self, at: int) -> Sequence[Reading]:
        self._diary.tell("begun", at)
        return super().sample(at)


class QuickClock:
    """Every moment waited for comes after a nap; finished work of the workers still wakes the loop."""

    def __init__(self, began: int, life: str) -> None:
        self._began = self._now = began
        self._life = life

    def now_s(self) -> int:
        return self._now

    def monotonic_s(self) -> float:
        return float(self._now - self._began)

    def keeper(self) -> Keeper:
        return Keeper.NETWORK

    def boot(self) -> str:
        return self._life

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        if wake.wait(_NAP_S):
            return False
        self._now = self._began + round(until_monotonic_s)
        return True


def live(told: Mapping[str, Any]) -> None:
    """Beat from `began` on until killed; where `until` is told, beat up to it and then send what waits."""
    state, text = Path(told["state"]), Path(told["config"]).read_text(encoding="utf-8")
    station, diary = parse_station(text, told["config"]), Diary(Path(told["diary"]))
    clock, wake = QuickClock(told["began"], told["life"]), threading.Event()
    workers = ThreadWorkers(wake)

    def put_together(store: WritingStore) -> House:
        around = Surroundings(
            bench=DiaryBench(diary),
            clock=clock,
            workers=workers,
            carriers=make_carriers(station, state, {}),
            folder=state,
            free_bytes=lambda: 10**10,
            played_deeds=lambda at: _first_deed(store, at),
        )
        return House(station, text, store, around)

    if told["durable"]:
        # As the daemon does: what the life before had just forked may hold the lock until it is dead too.
        store, house = taken_up(state, clock.now_s(), put_together, WallClock())
    else:
        store = WritingStore(state, durable=False)
        house = put_together(store)
    diary.tell("up", clock.now_s())
    loop = Loop(
        house,
        house.clock,
        station.sample_every_s,
        wake,
        next_job_s=house.next_job_s,
        until_s=told.get("until"),
        listeners=[Listener(lambda at: diary.tell("done", at))],
    )
    loop.run()
    _send_all(house, store, clock.now_s())
    store.close()


def _first_deed(store: WritingStore, at: int) -> list[Deed]:
    if store.connection.execute("SELECT 1 FROM deed").fetchone():
        return []
    return [Deed(at, "cup", "set", 0.05, {"salt_g_per_l": 25.0})]


def _send_all(house: House, store: WritingStore, at: int) -> None:
    """Time stands still until nothing waits that could go now."""
    waits = "SELECT 1 FROM letter WHERE state = 'queued' OR state = 'held' AND due_at <= ?"
    given_up = time.monotonic() + 120.0
    while store.connection.execute(waits, (at,)).fetchone() and time.monotonic() < given_up:
        house.between(at)
        time.sleep(0.01)


def main() -> None:
    """Fork a life a line, say its process id, and say again when it has ended."""
    for line in sys.stdin:
        told = json.loads(line)
        born = os.fork()
        if born == 0:
            os.setsid()  # its drawing children die with it, as in a power cut
            os.environ["LOST_WRITES_LOG"] = told["log"]
            code = 1
            try:
                live(told)
                code = 0
            finally:
                if code:
                    import traceback

                    traceback.print_exc()
                os._exit(code)
        print(born, flush=True)  # noqa: T201 - the answer
        _, status = os.waitpid(born, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)  # noqa: T201 - as above


if __name__ == "__main__":
    main()
