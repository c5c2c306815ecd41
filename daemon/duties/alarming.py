"""From samples to alarms to letters that are held until somebody can be told."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms import conditions
from daemon.alarms.attention import ABSENCE_HOURS, UNPLANNED, Told, told_in_vain, unplanned_due_at
from daemon.alarms.conditions import Concern
from daemon.alarms.lifecycle import Alarm, State
from daemon.alarms.watch import Change, Watch
from daemon.duties.believing import Beliefs
from daemon.hours import next_absence
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.alarms import AlarmRow
from daemon.store.letters import LetterRow
from sensors.reading import Measure, Reading

# The longest delay of a condition, and some: what must be judged again after a restart to be where it was.
_WARM_UP_S = 2 * 3600
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
            self.watch.restore(concern, State(row.state), row.at, row.since, self._extreme(row))
        self.tell(self.watch.batches(at, self._beliefs.running()))
        self.tell(self.watch.readings(list(reading_store.between(self._connection, at - _WARM_UP_S, at))))

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
        if not run_store.begin_job(self._connection, "urgent heat", slot, at):
            return
        held = [
            row
            for row in letter_store.in_state(self._connection, "held")
            if row.kind == "hot" and concern.vessel in row.about
        ]
        for row in held:
            letter_store.merge(self._connection, row.id)
        letter_store.hold(self._connection, at, "hot", f"hot: {concern.vessel}", at, [concern.vessel])

    def judge_water(self, at: int) -> None:
        """Judge what is believed of the water in every running vessel."""
        for vessel in self._station.vessels:
            believed = self._beliefs.estimates(vessel.id, at)
            if "loss_ml" in believed:
                loss_p50_ml = believed["loss_ml"].p50
                low_mark_p50 = believed["low_mark_at"].p50
                judgement = conditions.water(
                    loss_p50_ml, low_mark_p50, vessel.low_ml, self._somebody_comes(at)
                )
                self.tell(self.watch.water(at, vessel, judgement))

    def _somebody_comes(self, at: int) -> int | None:
        """When somebody comes after the coming night; before a longer absence the leave letter says it."""
        absence = next_absence(self._station, at, 0)
        if absence is None or absence[1] - absence[0] >= ABSENCE_HOURS * 3600:
            return None
        return absence[1]

    def tell(self, changes: Sequence[Change]) -> None:
        """Keep changes in the alarm log; a new alarm becomes a held letter."""
        keep(self._connection, changes)
        for change in changes:
            if change.state is State.UNACKNOWLEDGED:
                self._hold(change)

    def _hold(self, change: Change) -> None:
        kind = change.concern.condition
        letters = [
            row
            for row in letter_store.between(self._connection, change.at - _BUDGET_LOOKS_BACK_S, change.at)
            if row.kind in UNPLANNED and row.state != "merged"
        ]
        about_it = [_when(row) for row in letters if row.kind == kind and change.concern.vessel in row.about]
        if about_it and told_in_vain(self._station, kind, change.value, change.at, max(about_it)):
            return
        told = [Told(_when(row), row.kind) for row in letters]
        mates = [letter for letter in told if letter.at >= change.at and letter.kind == kind]
        due_at = (
            mates[0].at if mates else unplanned_due_at(self._station, kind, change.value, change.at, told)
        )
        subject = f"{kind}: {change.concern.vessel}"
        letter_store.hold(self._connection, change.at, kind, subject, due_at, [change.concern.vessel])

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


def _when(row: LetterRow) -> int:
    """When a letter went out, or is to go."""
    return row.due_at if row.sent_at is None else row.sent_at
