"""A centre is told in boxes what this store owes it; a box is forgotten on its receipt alone."""

import sqlite3
from collections.abc import Callable, Collection
from typing import Protocol

from daemon.outside.record_bodies import Bodies
from daemon.outside.record_window import Window
from daemon.record.box import packed
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station
from daemon.store import outbox
from daemon.store.file import WritingStore
from daemon.store.outbox import Owed

# A new store whose clock nobody vouches for waits so long for somebody who does, before it takes a number.
_NUMBERED_ANYWAY_S = DAY_S
# It is not said again and again that the limit was reached while boxes come and go about it.
_ROOM_AGAIN = 0.9


class Line(Protocol):
    """Carries boxes to a centre, and receipts back."""

    def standing(self) -> int | None:
        """The number of the connection that stands; None where none does."""

    def awaits(self, numbers: Collection[int], *, impatient: bool) -> None:
        """Receipts for these, and no others, are kept; who is `impatient` is woken by one."""

    def send(self, n: int, payload: bytes) -> None:
        """Send a box. Does not wait, and never fails."""

    def received(self) -> set[int]:
        """The numbers that receipts have come for since the last time."""


class RecordDesk:
    """Reads what is due in the beat's own thread and hands it to the line."""

    def __init__(
        self,
        station: Station,
        store: WritingStore,
        line: Line,
        *,
        most: int,
        monotonic_s: Callable[[], float],
        is_sure: Callable[[], bool],
        is_full: Callable[[bool], object],
    ) -> None:
        """The store's outbox has begun. `most` boxes may wait; `is_full` hears, in a transaction, when some
        had to be given up and when there is room again. `is_sure` says whether the clock is known to be
        right.
        """
        self._station = station
        self._store = store
        self._line = line
        self._most = most
        self._monotonic_s = monotonic_s
        self._is_sure = is_sure
        self._is_full = is_full
        self._window = Window()
        self._began_s = monotonic_s()
        self._was_sure = is_sure()
        self._hour = 0

    def after_beat(self, at: int) -> None:
        """Send what is due at `at`, Unix seconds, and forget what the centre keeps."""
        self.look(at)
        if at // HOUR_S != self._hour:
            self._hour = at // HOUR_S
            self._keep_to_limit()

    def look(self, at: int) -> None:
        """The same between beats, where a deed was done or a receipt came."""
        connection, received = self._line.standing(), self._line.received()
        if connection is None and not received:
            return
        boxes: list[tuple[int, bytes]] = []
        with self._store.transaction() as store:
            if received:
                outbox.forget(store, received, at)
                self._window.drop(received)
            if connection is not None and (number := self._store_number(store, at)) is not None:
                bodies = Bodies(self._station, store, number)
                owed = self._due(store, connection, at)
                boxes = [(one.n, packed(bodies.box(one))) for one in owed]
        self._line.awaits(self._window.numbers, impatient=not self._window.room)
        for n, payload in boxes:
            self._line.send(n, payload)

    def _due(self, store: sqlite3.Connection, connection: int, at: int) -> list[Owed]:
        window, now_s = self._window, self._monotonic_s()
        window.drop(window.numbers - outbox.standing(store, window.numbers))
        again = window.again(connection, now_s)
        until = at if self._was_sure else None
        new = outbox.due(store, until, window.numbers, window.room) if window.room else []
        outbox.mark_sent(store, (box.n for box in new))
        window.add(new, now_s)
        return [*again, *new]

    def _store_number(self, store: sqlite3.Connection, at: int) -> int | None:
        """The store's number, once it can have one; by a clock that is right, what waits is numbered anew."""
        if not self._was_sure and self._is_sure():
            self._was_sure = True
            outbox.number_anew(store, at)
            self._window.drop(self._window.numbers)
        number = outbox.store_number(store)
        if number is None and (self._was_sure or self._monotonic_s() - self._began_s >= _NUMBERED_ANYWAY_S):
            outbox.give_store_number(store, at)
            number = outbox.store_number(store)
        return number

    def _keep_to_limit(self) -> None:
        with self._store.transaction() as store:
            waiting = outbox.waiting(store)
            boxes = 0 if waiting is None else waiting.boxes
            if boxes > self._most:
                outbox.give_up_oldest(store, self._most)
                self._is_full(True)
            elif boxes <= self._most * _ROOM_AGAIN:
                self._is_full(False)
