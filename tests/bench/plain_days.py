"""The figures of the plain script (tests/bench/plain_script.py), run as cron would run it."""

import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from tests.kit.busy_shelf import BEGAN, Shelf, Tree, value_c
from tests.kit.command_line import surroundings
from tests.kit.counted_writes import Counted, Written, built
from tests.kit.mail_server import Desk, mail_servers

_SCRIPT = Path(__file__).with_name("plain_script.py")
_DAY_MINUTES = 1440


@dataclass(frozen=True)
class Ran:
    """One process: wall and processor time, pages it made the kernel write."""

    wall_s: float
    cpu_s: float
    dirtied: int


@dataclass(frozen=True)
class PlainDays:
    """The mean of a minute's runs, and a night's; their peaks; what all those runs wrote."""

    minutes: int
    minute: Ran
    night: Ran
    minute_peak_mib: float
    night_peak_mib: float
    written_by_minutes: Written | None
    written_by_night: Written | None

    @property
    def cpu_a_day_s(self) -> float:
        return self.minute.cpu_s * _DAY_MINUTES + self.night.cpu_s


def plain(probes: int, minutes: int) -> PlainDays:
    """So many runs of a minute, upon a database that holds a day already, and one night."""
    shelf = Shelf(probes // 2)
    with tempfile.TemporaryDirectory(prefix="plain-script-") as name, mail_servers() as start:
        folder = Path(name)
        state = folder / "state"
        state.mkdir()
        tree = Tree(folder / "w1", shelf)
        library = built(folder)
        counted = Counted(library, folder / "noted", state) if library else None
        env = {**surroundings(), "SENSORS": str(tree.folder), **(counted.env if counted else {})}
        database = state / "temperatures.db"
        _fill(database, shelf)
        runs = []
        for minute in range(minutes):
            at = BEGAN + 60 * minute
            tree.show(at)
            runs.append(_run(["read", str(database)], {**env, "NOW": str(at)}))
        by_minutes = counted.taken() if counted else None
        port = start(Desk(), "plain-on-loopback").smtp_port
        night = _run(["night", str(database), str(port)], {**env, "NOW": str(BEGAN + 60 * minutes)})
        by_night = counted.taken() if counted else None
        peaks = [
            _peak_mib(words, env) for words in (["read", str(database)], ["night", str(database), str(port)])
        ]
    mean = Ran(
        sum(run.wall_s for run in runs) / minutes,
        sum(run.cpu_s for run in runs) / minutes,
        sum(run.dirtied for run in runs) // minutes,
    )
    return PlainDays(minutes, mean, night, *peaks, by_minutes, by_night)


def _fill(database: Path, shelf: Shelf) -> None:
    """Yesterday's readings."""
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("CREATE TABLE temperature (time INTEGER, sensor TEXT, celsius REAL)")
        rows = (
            (at, f"{cup}-{what}", value_c(at, cup, what))
            for at in range(BEGAN - 86_400, BEGAN, 60)
            for cup in range(shelf.cups)
            for what in ("water", "air")
        )
        connection.executemany("INSERT INTO temperature VALUES (?, ?, ?)", rows)
        connection.commit()


def _run(words: list[str], env: dict[str, str]) -> Ran:
    began = time.monotonic()
    process = subprocess.Popen([sys.executable, str(_SCRIPT), *words], env=env)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, words
    wall_s = time.monotonic() - began
    return Ran(wall_s, used.ru_utime + used.ru_stime, used.ru_oublock * 512)


def _peak_mib(words: list[str], env: dict[str, str]) -> float:
    """In a run of its own: a process begun from a large one has that one's size in its `ru_maxrss`."""
    code = (
        "import runpy, sys; sys.argv[:] = sys.argv[1:]; runpy.run_path(sys.argv[0], run_name='__main__')\n"
        "print(next(line for line in open('/proc/self/status') if line.startswith('VmHWM')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(_SCRIPT), *words],
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )
    return int(done.stdout.split()[1]) / 1024
