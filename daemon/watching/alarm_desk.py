"""From samples to alarms: judges readings and beliefs, and keeps every change in the alarm log."""

import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import replace

from daemon.alarms import conditions
from daemon.alarms.conditions import HUNG_BACK_S, AlarmKey
from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Change, Watch
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store.alarms import AlarmRow
from daemon.vessel_state import course_of
from daemon.watching.beliefs import Beliefs
from sensors.reading import Measure, Quality, Reading

# The longest delay of a condition, and some: what must be judged again after a restart to be where it was.
_WARM_UP_S = 2 * HOUR_S


class AlarmDesk:
    """Judges readings and beliefs, keeps every change of an alarm, and says which alarms ring."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        rang: Callable[[Change], None],
        urge: Callable[[str, int | None, int], None],
    ) -> None:
        """`rang` is given each alarm that rings; `urge` vessel, since and now of heat that cannot wait."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._rang = rang
        self._urge = urge
        self.watch = Watch(station)

    def take_up(self, at: int) -> None:
        """Restore every alarm from the store, then judge again what came after its last change."""
        for row in alarm_store.standing(self._connection, at):
            key = AlarmKey(row.vessel, row.condition, row.probe)
            stood = (at - row.at) // self._rhythm_s(key)
            state, extreme = State(row.state), self._extreme(row)
            rung_at = row.value if state is State.UNACKNOWLEDGED and row.value is not None else extreme
            self.watch.restore(key, state, row.at, row.since, extreme, stood=stood, rung_at=rung_at)
        self.take(self.watch.vessels_are(at, self._beliefs.states(), self._beliefs.warmed_by()))
        for key in self._hung_in_air(at):
            self.watch.hung_in_air(key)
        self.take(self.watch.readings(list(reading_store.between(self._connection, at - _WARM_UP_S, at))), at)

    def _hung_in_air(self, at: int) -> list[AlarmKey]:
        """The probes of vessels set within the last half day that hung in the air of an emptied vessel until
        then, and were not seen in water since."""
        found = []
        for vessel_id, state in self._beliefs.states().items():
            set_at, vessel = state.set_at, self._station.vessel(vessel_id)
            if vessel is None or set_at is None or at - set_at >= HUNG_BACK_S:
                continue
            before = deed_store.between(self._connection, 0, set_at - 1)
            plan = self._station.probe_of(vessel, Measure.WATER_C)
            if plan is None or course_of(d for d in before if d.vessel == vessel_id).ended_at is None:
                continue
            known = reading_store.between(self._connection, set_at - _WARM_UP_S, at)
            mine = [reading for reading in known if reading.probe == plan.id]
            last = [reading for reading in mine if reading.at <= set_at][-1:]
            now = [reading for reading in mine if reading.at > set_at]
            if mine and all(reading.quality is Quality.IN_AIR for reading in (*last, *now)):
                found.append(AlarmKey(vessel_id, "probe", plan.id))
        return found

    def _rhythm_s(self, key: AlarmKey) -> int:
        return HOUR_S if conditions.CONDITIONS[key.condition].hourly else self._station.sample_every_s

    def judge(self, readings: Sequence[Reading]) -> None:
        """Judge new readings."""
        self.take(self.watch.readings(readings))
        for key in self.watch.active() if readings else ():
            alarm = self.watch.alarm(key)
            if key.condition == "hot" and (alarm.extreme or 0.0) > conditions.URGENT_C:
                self._urge(key.vessel, alarm.since, readings[-1].at)

    def take(self, changes: Sequence[Change], now: int | None = None) -> None:
        """Keep changes in the alarm log, and say which rang; `now` is given where they came earlier: a letter
        that went out meanwhile counts.
        """
        keep(self._connection, changes)
        for change in changes:
            if change.rang:
                self._rang(change if now is None else replace(change, at=now))

    def clock_was_wrong(self, since: int, at: int) -> None:
        """Take back what was raised since by lamp hours that were none."""
        changes = []
        for key in self.watch.active():
            alarm = self.watch.alarm(key)
            if key.condition in ("lamp", "lamp-stays-on") and (alarm.since or 0) >= since:
                self.watch.restore(key, State.NORMAL, since, None, None)
                changes.append(Change(at, key, State.NORMAL, None))
        keep(self._connection, changes)

    def _extreme(self, row: AlarmRow) -> float | None:
        """The worst water temperature of an excursion; other alarms have no extreme."""
        vessel = self._station.vessel(row.vessel)
        plan = self._station.probe_of(vessel, Measure.WATER_C) if vessel else None
        if plan is None or row.since is None or row.condition not in ("cold", "hot"):
            return row.value
        lowest, highest = reading_store.extremes(self._connection, plan.id, row.since)
        return lowest if row.condition == "cold" else highest


def keep(connection: sqlite3.Connection, changes: Sequence[Change]) -> None:
    """Write changes into the alarm log."""
    for change in changes:
        row = AlarmRow(
            at=change.at,
            vessel=change.key.vessel,
            condition=change.key.condition,
            state=change.state.value,
            value=change.value,
            probe=change.key.probe,
            since=change.since,
        )
        alarm_store.add(connection, row)
