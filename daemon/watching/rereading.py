"""One vessel's belief read anew from the store, a stretch of time at a time."""

import sqlite3
from collections.abc import Mapping, Sequence

from daemon.care.deed import Deed
from daemon.estimates.vessel import VesselBelief
from daemon.seconds import DAY_S
from daemon.store import readings as reading_store

_STRETCH_S = 4 * DAY_S  # 0.1 s where 60 days of 8 vessels take 14; a second or two on a small Pi


class Rereading:
    """A belief that is being read, with the deeds that it is read with, up to `reached` (Unix s) by now."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        belief: VesselBelief,
        fed_with: Mapping[str, str],
        deeds: Sequence[Deed],
        since: int,
    ) -> None:
        """`deeds` are all of the vessel, in time order; readings count that are later than `since`."""
        self._connection, self._fed_with = connection, fed_with
        self._waiting = list(deeds)
        self.belief, self.deeds, self.reached = belief, list(deeds), since

    def step(self, until: int) -> bool:
        """Read a stretch further, as far as `until` at most; whether that was reached."""
        self.read(min(until, self.reached + _STRETCH_S))
        return self.reached >= until

    def read(self, until: int) -> None:
        """Read as far as `until`; readings and deeds in the order of their times."""
        rows = reading_store.good_between(self._connection, list(self._fed_with), self.reached, until)
        for at, probe, value in rows:
            self._take_deeds(at)
            self.belief.feed_reading(at, self._fed_with[probe], value)
        self._take_deeds(until)
        self.reached = max(self.reached, until)

    def _take_deeds(self, until: int) -> None:
        while self._waiting and self._waiting[0].at <= until:
            self.belief.feed_deed(self._waiting.pop(0))
