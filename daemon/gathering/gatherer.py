"""The gatherer at work: receive, store, commit, acknowledge, send receipts.

In this order: a station forgets a box on its receipt.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from daemon.gathering.arrivals import Arrival
from daemon.gathering.keeping import BoxKeeping, DatabaseAway
from daemon.gathering.line import GatherLine
from daemon.record.box import receipt
from daemon.running.service_notices import ServiceNotices
from daemon.seconds import HOUR_S

Answer = TypeVar("Answer")
log = logging.getLogger(__name__)
# Said every five minutes for years, and never left out as a line that comes again.
counted = logging.getLogger(f"{__name__}.counts")

_TELL_EVERY_S = 300
_MONTHS_EVERY_S = 6 * HOUR_S
_LOOK_S = 1.0


@dataclass
class _Counts:
    """Since the last line in the log; `longest_s` is the longest transaction, in seconds."""

    kept: int = 0
    refused: int = 0
    transactions: int = 0
    longest_s: float = 0.0


class Gatherer:
    """Keeps what the line brings until it is stopped."""

    def __init__(
        self,
        line: GatherLine,
        keeping: BoxKeeping,
        stop: threading.Event,
        notices: ServiceNotices,
        *,
        retry_s: tuple[float, float] = (1.0, 60.0),
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """`retry_s` are the first and the longest pause between tries of the database, in seconds."""
        self._line = line
        self._keeping = keeping
        self._stop = stop
        self._notices = notices
        self._retry_s = retry_s
        self._clock = clock
        self._counts = _Counts()
        self._told_at = clock()
        self._months_made_at = clock() - _MONTHS_EVERY_S

    def run(self) -> None:
        """Until `stop` is set. Raises InputError where the database is not prepared."""
        self._notices.ready()  # nobody who starts it need wait for the database
        self._until_it_answers(self._keeping.check)
        while not self._stop.is_set():
            arrivals = self._line.arrivals.take(_LOOK_S)
            if arrivals:
                self._keep(arrivals)
            else:
                self._line.ask_for_the_rest()
            self._notices.alive()
            self._tell()
            self._make_months()

    def _keep(self, arrivals: list[Arrival]) -> None:
        began = self._clock()
        kept = self._until_it_answers(lambda: self._keeping.keep(arrivals))
        if kept is None:
            return
        self._line.acknowledge(arrivals)
        for key, numbers in kept.numbers.items():
            self._line.send_receipt(key, receipt(numbers))
        counts = self._counts
        counts.kept += len(arrivals) - kept.refused
        counts.refused += kept.refused
        counts.transactions += 1
        counts.longest_s = max(counts.longest_s, self._clock() - began)

    def _until_it_answers(self, ask: Callable[[], Answer]) -> Answer | None:
        """What the database answers, however long it is away; None where the gatherer is stopped first."""
        pause_s, longest_s = self._retry_s
        failing = False
        while True:
            try:
                answer = ask()
            except DatabaseAway as fault:
                if not failing:
                    log.warning("gather: %s; it is tried again, and nothing is acknowledged", fault)
                failing = True
            else:
                if failing:
                    log.info("gather: the database is there again")
                return answer
            self._notices.alive()
            if self._stop.wait(pause_s):
                return None
            pause_s = min(2 * pause_s, longest_s)

    def _tell(self) -> None:
        if self._clock() - self._told_at < _TELL_EVERY_S:
            return
        counts = self._counts
        counted.info(
            "gather: in 5 min %d boxes kept, %d refused, %d transactions, the longest %.2f s; %d wait",
            counts.kept,
            counts.refused,
            counts.transactions,
            counts.longest_s,
            len(self._line.arrivals),
        )
        self._counts = _Counts()
        self._told_at = self._clock()

    def _make_months(self) -> None:
        """Months are made long before they are needed: a try that fails is followed by others."""
        if self._clock() - self._months_made_at < _MONTHS_EVERY_S:
            return
        self._months_made_at = self._clock()
        try:
            self._keeping.make_months()
        except DatabaseAway as fault:
            log.warning("gather: no months were made ahead: %s; it is tried again in 6 h", fault)
