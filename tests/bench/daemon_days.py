"""The daemon's own figures: at rest in real time, over played days, and under load."""

import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from tests.bench.measuring import Memory, cpu_s, dirtied_bytes, loaded, memory, ran_s
from tests.kit.busy_shelf import BEGAN, DAY_S, Shelf, Tree
from tests.kit.checkout import ROOT
from tests.kit.command_line import surroundings
from tests.kit.counted_writes import Counted, Written, built
from tests.kit.led import led, of_the_unit
from tests.kit.mail_server import Desk, free_port, mail_servers

_BEAT_S = 5  # the shortest that a station file allows
_NOON = 6 * 3600  # after BEGAN
_START_S = 120.0


@dataclass(frozen=True)
class Rest:
    """At rest, in real time: two starts, memory, processor time a beat."""

    first_start_s: float
    later_start_s: float
    first: Memory
    later: Memory
    with_batches: Memory
    beats: int
    cpu_a_beat_s: float
    dirtied_a_beat: float
    numpy: bool


def rest(seconds: float) -> Rest:
    """`naupliad run` with eight probes: started twice, then watched for so long with a batch in each cup."""
    shelf = Shelf(4)
    with tempfile.TemporaryDirectory(prefix="naupliad-rest-") as name:
        folder = Path(name)
        tree = Tree(folder / "w1", shelf)
        tree.show(BEGAN)
        text = shelf.station_text(every_s=_BEAT_S, smtp_port=free_port())  # nobody is there: no letter is due
        (folder / "station.toml").write_text(text, encoding="utf-8")
        with _run(folder, tree) as (process, first_start_s):
            first = memory(process.pid)
        with _run(folder, tree) as (process, later_start_s):
            later = memory(process.pid)
            _set_all(folder / "state", shelf)
            before, dirtied, beats = ran_s(process.pid), dirtied_bytes(process.pid), _beats(folder)
            time.sleep(seconds)
            found = _beats(folder) - beats
            return Rest(
                first_start_s,
                later_start_s,
                first,
                later,
                memory(process.pid),
                found,
                (ran_s(process.pid) - before) / found,
                (dirtied_bytes(process.pid) - dirtied) / found,
                loaded(process.pid, "numpy"),
            )


@contextmanager
def _run(folder: Path, tree: Tree) -> Iterator[tuple["subprocess.Popen[bytes]", float]]:
    """The daemon, and how long it took until its first reading was in the store; then ended."""
    notify = folder / "notify"
    notify.unlink(missing_ok=True)
    words = ["run", "--config", str(folder / "station.toml"), "--state", str(folder / "state")]
    journal = (folder / "journal").open("a")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager, journal:
        manager.bind(str(notify))
        manager.settimeout(_START_S)
        began = time.monotonic()
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.kit.on_tree", str(tree.folder), *words],
            cwd=ROOT,
            env={**surroundings(), **of_the_unit(), "NOTIFY_SOCKET": str(notify)},
            stderr=journal,
        )
        try:
            while not manager.recv(500).startswith(b"READY=1"):
                pass
            yield process, time.monotonic() - began
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(60)


def _set_all(state: Path, shelf: Shelf) -> None:
    for cup in range(shelf.cups):
        deed = {"ask": "record", "vessel": f"cup-{cup}", "deed": "set", "amount": "0.05", "unit": "g"}
        answer = ask(state / INBOX, {**deed, "at": int(time.time()), "detail": "salt_g_per_l=25"}, 60.0)
        assert answer is not None, "the daemon ended"
        assert "error" not in answer, answer


def _beats(folder: Path) -> int:
    with closing(sqlite3.connect(f"file:{folder / 'state' / 'station.db'}?mode=ro", uri=True)) as connection:
        return int(connection.execute("SELECT count(DISTINCT at) FROM reading").fetchone()[0])


@dataclass(frozen=True)
class Days:
    """A played day, the mean of some after the first hours: what it wrote and what it took."""

    days: int
    written: Written | None
    dirtied_a_day: float
    cpu_a_day_s: float
    child_cpu_a_day_s: float
    after: Memory
    child_peak_mib: float
    beats_s: list[float]
    readings: int
    expected: int
    letters: int


def days(probes: int, count: int, first_h: int) -> Days:
    """So many played days with so many probes, after some first hours that are not counted."""
    shelf = Shelf(probes // 2)
    with tempfile.TemporaryDirectory(prefix="naupliad-days-") as name, mail_servers() as start:
        folder, desk = Path(name), Desk()
        tree = Tree(folder / "w1", shelf)
        library = built(folder)
        counted = Counted(library, folder / "noted", folder / "state") if library else None
        port = start(desk, "plain-on-loopback").smtp_port
        with led(folder, shelf, tree, port, env=counted.env if counted else None) as daemon:
            first_s = first_h * 3600
            daemon.play(tree, BEGAN + first_s)
            if counted:
                counted.taken()
            beats, letters = len(daemon.beats_s), len(desk.taken)
            cpu, dirtied = cpu_s(daemon.pid), dirtied_bytes(daemon.pid)
            daemon.play(tree, BEGAN + first_s + count * DAY_S)
            now = cpu_s(daemon.pid)
            after, dirtied = memory(daemon.pid), dirtied_bytes(daemon.pid) - dirtied
            written = counted.taken() if counted else None
            peak_mib = daemon.stop() / 1024
        return Days(
            count,
            written,
            dirtied / count,
            (now[0] - cpu[0]) / count,
            (now[1] - cpu[1]) / count,
            after,
            peak_mib,
            daemon.beats_s[beats:],
            _readings(folder),
            (60 * first_h + 1440 * count + 1) * shelf.probes,
            len(desk.taken) - letters,
        )


def _readings(folder: Path) -> int:
    with closing(sqlite3.connect(folder / "state" / "station.db")) as connection:
        return int(connection.execute("SELECT count(*) FROM reading").fetchone()[0])


@dataclass
class Load:
    """Beats and answers under load, in seconds; how many letters waited at the end."""

    beats_s: list[float] = field(default_factory=list)
    answers_s: list[float] = field(default_factory=list)
    waiting: int = 0


def load(hours: int) -> Load:
    """Eight probes, somebody asking all the time, no post, the night drawn while the beats go on."""
    shelf, found, stop = Shelf(4), Load(), threading.Event()
    with tempfile.TemporaryDirectory(prefix="naupliad-load-") as name:
        folder = Path(name)
        tree = Tree(folder / "w1", shelf)
        with led(folder, shelf, tree, free_port(), patient=False) as daemon:
            daemon.play(tree, BEGAN + _NOON)
            before = len(daemon.beats_s)

            def bother() -> None:
                while not stop.is_set():
                    began = time.monotonic()
                    deed = {"ask": "record", "vessel": "cup-0", "deed": "note", "detail": "text=and another"}
                    ask(folder / "state" / INBOX, {**deed, "at": daemon.at}, 60.0)
                    found.answers_s.append(time.monotonic() - began)

            asker = threading.Thread(target=bother)
            asker.start()
            try:
                daemon.play(tree, BEGAN + _NOON + hours * 3600)
            finally:
                stop.set()
                while asker.is_alive():  # its last request is answered at a beat
                    daemon.play(tree, daemon.at + 60)
                    asker.join(0.01)
            found.beats_s = daemon.beats_s[before:]
            daemon.stop()
        with closing(sqlite3.connect(folder / "state" / "station.db")) as connection:
            query = "SELECT count(*) FROM letter WHERE state = 'queued'"
            found.waiting = int(connection.execute(query).fetchone()[0])
    return found
