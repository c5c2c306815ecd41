"""The loop: one beat every `sample_every_s`, and jobs at their own moments, in real and in played time alike.

It waits on the monotonic clock, for the earlier of the next beat and the next job.
"""

import logging
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from daemon.clock import Clock

log = logging.getLogger(__name__)

# The wall clock may be slewed; a larger move is a step, and times worked out before it are wrong.
_STEP_S = 5


class Household(Protocol):
    """What is done at a beat and between beats."""

    def beat(self, at: int) -> None:
        """Take readings and do all that follows."""

    def between(self, at: int) -> None:
        """Do what cannot wait for the next beat: requests, finished work, jobs that came due."""

    def clock_stepped(self, at: int) -> None:
        """The wall clock was moved to `at`, or the machine was started again with another."""


def _nothing(_at: int) -> None:
    """For who need not hear."""


@dataclass(frozen=True, slots=True)
class Listener:
    """Who hears, in the loop's own thread, of what the household has done.

    `after_beat` is called when all of a beat was done, `after_between` when what could not wait was, each
    with the moment in Unix seconds. Of a beat that fails nobody hears: its error ends the loop.
    """

    after_beat: Callable[[int], None]
    after_between: Callable[[int], None] = _nothing


class Loop:
    """Calls the household at every beat until it is stopped or the time is up."""

    def __init__(
        self,
        household: Household,
        clock: Clock,
        every_s: int,
        wake: threading.Event,
        *,
        next_job_s: Callable[[], float],
        until_s: int | None = None,
        true_s: Callable[[], int] | None = None,
        listeners: Sequence[Listener] = (),
    ) -> None:
        """`next_job_s` says when the household next has something to do between beats, in wall time.

        `until_s` ends a play: the last beat is not after it, by `true_s` where its clock may be wrong.
        `listeners` hear in their order.
        """
        self._household = household
        self._clock = clock
        self._every_s = every_s
        self._wake = wake
        self._next_job_s = next_job_s
        self._until_s = until_s
        self._listeners = listeners
        self._stopping = threading.Event()
        self._offset = 0.0
        self._true_s = true_s or clock.now_s

    def stop(self) -> None:
        """End after what is being done now; may be called from a signal handler."""
        self._stopping.set()
        self._wake.set()

    def run(self) -> None:
        """Beat until stopped."""
        due = self._clock.monotonic_s()
        self._offset = self._clock.now_s() - due
        while not self._stopping.is_set() and self._time_left():
            self._offset = self._guard(self._offset)
            at = self._clock.now_s()
            self._household.beat(at)
            for listener in self._listeners:
                listener.after_beat(at)
            due = self._next_due(due)
            self._serve_until(due)

    def _serve_until(self, due: float) -> None:
        while True:
            woken = not self._clock.wait(min(due, self._next_job()), self._wake)
            if woken:
                self._wake.clear()  # before the question, or a stop that comes between them is slept over
                if self._stopping.is_set():
                    return
            elif self._clock.monotonic_s() >= due:
                return  # a job that is due by now is done by the beat
            self._offset = self._guard(self._offset)
            at = self._clock.now_s()
            self._household.between(at)
            for listener in self._listeners:
                listener.after_between(at)

    def _next_job(self) -> float:
        """The moment of the next job by the monotonic clock: never early, late by less than a second."""
        left_s = self._next_job_s() - self._clock.now_s()  # asked first: whole seconds, cut off
        return self._clock.monotonic_s() + max(0.0, left_s)

    def _time_left(self) -> bool:
        return self._until_s is None or self._true_s() <= self._until_s

    def _next_due(self, due: float) -> float:
        """The next moment of the rhythm; where a whole beat was missed, the rhythm begins anew from now."""
        now = self._clock.monotonic_s()
        return due + self._every_s if now < due + self._every_s else now + self._every_s

    def _guard(self, offset: float) -> float:
        found = self._clock.now_s() - self._clock.monotonic_s()
        step_s = round(found - offset)
        if abs(step_s) <= _STEP_S:
            return offset
        log.warning("the wall clock was moved by %d s", step_s)
        self._household.clock_stepped(self._clock.now_s())
        # After a start the household may hold the time back from what the store has seen.
        return self._clock.now_s() - self._clock.monotonic_s()
