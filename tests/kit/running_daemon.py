"""`naupliad run` as a process of its own: begun, looked at, ended; and stations that it can run."""

import signal
import socket
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from tests.kit import hurried_daemon
from tests.kit.command_line import PATIENCE_S, Said, begin, ended, naupliad, surroundings, until
from tests.kit.hurried_daemon import hurried_from
from tests.kit.station import station_text, zone_where_it_is

# A beat a minute: a daemon that hears of its end only at the next beat is one that hangs.
SELDOM_S = 60
OFTEN_S = 5


@dataclass
class Running:
    """A daemon that runs, and its state folder."""

    process: subprocess.Popen[str]
    state: Path
    stopped_in_s: float = 0.0

    def rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """What stands in the store, read beside the daemon."""
        with closing(sqlite3.connect(f"file:{self.state}/station.db?mode=ro", uri=True)) as connection:
            return connection.execute(query, values).fetchall()

    def answers(self) -> bool:
        """Whether the daemon is past its first beat: only then does it answer, be it with a refusal."""
        return ask(self.state / INBOX, {"ask": "nothing"}) is not None

    def beats(self) -> int:
        return len(self.rows("SELECT DISTINCT at FROM reading"))

    def stop(self, by: signal.Signals = signal.SIGTERM) -> Said:
        began = time.monotonic()
        self.process.send_signal(by)
        said = ended(self.process)
        self.stopped_in_s = time.monotonic() - began
        print(f"{by.name}: ended with {said.code} after {self.stopped_in_s:.2f} s")  # noqa: T201 - with -s
        return said


@contextmanager
def running(config: Path, state: Path, *, hurried: bool = False, **more: Any) -> Iterator[Running]:
    """The daemon, up to its first readings in this life; ended when the test is over, however that went.

    `hurried`: its clocks run fast (tests/kit/hurried_daemon.py).
    """
    if hurried:
        environ = {**more.pop("env", surroundings()), **hurried_from(config.parent)}
        more |= {"module": hurried_daemon.__name__, "env": environ}
    process = begin("run", "--config", config, "--state", state, folder=config.parent, **more)
    daemon = Running(process, state)
    try:
        until("the inbox answers", lambda: process.poll() is not None or daemon.answers())
        assert process.poll() is None, process.communicate()
        yield daemon
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()


def rehearsing(folder: Path, every_s: int) -> Path:
    """A station file for a simulated room, at noon with somebody there: no planned letter comes."""
    zone = zone_where_it_is(12, int(time.time()))
    text = station_text(driver="rehearsal", every_s=every_s, zone=zone, attended=())
    (folder / "station.toml").write_text(text, encoding="utf-8")
    return folder / "station.toml"


def care(state: Path, *words: str) -> Said:
    """`naupliad care`, which must succeed."""
    said = naupliad("care", words[0], "--state", state, *words[1:])
    assert (said.code, said.err) == (0, "")
    return said


def somebody_there(folder: Path) -> Path:
    """A station file for a simulated room at noon, with somebody in it: letters need not wait."""
    text = station_text(
        driver="rehearsal",
        every_s=OFTEN_S,
        zone=zone_where_it_is(12, int(time.time())),
        attended=("Mon-Sun 08:00-18:00",),
    )
    (folder / "station.toml").write_text(text, encoding="utf-8")
    return folder / "station.toml"


@contextmanager
def served(
    config: Path, state: Path, folder: Path, *first: Path, hurried: bool = False
) -> Iterator[tuple[Running, Callable[[str], str]]]:
    """A daemon under what stands for systemd; the function waits for a notice that begins so.

    It imports from `first` before all else: a `sitecustomize.py` there is run before its own first line.
    `hurried`: its clocks run fast (tests/kit/hurried_daemon.py).
    """
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(folder / "notify"))
        manager.settimeout(PATIENCE_S)
        environ = {**surroundings(*first), "NOTIFY_SOCKET": str(folder / "notify")}
        words = ("run", "--config", config, "--state", state)
        if hurried:
            environ |= hurried_from(folder)
        module = hurried_daemon.__name__ if hurried else "daemon"
        process = begin(*words, folder=folder, module=module, env=environ)

        def notice(beginning: str) -> str:
            given_up = time.monotonic() + PATIENCE_S  # one that waits tells its watchdog so for ever
            while not (told := manager.recv(4000).decode()).startswith(beginning):
                assert process.poll() is None
                assert time.monotonic() < given_up, f"waited {PATIENCE_S:g} s in vain: {beginning}"
            return told

        try:
            yield Running(process, state), notice
        finally:
            if process.poll() is None:
                process.kill()
                process.communicate()
            (folder / "notify").unlink()
