"""The unplanned letters: held when an alarm rings or something befell the station, until they may go."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms.conditions import URGENT_C
from daemon.alarms.letter_timing import DatedLetter, said_in_vain, unplanned_due_at
from daemon.alarms.watch import Change
from daemon.letter_kinds import UNPLANNED
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station
from daemon.store import done_and_said
from daemon.store import letters as letter_store
from daemon.store import mishaps as mishap_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.letters import LetterRow
from daemon.store.runs import Outage
from daemon.watching.beliefs import Beliefs

# A station that was off for less costs a hatch less than it is known to.
_WORTH_A_LETTER_S = 1800
# Longer than any delay of an alarm that is judged on readings, shorter than until it rings again.
_ONE_STRETCH_S = 6 * HOUR_S
_BUDGET_LOOKS_BACK_S = 21 * DAY_S


class AlarmLetters:
    """Holds letters about trouble, within the budget of what people are to hear."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Letters of one station's store."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs

    def rang(self, change: Change) -> None:
        """An alarm rings: its letter."""
        about = [change.key.vessel] if change.key.vessel else []
        self.hold(change.key.letter, about, change.value, change.at, since=change.since)

    def urge(self, vessel: str, since: int | None, at: int) -> None:
        """Heat that has grown past what the animals bear is said now, once, whatever was said before."""
        if not done_and_said.say_once(self._connection, "urgent heat", f"{vessel} {since}", at):
            return
        for row in letter_store.in_state(self._connection, "held"):
            if row.kind == "hot" and vessel in row.about:
                letter_store.merge(self._connection, row.id)
        letter_store.hold(self._connection, at, "hot", f"hot: {vessel}", at, [vessel])

    def outage(self, outage: Outage, at: int) -> None:
        """Tell of a stretch in which the station was off, if it is worth a letter and a vessel is watched."""
        watched = self._beliefs.watched()
        if (
            watched
            and outage.ended - outage.began >= _WORTH_A_LETTER_S
            and done_and_said.say_once(self._connection, "outage", str(outage.began), at)
        ):
            self.hold("outage", watched, None, at)

    def damaged_store(self, at: int) -> None:
        """Tell of a store that was damaged, once for each."""
        aside = mishap_store.last_set_aside(self._connection)
        if aside is not None and done_and_said.say_once(
            self._connection, "damaged store", aside[1].kept_as, at
        ):
            self.storage("damaged", at)

    def storage(self, what: str, at: int, *, at_once: bool = False) -> None:
        """Tell of card, store or station file; `at_once` takes back what was said at once."""
        due_at = at if at_once else self._due_at("storage", None, at, self._lately(at))
        letter_store.hold(self._connection, at, "storage", f"storage: {what}", due_at, ())

    def clock_put_right(self, at: int) -> None:
        """Tell by how much the clock was wrong; a letter that asks for help is over."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.kind == "clock":
                letter_store.merge(self._connection, row.id)
        due_at = self._due_at("clock", None, at, self._lately(at))
        letter_store.hold(self._connection, at, "clock", "clock: put right", due_at, ())

    def due_anew(self, letter_ids: Sequence[int], at: int) -> None:
        """Work out anew when held letters may go: a wrong clock had chosen the moment."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.id in letter_ids and row.kind in UNPLANNED:
                others = [other for other in self._lately(at) if other.id != row.id]
                letter_store.put_off(self._connection, row.id, self._due_at(row.kind, None, at, others))

    def hold(
        self, kind: str, about: Sequence[str], value: float | None, at: int, *, since: int | None = None
    ) -> None:
        """Hold a letter of an unplanned kind for when it may go, unless it would say nothing new to anybody.

        `since` is when the trouble began.
        """
        letters = self._lately(at)
        same = [row for row in letters if row.kind == kind and set(about) <= set(row.about) and _speaks(row)]
        if same and said_in_vain(self._station, kind, value, at, max(map(_when, same))):
            return
        # One that still waits for the post says itself, when it goes, whether its trouble stands.
        known = any(row.state == "queued" or _said_with_others(row, since, at) for row in same)
        if known and not _is_urgent(kind, value):
            return
        due_at = self._due_at(kind, value, at, letters)
        letter_store.hold(self._connection, at, kind, f"{kind}: {', '.join(about)}", due_at, about)

    def _lately(self, at: int) -> list[LetterRow]:
        letters = letter_store.between(self._connection, at - _BUDGET_LOOKS_BACK_S, at)
        return [row for row in letters if row.kind in UNPLANNED]

    def _due_at(self, kind: str, value: float | None, at: int, letters: Sequence[LetterRow]) -> int:
        others = [DatedLetter(_counts_at(row), row.kind) for row in letters if row.state != "merged"]
        due_at = unplanned_due_at(self._station, kind, value, at, others)
        quiet_until = shelf_store.quiet_until(self._connection, at)
        if quiet_until is not None and not _is_urgent(kind, value):
            due_at = max(due_at, quiet_until)
        return due_at


def _speaks(row: LetterRow) -> bool:
    """Whether a letter speaks, or spoke, by itself or in another."""
    return row.state != "merged" or row.merged_into is not None


def _said_with_others(row: LetterRow, since: int | None, at: int) -> bool:
    """Whether a letter went out about the same stretch of trouble, before its own alarm was raised."""
    if since is None or row.written_at is None:
        return False
    return at - since < _ONE_STRETCH_S and row.written_at >= since


def _is_urgent(kind: str, value: float | None) -> bool:
    return kind == "hot" and value is not None and value > URGENT_C


def _when(row: LetterRow) -> int:
    """When a letter went out, or is to go."""
    return row.due_at if row.sent_at is None else row.sent_at


def _counts_at(row: LetterRow) -> int:
    """Which moment of the budget a letter takes: one with words goes as it is, nothing goes along with it."""
    return row.written_at if row.sent_at is None and row.written_at is not None else _when(row)
