"""Leads a daemon through played days: shows it the readings of each moment, does the deeds, looks at it.

The daemon is a process of its own (tests/kit/fast_life.py); it says which moment comes next, and goes there
when everything for that moment stands.
"""

import json
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from tests.kit.busy_shelf import BEGAN, EVERY_S, Shelf, Tree
from tests.kit.checkout import ROOT
from tests.kit.command_line import surroundings


def of_the_unit() -> dict[str, str]:
    """What systemd/naupliad.service sets for the daemon, but for folders that systemd makes."""
    lines = (ROOT / "systemd" / "naupliad.service").read_text("utf-8").splitlines()
    pairs = (
        line.removeprefix("Environment=").split("=", 1) for line in lines if line.startswith("Environment=")
    )
    return {name: value for name, value in pairs if "%" not in value}


class Led:
    """A daemon under way in played time."""

    def __init__(
        self, process: subprocess.Popen[str], line: socket.socket, state: Path, shelf: Shelf
    ) -> None:
        self.process, self.state, self.shelf = process, state, shelf
        self._line = line.makefile("rw", encoding="ascii")
        self.beats_s: list[float] = []
        self.at = BEGAN
        self._next, _ = self._hear()

    @property
    def pid(self) -> int:
        return self.process.pid

    def play(self, tree: Tree, until: int, each: Callable[[int], None] = lambda _at: None) -> None:
        """Go on up to a moment. `each` is called before every beat with its moment."""
        while self._next <= until:
            moment = self._next
            each(moment)
            tree.show(moment)
            for words in self.shelf.deeds(self.at, moment):
                self._ask({**words, "at": self.at})
            self._say("go")
            self.at = moment
            self._next, beat_s = self._hear()
            self.beats_s.append(beat_s)

    def objects(self) -> int:
        """How many objects the daemon's garbage collector knows."""
        self._say("count")
        count = int(self._line.readline())
        self._next, _ = self._hear()
        return count

    def stop(self) -> int:
        """End it by a signal, as systemd does; the peak of its largest child, in kB."""
        self._say("stop")
        peak_kb = int(self._line.readline())
        assert self.process.wait(60) == 0
        return peak_kb

    def _ask(self, words: Mapping[str, object]) -> None:
        answers: list[object] = []
        thread = threading.Thread(target=lambda: answers.append(ask(self.state / INBOX, words, 60.0)))
        thread.start()
        while thread.is_alive():
            self._say("ask")
            self._next, _ = self._hear()
            thread.join(0.01)
        assert answers and isinstance(answers[0], dict), answers  # noqa: PT018 - one thing: it was answered
        assert "error" not in answers[0], answers[0]

    def _say(self, word: str) -> None:
        self._line.write(f"{word}\n")
        self._line.flush()

    def _hear(self) -> tuple[int, float]:
        """The moment that comes next, and how long the last beat took."""
        said = self._line.readline().split()
        assert said, f"the daemon ended: {self.process.poll()}"
        return int(said[0]), float(said[1])


@contextmanager
def led(
    folder: Path,
    shelf: Shelf,
    tree: Tree,
    smtp_port: int,
    *,
    patient: bool = True,
    began: int = BEGAN,
    every_s: int = EVERY_S,
    env: Mapping[str, str] | None = None,
    module: str = "tests.kit.fast_life",
) -> Iterator[Led]:
    """A daemon at its first moment in `folder`; ended when all is done, however that went."""
    config, state = folder / "station.toml", folder / "state"
    config.write_text(shelf.station_text(every_s=every_s, smtp_port=smtp_port), encoding="utf-8")
    ours, its = socket.socketpair()
    tree.show(began)
    told = {
        "config": str(config),
        "state": str(state),
        "w1": str(tree.folder),
        "began": began,
        "line": its.fileno(),
        "patient": patient,
    }
    with (folder / "journal").open("a") as journal, ours:
        process = subprocess.Popen(
            [sys.executable, "-m", module, json.dumps(told)],
            pass_fds=[its.fileno()],
            cwd=ROOT,
            env={**surroundings(), **of_the_unit(), **(env or {})},
            stderr=journal,
            text=True,
        )
        its.close()
        try:
            yield Led(process, ours, state, shelf)
        finally:
            if process.poll() is None:
                process.kill()
                process.wait()
