"""The unplanned letters: held when an alarm rings or something befell the station, until they may go."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms.cold_nights import is_of_a_night, warm_by
from daemon.alarms.letter_timing import DatedLetter, planned_due_at, unplanned_due_at
from daemon.alarms.lifecycle import ACTIVE, State
from daemon.alarms.watch import Change
from daemon.hours import is_attended
from daemon.letter_kinds import UNPLANNED
from daemon.letters.said_before import SaidBefore, Trouble, speaks, when
from daemon.seconds import DAY_S, WEEK_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import done_and_said
from daemon.store import letters as letter_store
from daemon.store import mishaps as mishap_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.letters import LetterRow
from daemon.store.runs import Outage
from daemon.watching.beliefs import Beliefs

# Who switches a station on again after so long had put it away, and knows; but a batch is worth a word.
_PUT_AWAY_S = WEEK_S
# A station that was off for less costs a hatch less than it is known to.
_WORTH_A_LETTER_S = 1800
_LOOKS_BACK_S = 21 * DAY_S


class AlarmLetters:
    """Holds letters about trouble, within the budget of what people are to hear."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Letters of one station's store."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._said = SaidBefore(station, connection)

    def rang(self, change: Change) -> None:
        """An alarm rings: its letter. A probe that vessels share is one trouble."""
        key = change.key
        about = [v.id for v in self._station.vessels if key.probe in v.probes] if key.probe else [key.vessel]
        trouble = Trouble(
            kind=key.letter,
            about=tuple(vessel for vessel in about if vessel),
            at=change.at,
            condition=key.condition,
            probe=key.probe,
            since=change.since,
            value=change.value,
            worse=change.worse,
        )
        if not (trouble.urgent and trouble.worse):  # that is urged already
            self._hold(trouble)

    def still_cold(self, at: int) -> None:
        """Tell, while somebody is there, of cold that began as on other nights and outlasted the night."""
        if not is_attended(self._station, at):
            return
        for row in alarm_store.standing(self._connection, at):
            if row.condition != "cold" or State(row.state) not in ACTIVE or row.since is None:
                continue
            over_by = warm_by(self._station, row.since)
            of_a_night = is_of_a_night(self._station, row.since, over_by)
            if not of_a_night or at < over_by or self._heard_of(row.vessel, row.since, at):
                continue
            if done_and_said.say_once(self._connection, "cold by day", f"{row.vessel} {row.since}", at):
                self._hold(Trouble("cold", (row.vessel,), at, "cold", since=row.since, by_day=True))

    def _heard_of(self, vessel: str, since: int, at: int) -> bool:
        """Whether a letter said of a vessel since a moment that it is cold, or how all stand."""
        rows = letter_store.between(self._connection, since - _LOOKS_BACK_S, at)
        told = [row for row in rows if vessel in row.about and speaks(row) and when(row) >= since]
        return any(row.kind == "cold" or (row.kind == "return" and when(row) <= at) for row in told)

    def urge(self, vessel: str, since: int | None, at: int) -> None:
        """Heat that has grown past what the animals bear is said now, once, whatever was said before; but not
        where a letter of the last hours named the vessel beside another that was as hot.
        """
        if not done_and_said.say_once(self._connection, "urgent heat", f"{vessel} {since}", at):
            return
        for row in letter_store.in_state(self._connection, "held"):
            if row.kind == "hot" and vessel in row.about:
                letter_store.merge(self._connection, row.id)
        if not self._said.of_heat_past_bearing(vessel, at):
            letter_store.hold(self._connection, at, "hot", f"hot: {vessel}", at, [vessel])

    def outage(self, outage: Outage, at: int) -> None:
        """Tell of a stretch in which the station was off, if it is worth a letter and a vessel is watched."""
        running = self._beliefs.running()
        watched = self._beliefs.watched() if running or _is_short(outage) else []
        if (
            watched
            and outage.ended - outage.began >= _WORTH_A_LETTER_S
            and done_and_said.say_once(self._connection, "outage", str(outage.began), at)
        ):
            self._hold(Trouble("outage", tuple(watched), at))

    def damaged_store(self, at: int) -> None:
        """Tell of a store that was damaged, or rows of it, once for each."""
        aside, rows = (
            mishap_store.last_set_aside(self._connection),
            mishap_store.last_rows_aside(self._connection),
        )
        found = [("damaged store", aside[1].kept_as)] if aside else []
        found += [("spoiled rows", str(rows.last_id))] if rows else []
        gone = mishap_store.last_store_gone(self._connection)
        found += [("store gone", str(gone[0]))] if gone else []
        if [one for one in found if done_and_said.say_once(self._connection, *one, at)]:
            self.storage("damaged", at)

    def storage(self, what: str, at: int, *, at_once: bool = False) -> None:
        """Tell of card, store or station file; `at_once` takes back what was said at once."""
        due_at = at if at_once else self._due_at("storage", at, self._lately(at))
        letter_store.hold(self._connection, at, "storage", f"storage: {what}", due_at, ())

    def clock_put_right(self, at: int) -> None:
        """Tell by how much the clock was wrong; a letter that asks for help is over."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.kind == "clock":
                letter_store.merge(self._connection, row.id)
        due_at = self._due_at("clock", at, self._lately(at))
        letter_store.hold(self._connection, at, "clock", "clock: put right", due_at, ())

    def due_anew(self, letter_ids: Sequence[int], at: int) -> None:
        """Work out anew when held letters may go: a wrong clock had chosen the moment."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.id in letter_ids and row.kind in UNPLANNED:
                others = [other for other in self._lately(at) if other.id != row.id]
                letter_store.put_off(self._connection, row.id, self._due_at(row.kind, at, others))

    def _hold(self, trouble: Trouble) -> None:
        """Hold a letter of an unplanned kind for when it may go, unless it would say nothing new."""
        lately = self._lately(trouble.at)
        same = self._said.same(trouble, lately)
        asked = self._said.asked(trouble)
        waiting = [row for row in same if row.state == "held"]
        # What is to be said at any hour does not wait for a letter that keeps the quiet.
        if self._said.nothing_new(trouble, [row for row in same if not asked or row not in waiting]):
            return
        if trouble.urgent:
            due_at = trouble.at
        elif asked:
            due_at = self._when_asked(trouble)
        else:
            # A probe that failed anew may fail in another way, which whoever put it right cannot know.
            anew = trouble.worse or trouble.kind == "probe"
            again = 0 if anew else max((when(row) + DAY_S for row in same), default=0)
            due_at = self._due_at(trouble.kind, trouble.at, lately, again)
        for row in waiting if asked else ():
            letter_store.merge(self._connection, row.id)
        subject = f"{trouble.kind}: {', '.join(trouble.about)}"
        letter_store.hold(self._connection, trouble.at, trouble.kind, subject, due_at, trouble.about)

    def _when_asked(self, trouble: Trouble) -> int:
        since = trouble.at if trouble.since is None else trouble.since
        due_at = max(trouble.at, since + self._station.post.urgent_after_min * 60)
        return max(due_at, self._loud_from(trouble.at))

    def _lately(self, at: int) -> list[LetterRow]:
        letters = letter_store.between(self._connection, at - _LOOKS_BACK_S, at)
        return [row for row in letters if row.kind in UNPLANNED]

    def _due_at(self, kind: str, at: int, letters: Sequence[LetterRow], not_before: int = 0) -> int:
        others = [DatedLetter(_counts_at(row), row.kind) for row in letters if row.state != "merged"]
        return unplanned_due_at(self._station, kind, at, others, max(not_before, self._loud_from(at)))

    def _loud_from(self, at: int) -> int:
        """When letters may go again after a quiet time that somebody asked for; 0 where there is none."""
        until = shelf_store.quiet_until(self._connection, at)
        return 0 if until is None else planned_due_at(self._station, until)


def _is_short(outage: Outage) -> bool:
    return outage.ended - outage.began < _PUT_AWAY_S


def _counts_at(row: LetterRow) -> int:
    """Which moment of the budget a letter takes: one with words goes as it is, nothing goes along with it."""
    return row.written_at if row.sent_at is None and row.written_at is not None else when(row)
