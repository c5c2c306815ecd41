"""The outbox at work: words for letters whose time has come; then they are numbered, queued and sent."""

import logging
from collections.abc import Mapping, Sequence
from dataclasses import replace

from daemon.alarms.letter_timing import morning_of_return, planned_due_at
from daemon.letter_kinds import ABSENCES, LETTER_KINDS, OF_A_BATCH, UNPLANNED
from daemon.letters.dispatch import Dispatch
from daemon.letters.letter_queue import LetterQueue
from daemon.letters.night_record import night_of
from daemon.letters.nights import NightAsked, Nights, NightTold, looked_up
from daemon.letters.scribe import Scribe
from daemon.letters.still_news import still_news
from daemon.post.carrier import Carrier
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.workers import Workers
from reports.letters.nightly import nightly_letter
from reports.letters.page import lead_of
from reports.records import LetterText

_LOOKS_AGAIN_S = HOUR_S // 2
_BELATED_S = HOUR_S // 2  # the station was off meanwhile, or too busy to keep any promise
# What one letter of a kind says: the rows it settles, the vessels, the words.
_Worded = tuple[list[LetterRow], list[str], LetterText]

log = logging.getLogger(__name__)


class PostDesk:
    """Writes what is due and sends what is written. The workers draw and carry; the beat only writes."""

    def __init__(
        self,
        station: Station,
        store: WritingStore,
        scribe: Scribe,
        workers: Workers,
        carriers: Mapping[str, Carrier],
        nights: Nights,
    ) -> None:
        """`carriers` by name; `nights` make the letters of nights."""
        self._station = station
        self._store = store
        self._scribe = scribe
        self._workers = workers
        self._nights = nights
        self._due_nights: list[LetterRow] = []
        self._drawing: set[int] = set()
        self._moved_s = 0
        self._queue = LetterQueue(station, store, list(carriers))
        self._dispatch = Dispatch(station, store, carriers, workers, self._queue, self._stands)

    def take_up(self, at: int) -> None:
        """Go on with what waited when the station was last on."""
        self._dispatch.take_up(at)

    def clock_moved(self, step_s: int) -> None:
        """What is under way was begun by a clock that was wrong by `step_s`."""
        self._moved_s += step_s
        self._dispatch.clock_moved(step_s)

    def write_due(self, at: int) -> None:
        """Give words to held letters whose time has come. Inside the beat's transaction."""
        due = self._with_news(letter_store.due(self._store.connection, "held", at), at)
        rows = self._without_the_belated(due, at)
        if any(row.kind == "return" for row in rows):  # who leaves again that day has one letter for both
            rows = self._write_gathered("leave", ("return", *UNPLANNED, *OF_A_BATCH), rows, at)
        rows = self._write_gathered("return", (*UNPLANNED, *OF_A_BATCH), rows, at)
        rows = self._write_gathered("leave", OF_A_BATCH, rows, at)
        for kinds in (UNPLANNED, OF_A_BATCH):
            self._write_together([row for row in rows if row.kind in kinds], kinds, at)
        for kind in ABSENCES:
            self._write_alike([row for row in rows if row.kind == kind], kind, at)
        for row in rows:
            if row.kind == "nightly" and row.id not in self._drawing:
                self._drawing.add(row.id)
                self._due_nights.append(row)

    def _with_news(self, rows: Sequence[LetterRow], at: int) -> list[LetterRow]:
        """Without those of which another letter told meanwhile, and nothing came since."""
        connection, kept = self._store.connection, []
        for row in rows:
            if row.kind in UNPLANNED and not still_news(self._station, connection, row, at):
                self._settle([row], None, (), at)
            else:
                kept.append(row)
        return kept

    def _without_the_belated(self, rows: Sequence[LetterRow], at: int) -> list[LetterRow]:
        """What was due while the station was off keeps quiet hours and empty rooms as anything else does."""
        in_time = []
        for row in rows:
            belated = at - row.due_at > _BELATED_S and row.id not in self._drawing
            asked = row.kind in self._station.post.urgent
            due_at = at if asked else self._read_at(row.kind, at)
            if belated and due_at > at and not self._scribe.urgent(row.kind, row.about, at):
                letter_store.put_off(self._store.connection, row.id, due_at)
            else:
                in_time.append(row)
        return in_time

    def _read_at(self, kind: str, at: int) -> int:
        """When what is belated may go: after the quiet hours, and where only who is there can do anything
        about it, when they come."""
        due_at = planned_due_at(self._station, at)
        waits = LETTER_KINDS[kind].waits_for_somebody
        return morning_of_return(self._station, due_at) if waits else due_at

    def hand_over(self, at: int) -> None:
        """Begin the nights that are due; give each carrier its first due letter, unless it is busy with one.

        After the beat's transaction: who makes a night reads what that wrote.
        """
        while self._due_nights:
            self._begin_night(self._due_nights.pop(0), at)
        self._dispatch.hand_over(at)

    def _write_together(self, rows: Sequence[LetterRow], kinds: Sequence[str], at: int) -> None:
        """One letter for all that waited: the most urgent speaks, the others stand at its foot."""
        written = self._worded(rows, kinds, at)
        if not written:
            return
        (first, about, text), others = written[0], written[1:]
        if others:
            text = self._scribe.letter(first[0].kind, about, at, _leads(others)) or text
        self._settle(first, text, about, at)
        self._tell_in(others, first[0], at)

    def _write_gathered(
        self, kind: str, with_it: Sequence[str], rows: Sequence[LetterRow], at: int
    ) -> list[LetterRow]:
        """Before and after an absence one letter tells all that is due with it; gives what it does not tell.

        Heat that does not wait has a letter of its own. Hatch and feeding stand in these letters anyway.
        """
        tellers = [row for row in rows if row.kind == kind]
        about = self._scribe.about(kind, _about(tellers), at)
        if not tellers or self._scribe.letter(kind, about, at) is None:
            return list(rows)
        others = [row for row in rows if row.kind in with_it]
        apart = [row for row in others if self._scribe.urgent(row.kind, row.about, at)]
        written = self._worded([row for row in others if row not in apart], with_it, at)
        leading = [one for one in written if one[0][0].kind != "feed"]
        self._settle(tellers, self._scribe.letter(kind, about, at, _leads(leading)), about, at)
        self._tell_in(written, tellers[0], at)
        return [*apart, *(row for row in rows if row.kind != kind and row.kind not in with_it)]

    def _worded(self, rows: Sequence[LetterRow], kinds: Sequence[str], at: int) -> list[_Worded]:
        """The words for rows of these kinds, a letter a kind; rows with nothing left to say are settled."""
        written: list[_Worded] = []
        for kind in kinds:
            alike = [row for row in rows if row.kind == kind]
            about = self._scribe.about(kind, _about(alike), at) if alike else []
            text = self._scribe.letter(kind, about, at) if alike else None
            if text is None and alike and self._scribe.waits(kind, about):
                self._look_again(alike, at)
            elif text is None:
                self._settle(alike, None, (), at)
            else:
                written.append((alike, about, text))
        return written

    def _look_again(self, rows: Sequence[LetterRow], at: int) -> None:
        """Water back inside its limit is no news; it is, where it leaves it again before its alarm clears."""
        for row in rows:
            soon, asked = at + _LOOKS_AGAIN_S, row.kind in self._station.post.urgent
            due_at = soon if asked else planned_due_at(self._station, soon)
            letter_store.put_off(self._store.connection, row.id, due_at)

    def _tell_in(self, others: Sequence[_Worded], teller: LetterRow, at: int) -> None:
        for rows, _, _ in others:
            self._settle(rows, None, (), at)
            for row in rows:
                letter_store.merge_into(self._store.connection, row.id, teller.id)

    def _write_alike(self, rows: Sequence[LetterRow], kind: str, at: int) -> None:
        """One letter for all vessels alike."""
        about = self._scribe.about(kind, _about(rows), at)
        text = self._scribe.letter(kind, about, at) if rows else None
        self._settle(rows, text, about, at)

    def _settle(
        self, rows: Sequence[LetterRow], text: LetterText | None, about: Sequence[str], at: int
    ) -> None:
        """Queue the first letter with the words for all; others, and all with nothing to say, are merged."""
        for row in rows[1:] if text else rows:
            letter_store.merge(self._store.connection, row.id)
        if text is not None:
            self._seal(replace(rows[0], about=tuple(about)), text, at)

    def _begin_night(self, row: LetterRow, at: int) -> None:
        asked, moved_s = NightAsked(row.at, at, self._scribe.heated()), self._moved_s

        def finish(told: NightTold | None, error: Exception | None) -> None:
            self._drawing.discard(row.id)
            if self._moved_s == moved_s:  # a clock put right meanwhile: all times are others, it is made anew
                self._finish_night(row, asked, told, error)

        self._workers.submit(self._nights.begin(asked), finish)

    def _finish_night(
        self, row: LetterRow, asked: NightAsked, told: NightTold | None, error: Exception | None
    ) -> None:
        """The letter goes without its chart rather than not at all."""
        if told is None:
            place, record = looked_up(self._station, self._store.connection, asked)
            told = NightTold(nightly_letter(place, record, with_chart=False), None, str(error))
        if told.trouble is not None:
            log.error("the chart of %s was not drawn: %s", night_of(self._station, row.at), told.trouble)
        with self._store.transaction():
            self._seal(row, told.text, asked.written_at, told.png)

    def _seal(self, row: LetterRow, text: LetterText, at: int, png: bytes | None = None) -> None:
        self._queue.add(row, text, at, png=png, urgent=self._scribe.urgent(row.kind, row.about, at))

    def _stands(self, row: LetterRow, at: int) -> bool | None:
        """Whether a letter's trouble still does; a planned letter is about a moment."""
        if row.kind not in UNPLANNED:
            return None
        return self._scribe.letter(row.kind, row.about, at) is not None


def _about(rows: Sequence[LetterRow]) -> list[str]:
    return sorted({vessel for row in rows for vessel in row.about})


def _leads(written: Sequence[_Worded]) -> tuple[str, ...]:
    return tuple(lead_of(text) for _, _, text in written)
