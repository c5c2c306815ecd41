"""Hands written letters to the carriers, each at its own pace: a dead one holds up no other."""

import logging
from collections.abc import Callable, Mapping, Sequence

from daemon.errors import NaupliadError
from daemon.letters.conversions import local, setting
from daemon.letters.letter_queue import LetterQueue
from daemon.post.carrier import (
    LONGEST_PAUSE_S,
    Carrier,
    Deferred,
    LetterRefused,
    Outgoing,
    Unreachable,
    retry_at,
)
from daemon.post.late_letters import Fate, Waiting, is_late, sorted_out
from daemon.post.message import marked
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import boots as boot_store
from daemon.store import deliveries as delivery_store
from daemon.store import letters as letter_store
from daemon.store.deliveries import Delivery
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.workers import Workers
from reports.language import spoken
from reports.letters.digest import HeldLetter, digest_letter, late_note, late_subject

log = logging.getLogger(__name__)

# Whether the trouble a letter tells of still stands; None where it tells of a moment instead.
Stands = Callable[[LetterRow, int], bool | None]

# How often a heap is looked over again while the carrier takes some letters and puts off others.
_SORT_AGAIN_S = HOUR_S


class Dispatch:
    """The outbox's way out. All of the store's work is done in the beat's thread; the workers carry."""

    def __init__(
        self,
        station: Station,
        store: WritingStore,
        carriers: Mapping[str, Carrier],
        workers: Workers,
        queue: LetterQueue,
        stands: Stands,
    ) -> None:
        """`carriers` by their names, which stand in the store."""
        self._station = station
        self._store = store
        self._carriers = carriers
        self._workers = workers
        self._queue = queue
        self._stands = stands
        self._busy: set[str] = set()
        self._sorted_at: dict[str, int] = {}
        self._moved_s = 0

    def take_up(self, at: int) -> None:
        """Go on with what waited when the station was last on."""
        with self._store.transaction() as connection:
            delivery_store.take_up(connection, list(self._carriers), at)

    def clock_moved(self, step_s: int) -> None:
        """What is under way was begun by a clock that was wrong by `step_s`."""
        self._moved_s += step_s

    def hand_over(self, at: int) -> None:
        """Give every carrier that is free the first letter that is due with it."""
        for name in self._carriers:
            while self._begin(name, at):
                pass

    def _begin(self, name: str, at: int) -> bool:
        """Whether something was begun with a carrier; it is done already where no thread does it."""
        if name in self._busy:
            return False
        first = delivery_store.next_due(self._store.connection, name, at, LONGEST_PAUSE_S)
        if first is None:
            return False
        self._busy.add(name)
        begun_s = at - self._moved_s
        carrier = self._carriers[name]
        if self._heap_to_sort(name, at):
            # What has become of the letters is asked when they can go, not while the line is down.
            self._workers.submit(
                carrier.reach,
                lambda _, error: self._reached(first, begun_s + self._moved_s, error),
                lane=name,
            )
        else:
            letter = self._outgoing(first)
            self._workers.submit(
                lambda: carrier.carry(letter),
                lambda _, error: self._carried(first, begun_s + self._moved_s, error),
                lane=name,
            )
        return True

    def _heap_to_sort(self, name: str, at: int) -> bool:
        sorted_at = self._sorted_at.get(name)
        if sorted_at is not None and 0 <= at - sorted_at < _SORT_AGAIN_S:
            return False
        return any(is_late(row.kind, row.written_at or at, at) for _, row in self._in_line(name))

    def _in_line(self, name: str) -> list[tuple[Delivery, LetterRow]]:
        connection = self._store.connection
        waiting = delivery_store.queued(connection, name)
        return [(delivery, letter_store.one(connection, delivery.letter)) for delivery in waiting]

    def _outgoing(self, delivery: Delivery) -> Outgoing:
        row = letter_store.one(self._store.connection, delivery.letter)
        message = letter_store.message(self._store.connection, row.id)
        if delivery.note:
            with spoken(self._station.language):
                message = marked(message, late_subject(row.subject), delivery.note)
        return Outgoing(row.number or 0, row.kind, row.written_at or row.at, row.about, message)

    def _reached(self, first: Delivery, at: int, error: Exception | None) -> None:
        self._busy.discard(first.carrier)
        if error is not None:
            self._failed(first, at, error if isinstance(error, Unreachable) else Unreachable(_fault(error)))
            return
        self._sorted_at[first.carrier] = at
        with self._store.transaction():
            self._sort_out(first.carrier, at)

    def _carried(self, delivery: Delivery, at: int, error: Exception | None) -> None:
        self._busy.discard(delivery.carrier)
        if error is not None:
            self._failed(delivery, at, error)
            return
        with self._store.transaction() as connection:
            delivery_store.sent(connection, delivery, at)

    def _failed(self, delivery: Delivery, at: int, error: Exception) -> None:
        fault = _fault(error)
        wait_s = error.wait_s if isinstance(error, Unreachable) else 0
        due_at = retry_at(delivery.attempts + 1, at, wait_s)
        with self._store.transaction() as connection:
            if isinstance(error, LetterRefused):
                log.error("letter %d was refused (%s): %s", delivery.letter, delivery.carrier, fault)
                delivery_store.park(connection, delivery, fault)
                return
            log.warning("letter %d did not go (%s): %s", delivery.letter, delivery.carrier, fault)
            if isinstance(error, Unreachable) and not isinstance(error, Deferred):
                self._sorted_at.pop(delivery.carrier, None)
                delivery_store.put_off_all(connection, delivery, due_at, fault)
            else:
                delivery_store.put_off(connection, delivery, due_at, fault)

    def _sort_out(self, name: str, at: int) -> None:
        """Note what is late, and put together what is only history."""
        lines = {delivery.letter: (delivery, row) for delivery, row in self._in_line(name)}
        plan = sorted_out([self._waiting(row, at) for _, row in lines.values()], at)
        for letter_id, fate in plan.late:
            delivery, row = lines[letter_id]
            with spoken(self._station.language):
                note = late_note(local(self._station, row.written_at or row.at), fate.value)
            delivery_store.set_note(self._store.connection, delivery, note)
        if plan.together:
            self._tell_together(name, at, [lines[letter_id] for letter_id, _ in plan.together], plan.together)

    def _waiting(self, row: LetterRow, at: int) -> Waiting:
        late = is_late(row.kind, row.written_at or row.at, at)
        stands = self._stands(row, at) if late else None
        return Waiting(row.id, row.kind, row.about, row.written_at or row.at, stands)

    def _tell_together(
        self,
        name: str,
        at: int,
        lines: Sequence[tuple[Delivery, LetterRow]],
        fates: Sequence[tuple[int, Fate]],
    ) -> None:
        """One digest for what waited; where another carrier's digest tells of it all, that one serves too."""
        connection = self._store.connection
        for delivery, _ in lines:
            delivery_store.merge(connection, delivery)
        rows = [row for _, row in lines]
        if self._digested_already(name, rows):
            return
        about = sorted({vessel for row in rows for vessel in row.about})
        digest_id = letter_store.hold(connection, at, "digest", "digest", at, about)
        digest = letter_store.one(connection, digest_id)
        fate_of = dict(fates)
        for row in rows:
            # An older digest that never went is no news; what it held is.
            for held in letter_store.merged_into(connection, row.id) if row.kind == "digest" else [row]:
                fate_of.setdefault(held.id, Fate.PASSED)
                letter_store.merge_into(connection, held.id, digest.id)
        letters = [
            self._held(row, fate_of[row.id]) for row in letter_store.merged_into(connection, digest.id)
        ]
        place = setting(self._station, connection, at, clock_sure=boot_store.is_sure_now(connection))
        self._queue.add(digest, digest_letter(place, name, letters), at)

    def _digested_already(self, name: str, rows: Sequence[LetterRow]) -> bool:
        by = {row.merged_into for row in rows if row.kind != "digest"}
        waiting = {row.id for _, row in self._in_line(name)}
        return len(by) == 1 and None not in by and by <= waiting

    def _held(self, row: LetterRow, fate: Fate) -> HeldLetter:
        written_at = local(self._station, row.written_at or row.at)
        return HeldLetter(row.number or 0, row.kind, row.subject, written_at, fate.value)


def _fault(error: Exception) -> str:
    """What may be shown: our own words; those of an error that nobody foresaw may hold secrets."""
    return str(error) if isinstance(error, NaupliadError) else f"an unforeseen fault: {type(error).__name__}"
