"""Hostile requests put to a real page process over a real store, before desks that listen: what was wrong."""

import re
import socket
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from daemon.page.guard.pin import Cost, page_folder, set_pin
from tests.bench.measuring import memory
from tests.kit.command_line import surroundings
from tests.kit.hostile.answers import Answer, faults_of, read
from tests.kit.hostile.asks import HOST, Ask
from tests.kit.listening_desks import PIN, Listening, leave_a_day, listening, shelf_text

_PATIENCE_S, _TOLD = 60.0, 400
_NEVER_CHANGED = ("reading", "station_file", "letter", "boot")


@dataclass
class Came:
    """What came of a run: how many of each status, what was wrong (the request's number first).

    `resident` is the process's memory, MiB, after each thousand requests and at last."""

    statuses: Counter[int] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    noted: int = 0
    unanswered: int = 0
    resident: list[float] = field(default_factory=list)


class Page:
    """A page's process, and somebody who knows the PIN."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.host = f"{HOST}:{port}"
        self.cookies: dict[str, str] = {}
        self.token = self.key = ""

    def answer(self, ask: Ask) -> Answer | None:
        """The answer; None where the connection was closed without one."""
        if ask.host == HOST:
            ask.host = self.host
        if ask.form is not None and ask.form.get("once") == "KEY":
            ask.form["once"] = self.key
        cookie = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        with socket.create_connection((HOST, self.port), timeout=_PATIENCE_S) as connection:
            try:
                connection.sendall(ask.raw(cookie, self.token))
                if ask.malformed:
                    connection.shutdown(socket.SHUT_WR)
            except OSError:  # it has heard enough
                pass
            raw = _received(connection)
        return read(raw, ask.method) if raw.startswith(b"HTTP/") else None

    def sign_in(self) -> None:
        """Take a session, its token, and the key of a form."""
        answer = self.answer(Ask("POST", "/pin", form={"pin": PIN}, signed=bool(self.cookies)))
        assert answer is not None, "no answer to the PIN"
        assert answer.status == 303, answer.text
        for one in re.findall(r"(naupliad-\w+)=([^;]+)", answer.headers["set-cookie"]):
            self.cookies[one[0]] = one[1]
        self.token = self._hidden("/pin", "form_token")
        self.new_key()

    def new_key(self) -> None:
        """The key of a form that is shown now."""
        self.key = self._hidden("/do/cup/note", "once")

    def _hidden(self, path: str, name: str) -> str:
        shown = self.answer(Ask("GET", path, signed=True))
        assert shown is not None
        found = re.search(rf'name="{name}" value="([^"]+)"', shown.text)
        assert found, shown.text[:500]
        return found[1]


def _received(connection: socket.socket) -> bytes:
    parts = []
    try:
        while part := connection.recv(65536):
            parts.append(part)
    except ConnectionError:
        pass
    return b"".join(parts)


@contextmanager
def _paged(folder: Path) -> Iterator[tuple[Page, "subprocess.Popen[str]", Path]]:
    state, log = folder / "state", folder / "log"
    environ = {**surroundings(), "MALLOC_ARENA_MAX": "1", "MALLOC_MMAP_THRESHOLD_": "65536"}
    with log.open("w") as lines:
        process = subprocess.Popen(
            [sys.executable, "-m", "daemon", "page", "--state", str(state), "--port", "0"],
            env=environ,
            text=True,
            stdout=subprocess.PIPE,
            stderr=lines,
        )
    try:
        assert process.stdout is not None
        yield Page(int(process.stdout.readline().rpartition(":")[2])), process, log
    finally:
        process.terminate()
        process.communicate()


def try_all(asked: Iterator[Ask], folder: Path, note: Callable[[int], object] = lambda _n: None) -> Came:
    """Put them one after another; `note` is told how many were."""
    (folder / "state").mkdir()
    leave_a_day(folder / "state", shelf_text(lots=True))
    set_pin(page_folder(folder / "state"), PIN, Cost(2, 8, 1))
    came = Came()
    with listening(folder / "state") as daemon, _paged(folder) as (page, process, log):
        daemon.now = int(time.time())
        page.sign_in()
        with closing(sqlite3.connect(f"file:{folder}/state/station.db?mode=ro", uri=True)) as store:
            kept = _kept(store)
            for number, ask in enumerate(asked):
                if number % 1000 == 0:
                    came.resident.append(memory(process.pid).resident)
                _one(came, number, ask, page, store, log, daemon)
                if process.poll() is not None:
                    came.faults.append(f"{number} {_told(ask)}: the process ended with {process.returncode}")
                    return came
                note(number + 1)
            after = _kept(store)
            came.faults += [f"at last: {one} was changed" for one in kept if kept[one] != after[one]]
        came.resident.append(memory(process.pid).resident)
    return came


def _one(
    came: Came, number: int, ask: Ask, page: Page, store: sqlite3.Connection, log: Path, daemon: Listening
) -> None:
    version, said, rows = _version(store), log.stat().st_size, len(daemon.rows())
    answer = page.answer(ask)
    faults: list[str] = []
    if answer is None:
        came.unanswered += 1
        faults += [] if ask.malformed else ["no answer"]
    else:
        came.statuses[answer.status] += 1
        # The desks that listen here set nothing up: what asks them says that there is no answer.
        faults += faults_of(answer, away=ask.path.startswith("/set-up"))
    changed = _version(store) != version
    taken = answer is not None and answer.status == 303
    if changed and not ask.signed:
        faults.append("something was noted without a PIN")
    if changed and not taken:
        faults.append("refused, and something was noted")
    noted = len(daemon.rows()) - rows
    came.noted += max(noted, 0)
    if not 0 <= noted <= len(ask.form or ()):
        faults.append(f"{noted} entries of one form")
    if log.stat().st_size != said:
        faults.append(f"in the log: {log.read_text()[said:][-2000:]}")
    came.faults += [f"{number} {_told(ask)}: {one}" for one in faults]
    if taken and ask.signed:
        page.new_key()


def _told(ask: Ask) -> str:
    return f"{ask.method} {ask.path[:200]!r} {str(ask.form or ask.headers)[:_TOLD]}"


def _version(store: sqlite3.Connection) -> int:
    """Another one whenever somebody else has written (sqlite.org/pragma.html#pragma_data_version)."""
    return int(store.execute("PRAGMA data_version").fetchone()[0])


def _kept(store: sqlite3.Connection) -> dict[str, int]:
    tables = {name for (name,) in store.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return {
        one: hash(tuple(store.execute(f"SELECT * FROM {one}"))) for one in _NEVER_CHANGED if one in tables
    }
