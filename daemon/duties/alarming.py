"""From samples to alarms to letters that are held until somebody can be told."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms import conditions
from daemon.alarms.attention import UNPLANNED, Told, told_in_vain, unplanned_due_at
from daemon.alarms.conditions import Concern
from daemon.alarms.lifecycle import Alarm, State
from daemon.alarms.watch import Change, Watch
from daemon.duties.believing import Beliefs
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import ledgers as ledger_store
from daemon.store import letters as letter_store
from daemon.store import mishaps as mishap_store
from daemon.store import readings as reading_store
from daemon.store import shelves as shelf_store
from daemon.store.alarms import AlarmRow
from daemon.store.letters import LetterRow
from daemon.store.runs import Outage
from sensors.reading import Measure, Reading

# The longest delay of a condition, and some: what must be judged again after a restart to be where it was.
_WARM_UP_S = 2 * 3600
# A station that was off for less costs a hatch less than it is known to.
_WORTH_TELLING_S = 1800
# Longer than any delay of an alarm that is judged on readings, shorter than until it rings again.
_ONE_STRETCH_S = 6 * 3600
_BUDGET_LOOKS_BACK_S = 21 * 86_400


class AlarmDesk:
    """Judges readings and beliefs, keeps every change of an alarm, and sees that it is told."""

    def __init__(self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs) -> None:
        """Take up the alarms as the store says they stood."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self.watch = Watch(station)

    def take_up(self, at: int) -> None:
        """Restore every alarm, then judge again what came after its last change."""
        for row in alarm_store.standing(self._connection, at):
            concern = Concern(row.vessel, row.condition, row.probe)
            stood = (at - row.at) // self._rhythm_s(concern)
            self.watch.restore(concern, State(row.state), row.at, row.since, self._extreme(row), stood=stood)
        self.tell(self.watch.batches(at, self._beliefs.running(), self._beliefs.warmed_by()))
        self.tell(self.watch.readings(list(reading_store.between(self._connection, at - _WARM_UP_S, at))))

    def _rhythm_s(self, concern: Concern) -> int:
        return 3600 if conditions.CONDITIONS[concern.condition].hourly else self._station.sample_every_s

    def judge(self, readings: Sequence[Reading]) -> None:
        """Judge new readings."""
        self.tell(self.watch.readings(readings))
        for concern in self.watch.active() if readings else ():
            alarm = self.watch.alarm(concern)
            if concern.condition == "hot" and (alarm.extreme or 0.0) > conditions.URGENT_C:
                self._press(concern, alarm, readings[-1].at)

    def _press(self, concern: Concern, alarm: Alarm, at: int) -> None:
        """Heat that has grown past what the animals bear is told now, once, whatever was told before."""
        slot = f"{concern.vessel} {alarm.since}"
        if not ledger_store.say_once(self._connection, "urgent heat", slot, at):
            return
        held = [
            row
            for row in letter_store.in_state(self._connection, "held")
            if row.kind == "hot" and concern.vessel in row.about
        ]
        for row in held:
            letter_store.merge(self._connection, row.id)
        letter_store.hold(self._connection, at, "hot", f"hot: {concern.vessel}", at, [concern.vessel])

    def outage(self, outage: Outage, at: int) -> None:
        """Tell of a stretch in which the station was off, if it is worth a letter and a batch ran."""
        running = self._beliefs.running()
        slot = str(outage.began)
        if (
            running
            and outage.ended - outage.began >= _WORTH_TELLING_S
            and ledger_store.say_once(self._connection, "outage", slot, at)
        ):
            self.hold("outage", running, None, at)

    def tell(self, changes: Sequence[Change]) -> None:
        """Keep changes in the alarm log; an alarm that rings becomes a held letter."""
        keep(self._connection, changes)
        for change in changes:
            if change.rang:
                about = [change.concern.vessel] if change.concern.vessel else []
                self.hold(change.concern.letter, about, change.value, change.at, since=change.since)

    def due_anew(self, letter_ids: Sequence[int], at: int) -> None:
        """Work out anew when held letters may go: a wrong clock had chosen the moment."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.id in letter_ids and row.kind in UNPLANNED:
                others = [other for other in self._lately(at) if other.id != row.id]
                letter_store.put_off(self._connection, row.id, self._due_at(row.kind, None, at, others))

    def clock_was_wrong(self, since: int, at: int) -> None:
        """Take back what was raised since by lamp hours that were none."""
        changes = []
        for concern in self.watch.active():
            alarm = self.watch.alarm(concern)
            if concern.condition in ("lamp", "lamp-stays-on") and (alarm.since or 0) >= since:
                self.watch.restore(concern, State.NORMAL, since, None, None)
                changes.append(Change(at, concern, State.NORMAL, None))
        keep(self._connection, changes)

    def tell_of_store(self, at: int) -> None:
        """Hold the letter about a store that was damaged, once for each."""
        aside = mishap_store.last_set_aside(self._connection)
        if aside is not None and ledger_store.say_once(
            self._connection, "damaged store", aside[1].kept_as, at
        ):
            self.tell_of_storage("damaged", at)

    def tell_of_storage(self, what: str, at: int, *, at_once: bool = False) -> None:
        """Hold the letter about card, store or station file; `at_once` takes back what was said at once."""
        due_at = at if at_once else self._due_at("storage", None, at, self._lately(at))
        letter_store.hold(self._connection, at, "storage", f"storage: {what}", due_at, ())

    def tell_of_clock(self, at: int) -> None:
        """Hold the letter that says by how much the clock was wrong; one that asks for help is over."""
        for row in letter_store.in_state(self._connection, "held"):
            if row.kind == "clock":
                letter_store.merge(self._connection, row.id)
        due_at = self._due_at("clock", None, at, self._lately(at))
        letter_store.hold(self._connection, at, "clock", "clock: put right", due_at, ())

    def hold(
        self, kind: str, about: Sequence[str], value: float | None, at: int, *, since: int | None = None
    ) -> None:
        """Hold a letter of an unplanned kind for when it may go, unless it would tell nobody anything new.

        `since` is when the trouble began.
        """
        letters = self._lately(at)
        same = [row for row in letters if row.kind == kind and set(about) <= set(row.about) and _tells(row)]
        if same and told_in_vain(self._station, kind, value, at, max(map(_when, same))):
            return
        # One that still waits for the post says itself, when it goes, whether its trouble stands.
        known = any(row.state == "queued" or _told_with_others(row, since, at) for row in same)
        if known and not _is_urgent(kind, value):
            return
        due_at = self._due_at(kind, value, at, letters)
        letter_store.hold(self._connection, at, kind, f"{kind}: {', '.join(about)}", due_at, about)

    def _lately(self, at: int) -> list[LetterRow]:
        letters = letter_store.between(self._connection, at - _BUDGET_LOOKS_BACK_S, at)
        return [row for row in letters if row.kind in UNPLANNED]

    def _due_at(self, kind: str, value: float | None, at: int, letters: Sequence[LetterRow]) -> int:
        told = [Told(_counts_at(row), row.kind) for row in letters if row.state != "merged"]
        due_at = unplanned_due_at(self._station, kind, value, at, told)
        quiet_until = shelf_store.quiet_until(self._connection, at)
        if quiet_until is not None and not _is_urgent(kind, value):
            due_at = max(due_at, quiet_until)
        return due_at

    def _extreme(self, row: AlarmRow) -> float | None:
        """The worst water temperature of an excursion; other alarms tell no extreme."""
        vessel = self._station.vessel(row.vessel)
        plan = self._station.probe_of(vessel, Measure.WATER_C) if vessel else None
        if plan is None or row.since is None or row.condition not in ("cold", "hot"):
            return row.value
        lowest, highest = reading_store.extremes(self._connection, plan.id, row.since)
        return lowest if row.condition == "cold" else highest


def keep(connection: sqlite3.Connection, changes: Sequence[Change]) -> None:
    """Write changes into the alarm log."""
    for change in changes:
        concern = change.concern
        row = AlarmRow(
            at=change.at,
            vessel=concern.vessel,
            condition=concern.condition,
            state=change.state.value,
            value=change.value,
            probe=concern.probe,
            since=change.since,
        )
        alarm_store.add(connection, row)


def _tells(row: LetterRow) -> bool:
    """Whether a letter tells, or told, by itself or in another."""
    return row.state != "merged" or row.told_by is not None


def _told_with_others(row: LetterRow, since: int | None, at: int) -> bool:
    """Whether a letter went out about the same stretch of trouble, before its own alarm was raised."""
    if since is None or row.written_at is None:
        return False
    return at - since < _ONE_STRETCH_S and row.written_at >= since


def _is_urgent(kind: str, value: float | None) -> bool:
    return kind == "hot" and value is not None and value > conditions.URGENT_C


def _when(row: LetterRow) -> int:
    """When a letter went out, or is to go."""
    return row.due_at if row.sent_at is None else row.sent_at


def _counts_at(row: LetterRow) -> int:
    """Which moment of the budget a letter takes: one with words goes as it is, nothing goes along with it."""
    return row.written_at if row.sent_at is None and row.written_at is not None else _when(row)
