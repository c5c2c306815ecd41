"""The planned letters about absences and nights: before people leave, when they come back, every night."""

import sqlite3
from datetime import UTC, datetime
from math import inf

from daemon.alarms.letter_timing import ABSENCE_HOURS, morning_of_return, next_leave
from daemon.hours import next_absence
from daemon.letters.conversions import local
from daemon.letters.promise import goes
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import done_and_said
from daemon.store import letters as letter_store
from daemon.watching.beliefs import Beliefs

_LOOK_AGAIN_S = HOUR_S


class CalendarLetters:
    """Holds each planned letter once, by the ledger, for the moment when it is due."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Look ahead with these beliefs."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._coming: tuple[int, int, int] | None = None
        self._look_again_at = 0
        self._back_due_at: int | None = None

    def next_s(self, now: int) -> float:
        """When the next letter before or after an absence is due, later than `now`, Unix seconds; infinity
        where none is known: what was announced for a minute comes at it, however seldom probes are read.
        """
        leave_at = None if self._coming is None else self._coming[0]
        return min((at for at in (leave_at, self._back_due_at) if at is not None and at > now), default=inf)

    def look_again(self) -> None:
        """Look at the calendar anew: the time is another."""
        self._coming, self._look_again_at = None, 0

    def night(self, due_at: int) -> None:
        """Hold the night's letter, unless the station sends none or it is a quiet time."""
        if goes(self._station, self._connection, "nightly", due_at, ()):
            night = local(self._station, due_at).date().isoformat()
            letter_store.hold(self._connection, due_at, "nightly", f"nightly: {night}", due_at, ())

    def absences(self, at: int) -> None:
        """Hold the letter before an absence while people are still there, and the one at its end."""
        if at >= self._look_again_at:
            self._coming = next_leave(self._station, at)
            self._look_again_at = at + _LOOK_AGAIN_S if self._coming is None else self._coming[1]
        if self._coming is not None and self._coming[0] <= at < self._coming[1]:
            self._hold("leave", self._coming[1], at)

    def returning(self, at: int) -> None:
        """Hold the letter for the morning on which an absence that is under way ends."""
        absence = next_absence(self._station, at, ABSENCE_HOURS)
        if absence is not None and absence[0] <= at:
            self._back_due_at = morning_of_return(self._station, at)
            self._hold("return", absence[1], at, self._back_due_at)

    def _hold(self, kind: str, slot_at: int, at: int, due_at: int | None = None) -> None:
        running = self._beliefs.running()
        slot = datetime.fromtimestamp(slot_at, UTC).isoformat()
        due_at = at if due_at is None else due_at
        comes = goes(self._station, self._connection, kind, due_at, running)
        if comes and done_and_said.say_once(self._connection, kind, slot, at):
            letter_store.hold(self._connection, at, kind, kind, due_at, running)
