"""What the checks of a set-up share: one probe, read in a thread of its own, that somebody may end."""

import threading
from collections.abc import Callable
from dataclasses import replace

from daemon.commissioning.machine import Machine
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.station import ProbePlan

# Whoever ends a check waits for no more than this, and a reading.
_PIECE_S = 0.5

FAILED = "the daemon failed at this; its log says how"
Start = Callable[[Callable[[], None]], None]


def endable(machine: Machine, ended: threading.Event) -> Machine:
    """The machine, but that it wakes up soon once `ended` is set."""

    def sleep(seconds: float) -> None:
        while seconds > 0 and not ended.is_set():
            piece_s = min(seconds, _PIECE_S)
            machine.sleep(piece_s)
            seconds -= piece_s

    return replace(machine, sleep=sleep)


def called(plan: ProbePlan) -> str:
    """A probe in a line: its name is whatever somebody sent."""
    return f"probe {shown(plan.id)} ({plan.driver}, {plan.measures})"


def one_at_a_time(what: str, reading: ProbePlan | None, wanted: ProbePlan) -> None:
    """Raises InputError where another probe than the one `wanted` is being read."""
    if reading is not None and reading != wanted:
        raise InputError(
            f"{what}: found {called(reading)} being read; allowed: to wait for it, or to end it first"
        )
