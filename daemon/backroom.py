"""Slow work that must never block a beat: the drawing child and the post."""

import queue
import threading
from collections.abc import Callable
from typing import Any, Protocol

from daemon.errors import NaupliadError

Task = Callable[[], Any]
Then = Callable[[Any, Exception | None], None]


class BackroomDied(NaupliadError):
    """The worker thread ended; the process must end too, so that it is started anew."""


class Backroom(Protocol):
    """Does a task somewhere else and tells the beat what came of it."""

    def submit(self, task: Task, then: Then) -> None:
        """Do `task`; `settle` calls `then(result, None)` or `then(None, error)` in the beat's thread."""

    def settle(self) -> None:
        """Call what is due to be called for finished tasks."""

    def close(self, patience_s: float) -> None:
        """Take nothing more; wait at most `patience_s` for the task in hand."""


def _outcome(task: Task) -> tuple[Any, Exception | None]:
    try:
        return task(), None
    except Exception as error:  # whatever it was belongs to the one who asked, not to the thread
        return None, error


class InlineBackroom:
    """Does every task at once: played time stands still meanwhile."""

    def submit(self, task: Task, then: Then) -> None:
        """Do the task and tell."""
        then(*_outcome(task))

    def settle(self) -> None:
        """Nothing is ever left."""

    def close(self, patience_s: float) -> None:
        """Nothing to wait for."""


class ThreadBackroom:
    """One worker thread, one task at a time, in order."""

    def __init__(self, wake: threading.Event) -> None:
        """Start the thread; `wake` is set whenever a task is finished."""
        self._wake = wake
        self._tasks: queue.SimpleQueue[tuple[Task, Then] | None] = queue.SimpleQueue()
        self._finished: queue.SimpleQueue[tuple[Then, Any, Exception | None]] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name="backroom", daemon=True)
        self._thread.start()

    def submit(self, task: Task, then: Then) -> None:
        """Put the task in line."""
        self._tasks.put((task, then))

    def settle(self) -> None:
        """Tell of finished tasks. Raises BackroomDied when the thread is gone."""
        while not self._finished.empty():
            then, result, error = self._finished.get()
            then(result, error)
        if not self._thread.is_alive():
            raise BackroomDied("backroom: found its thread ended; the daemon ends so that it is started anew")

    def close(self, patience_s: float) -> None:
        """Let the thread go; a task that hangs dies with the process."""
        self._tasks.put(None)
        self._thread.join(patience_s)
        while not self._finished.empty():
            then, result, error = self._finished.get()
            then(result, error)

    def _work(self) -> None:
        while (item := self._tasks.get()) is not None:
            task, then = item
            result, error = _outcome(task)
            self._finished.put((then, result, error))
            self._wake.set()
