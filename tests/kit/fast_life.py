"""The daemon in fast time, led from outside (tests/kit/led.py): `python -m tests.kit.fast_life TOLD` (JSON).

It is `run_station` itself: store, inbox, post, workers, signals, PatientBench, w1thermsensor. Only these
differ: the clock, which moves on when it is told to, and the folder of the 1-Wire bus.
"""

import gc
import json
import logging
import os
import resource
import signal
import socket
import sys
import threading
import time
from functools import partial
from pathlib import Path
from typing import Any

from daemon import station_probes
from daemon.app import House
from daemon.clock_keeper import Keeper
from daemon.running import run
from daemon.workers import Task, Then, ThreadWorkers
from sensors.probe_opening import Roots

# Only ever waited out where something hangs.
_PATIENCE_S = 300.0
_NAP_S = 0.02


class CountedBackroom(ThreadWorkers):
    """A workers that knows whether anything is under way."""

    def __init__(self, wake: threading.Event) -> None:
        super().__init__(wake)
        self.under_way = 0

    def submit(self, task: Task, then: Then, *, lane: str = "") -> None:
        def told(result: Any, error: Exception | None) -> None:
            self.under_way -= 1
            then(result, error)

        self.under_way += 1
        super().submit(task, told, lane=lane)


class LedClock:
    """Says on a line which moment comes next and how long the last beat took, and moves on at a word."""

    def __init__(self, began: int, line: socket.socket, *, patient: bool) -> None:
        """`patient`: time stands still while anything is drawn or sent."""
        self._began = self._now = began
        self._line = line.makefile("rw", encoding="ascii")
        self._patient = patient
        self.workers: CountedBackroom | None = None
        self.beat_s = 0.0

    def now_s(self) -> int:
        return self._now

    def monotonic_s(self) -> float:
        return float(self._now - self._began)

    def keeper(self) -> Keeper:
        return Keeper.NETWORK

    def boot(self) -> str:
        return f"led {os.getpid()}"  # each life its own: its monotonic clock begins anew

    def wait(self, until_monotonic_s: float, wake: threading.Event) -> bool:
        if wake.is_set():
            return False
        if self._patient and self.workers is not None and self.workers.under_way:
            return not wake.wait(_PATIENCE_S)
        moment = self._began + round(until_monotonic_s)
        self._say(f"{moment} {self.beat_s:.6f}")
        match self._line.readline().strip():
            case "go":
                self._now = moment
                return True
            case "count":
                gc.collect()
                self._say(str(len(gc.get_objects())))
                return self.wait(until_monotonic_s, wake)
            case "ask":
                wake.wait(_NAP_S)
                return False
        os.kill(os.getpid(), signal.SIGTERM)
        return not wake.wait(_PATIENCE_S)

    def tell_end(self) -> None:
        """How large the largest child was, in kB (with what this process was when it began one)."""
        self._say(str(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss))

    def _say(self, what: str) -> None:
        self._line.write(f"{what}\n")
        self._line.flush()


def live(told: dict[str, Any]) -> None:
    """Be the daemon until the line says `stop`."""
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s")
    clock = LedClock(told["began"], socket.socket(fileno=told["line"]), patient=told["patient"])

    class TimedHouse(House):
        def beat(self, at: int) -> None:
            began = time.perf_counter()
            super().beat(at)
            clock.beat_s = time.perf_counter() - began

    def counted(wake: threading.Event) -> CountedBackroom:
        clock.workers = CountedBackroom(wake)
        return clock.workers

    changed = {
        "WallClock": lambda: clock,
        "ThreadWorkers": counted,
        "House": TimedHouse,
    }
    for name, other in changed.items():
        assert hasattr(run, name)
        setattr(run, name, other)
    station_probes.openers = partial(station_probes.openers, roots=Roots(w1=Path(told["w1"])))
    run.run_station(Path(told["config"]), Path(told["state"]))
    clock.tell_end()


if __name__ == "__main__":
    live(json.loads(sys.argv[1]))
