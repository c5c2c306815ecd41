"""A set-up's desk behind a real inbox, with the workers that a daemon has."""

import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.setting_up.desk import SetUpDesk, Sifted
from daemon.setting_up.place import SetUpPlace
from daemon.workers import ThreadWorkers

PATIENCE_S = 60.0


@dataclass(frozen=True, slots=True)
class Asked:
    """The desk as the page meets it."""

    state: Path

    def __call__(self, word: str, **words: Any) -> dict[str, Any]:
        """What it answers."""
        told = ask(self.state / INBOX, {"ask": word, **words}, PATIENCE_S)
        assert told is not None
        return told


@contextmanager
def asked(place: SetUpPlace) -> Iterator[Asked]:
    """Served as a daemon that waits for its first file does it: in a loop that does nothing else."""
    wake, over = threading.Event(), threading.Event()
    inbox, workers = Inbox(place.state / INBOX, wake), ThreadWorkers(wake)
    desk = SetUpDesk(place, workers)
    sifted = Sifted(inbox, desk)

    def serve() -> None:
        while not over.is_set():
            wake.wait()
            wake.clear()
            for request in sifted.requests():
                request.answer({"error": "inbox: no such word"})
            workers.settle()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        yield Asked(place.state)
    finally:
        over.set()
        wake.set()
        thread.join()
        desk.close()
        workers.close(PATIENCE_S)
        inbox.close()
    left = [thread.name for thread in threading.enumerate() if thread.name.startswith("workers set-up")]
    assert left == [], "a daemon that stops would wait for these"


def place_in(folder: Path, environ: Mapping[str, str] | None = None) -> SetUpPlace:
    """A station that waits for its first file."""
    return SetUpPlace(folder / "station.toml", folder, environ or {}, None)
