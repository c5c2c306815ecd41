"""Slow work that must never block a beat: the drawing child and the post."""

import queue
import threading
import time
from collections.abc import Callable
from typing import Any, Protocol

from daemon.errors import NaupliadError

Task = Callable[[], Any]
Then = Callable[[Any, Exception | None], None]


class WorkerDied(NaupliadError):
    """The worker thread ended; the process must end too, so that it is started anew."""


class Workers(Protocol):
    """Do a task somewhere else and let the beat know what came of it."""

    def submit(self, task: Task, then: Then, *, lane: str = "") -> None:
        """Do `task`; `settle` calls `then(result, None)` or `then(None, error)` in the beat's thread.

        May be called from any thread, a task's own too.
        Tasks of a lane are done one at a time and in order; lanes do not wait for each other.
        """

    def settle(self) -> None:
        """Call what is due to be called for finished tasks."""

    def close(self, patience_s: float) -> None:
        """Take nothing more; wait at most `patience_s` for the task in hand."""


def _outcome(task: Task) -> tuple[Any, Exception | None]:
    try:
        return task(), None
    except Exception as error:  # whatever it was belongs to the one who asked, not to the thread
        return None, error


class InlineWorkers:
    """Does every task at once: played time stands still meanwhile."""

    def submit(self, task: Task, then: Then, *, lane: str = "") -> None:  # noqa: ARG002 - nothing waits here
        """Do the task and say what came of it."""
        then(*_outcome(task))

    def settle(self) -> None:
        """Nothing is ever left."""

    def close(self, patience_s: float) -> None:
        """Nothing to wait for."""


class ThreadWorkers:
    """One worker thread a lane, made when the lane is first used."""

    def __init__(self, wake: threading.Event) -> None:
        """`wake` is set whenever a task is finished."""
        self._wake = wake
        self._lock = threading.Lock()  # a task may submit another
        self._lanes: dict[str, queue.SimpleQueue[tuple[Task, Then] | None]] = {}
        self._threads: list[threading.Thread] = []
        self._finished: queue.SimpleQueue[tuple[Then, Any, Exception | None]] = queue.SimpleQueue()
        self._closed = False

    def submit(self, task: Task, then: Then, *, lane: str = "") -> None:
        """Put the task in its lane's line."""
        with self._lock:
            if lane not in self._lanes:
                self._lanes[lane] = queue.SimpleQueue()
                thread = threading.Thread(
                    target=self._work, args=(self._lanes[lane],), name=f"workers {lane}".strip(), daemon=True
                )
                thread.start()
                self._threads.append(thread)
            self._lanes[lane].put((task, then))

    def settle(self) -> None:
        """Tell of finished tasks. Raises WorkerDied when a thread is gone."""
        self._tell()
        if self._closed or not all(thread.is_alive() for thread in self._threads):
            raise WorkerDied("worker: found its thread ended; the daemon ends so that it is started anew")

    def close(self, patience_s: float) -> None:
        """Let the threads go; a task that hangs dies with the process."""
        self._closed = True
        with self._lock:
            for tasks in self._lanes.values():
                tasks.put(None)
        given_up = time.monotonic() + patience_s
        for thread in [*self._threads]:
            thread.join(max(0.0, given_up - time.monotonic()))
        self._tell()

    def _tell(self) -> None:
        while not self._finished.empty():
            then, result, error = self._finished.get()
            then(result, error)

    def _work(self, tasks: "queue.SimpleQueue[tuple[Task, Then] | None]") -> None:
        while (item := tasks.get()) is not None:
            task, then = item
            result, error = _outcome(task)
            self._finished.put((then, result, error))
            del item, task, then, result, error  # a night's record would be kept until the next task comes
            self._wake.set()
