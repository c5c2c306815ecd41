"""Whose belief rests on a neighbour's readings of which trust thought otherwise when they were fed.

A neighbour's water counts where the vessel's own was silent (`estimates.timeline.gap`). Where it was not,
what trust takes back of the neighbour makes no difference some hours later.
"""

import sqlite3
from collections.abc import Iterable, Mapping
from itertools import pairwise

from daemon.estimates.timeline.timeline import GAP_S, NEIGHBOUR, WATER
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import readings as reading_store

_HELD_S = 3 * HOUR_S  # longer than a reading of a neighbour is of any use


class StaleNeighbours:
    """Which vessels' beliefs are not what the store says now."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, fed_with: Mapping[str, Mapping[str, str]]
    ) -> None:
        """`fed_with` says by vessel what each probe's readings are to it."""
        self._connection, self._fed_with = connection, fed_with
        self._gap_s = max(GAP_S, 3 * station.sample_every_s)
        self._held_s = max(_HELD_S, 2 * self._gap_s)
        self._revised: dict[str, list[tuple[int, int]]] = {}

    def revise(self, probe: str, since: int, until: int) -> None:
        """Trust thinks otherwise of a probe's readings with since <= at <= until (Unix s)."""
        for vessel_id, measures in self._fed_with.items():
            if measures.get(probe) == NEIGHBOUR:
                self._revised.setdefault(vessel_id, []).append((since, until))

    def read_anew(self, vessel_ids: Iterable[str]) -> None:
        """These were computed anew from the store."""
        for vessel_id in vessel_ids:
            self._revised.pop(vessel_id, None)

    def is_stale(self, vessel_id: str) -> bool:
        """Whether a vessel's belief may rest on readings as they no longer are; at once after, it may."""
        return any(self._leans(vessel_id, *span) for span in self._revised.get(vessel_id, ()))

    def _leans(self, vessel_id: str, since: int, until: int) -> bool:
        """Whether its own water was silent about then; what is not read yet is silence."""
        began, ended = since - self._held_s, until + self._held_s
        own = next((probe for probe, what in self._fed_with[vessel_id].items() if what == WATER), None)
        if own is None:
            return True
        read = [moment for moment, _ in reading_store.good_values(self._connection, own, began, ended)]
        return any(b - a > self._gap_s for a, b in pairwise([began, *read, ended]))
