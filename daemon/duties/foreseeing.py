"""The planned letters: the night's, the one before people leave, the one that tells of a hatch."""

import sqlite3
from datetime import UTC, datetime

from daemon.alarms.attention import leave_due_at, morning_of_return, planned_due_at
from daemon.duties.believing import Beliefs
from daemon.duties.setting import local
from daemon.hours import next_attended
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store import runs as run_store

# Time enough to be told within the same school day or on the morning before.
_HATCH_AHEAD_S = 14 * 3600
_LOOK_AGAIN_S = 3600


class Foresight:
    """Holds each planned letter once, by the ledger, for the moment when it is due."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Look ahead with these beliefs."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._coming: tuple[int, int, int] | None = None
        self._look_again_at = 0

    def night(self, due_at: int) -> None:
        """Hold the night's letter."""
        night = local(self._station, due_at).date().isoformat()
        letter_store.hold(self._connection, due_at, "nightly", f"nightly: {night}", due_at, ())

    def leave(self, at: int) -> None:
        """Hold the letter before an absence once its time has come and while people are still there."""
        if at >= self._look_again_at:
            self._coming = leave_due_at(self._station, at)
            self._look_again_at = at + _LOOK_AGAIN_S if self._coming is None else self._coming[1]
        if self._coming is None or not self._coming[0] <= at < self._coming[1]:
            return
        running = self._beliefs.running()
        slot = datetime.fromtimestamp(self._coming[1], UTC).isoformat()
        if running and run_store.begin_job(self._connection, "leave", slot, at):
            letter_store.hold(self._connection, at, "leave", "leave", at, running)

    def hatch(self, at: int) -> None:
        """Hold a letter for each batch whose hatch is near: now if somebody can look, else for the return."""
        for vessel_id in self._beliefs.running():
            batch = self._beliefs.of(vessel_id).running
            believed = self._beliefs.estimates(vessel_id, at).get("hatch_t50")
            if batch is None or believed is None or believed.p50 - at > _HATCH_AHEAD_S:
                continue
            if run_store.begin_job(self._connection, "hatch", f"{vessel_id} {batch.set_at}", at):
                due_at = self._when_to_tell(at, believed.p90)
                letter_store.hold(self._connection, at, "hatch", f"hatch: {vessel_id}", due_at, [vessel_id])

    def _when_to_tell(self, at: int, hatched_by: float) -> int:
        due_at = planned_due_at(self._station, at)
        back = next_attended(self._station, due_at)
        somebody_sees_it = back is not None and back <= hatched_by
        return due_at if somebody_sees_it else morning_of_return(self._station, due_at)
