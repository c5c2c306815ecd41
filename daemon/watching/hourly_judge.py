"""What is judged once an hour, on what is believed and on the record: water, salt, swing, what is to come."""

import sqlite3
from collections.abc import Callable

from daemon.alarms import conditions
from daemon.alarms.conditions import AlarmKey, Judgement
from daemon.alarms.letter_timing import ABSENCE_HOURS
from daemon.alarms.watch import Change, Watch
from daemon.hours import daily_spans, is_attended, next_absence
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from sensors.reading import Measure

_SWING_KNOWN_S = 20 * HOUR_S  # of a day, for its range to be called a day's
_SETTLED_S = 4 * HOUR_S  # a cup that was just set is still coming to its own warmth
# The water poured in is warmer or colder than the cup was; an hour of that is no trend [P].
_NEWLY_SET_S = 2 * HOUR_S
_AT_WORK_S = 1800  # who has just poured or drawn off may not be done yet [P]
_COLD_AHEAD_S = 4 * HOUR_S  # before people go: late enough to be sure, early enough to act
HOT_AHEAD_S = 8 * HOUR_S
_TIMER_S = 900  # a lamp timer may be that far off
_DUE_OFF_S = 2 * HOUR_S  # how long a lamp is watched after it should have gone off
_BY_ITSELF_S = HOUR_S  # how long of that its light is looked for alone, before day and people add to it


class HourlyJudge:
    """Judges every watched vessel, and the station itself."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        free_bytes: Callable[[], int],
        clock_trusted: Callable[[], bool],
    ) -> None:
        """`free_bytes` is the room left where the store stands."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch
        self._free_bytes = free_bytes
        self._clock_trusted = clock_trusted

    def judge(self, at: int) -> list[Change]:
        """The changes of alarms that one hour's judgements bring."""
        changes = self._judged(at, "", "storage", conditions.storage(self._free_bytes()))
        changes += self._judged(at, "", "clock", conditions.clock(self._clock_trusted()))
        watched = self._beliefs.watched()
        for vessel in self._station.vessels:
            if vessel.id in watched:
                changes += self._vessel(vessel, at)
        return changes

    def _vessel(self, vessel: Vessel, at: int) -> list[Change]:
        changes = self._water(vessel, at)
        changes += self._judged(at, vessel.id, "swing", self._swing(vessel, at))
        changes += self._judged(at, vessel.id, "cold-ahead", self._cold_ahead(vessel, at))
        changes += self._judged(at, vessel.id, "hot-ahead", self._hot_ahead(vessel, at))
        changes += self._judged(at, vessel.id, "lamp-stays-on", self._lamp_stays_on(vessel, at))
        return changes

    def _judged(self, at: int, vessel: str, condition: str, judgement: Judgement) -> list[Change]:
        key = AlarmKey(vessel, condition)
        return self._watch.judged(at, key, judgement) if self._watch.has(key) else []

    def _water(self, vessel: Vessel, at: int) -> list[Change]:
        believed = self._beliefs.estimates(vessel.id, at)
        if "loss_ml" not in believed or self._at_work(vessel, at):
            return []
        level = conditions.water(
            believed["loss_ml"].p50, believed["low_mark_at"].p50, vessel.low_ml, self._somebody_comes(at)
        )
        salt = conditions.salinity(believed["salinity_g_per_kg"], vessel)
        return self._judged(at, vessel.id, "water", level) + self._judged(at, vessel.id, "salinity", salt)

    def _at_work(self, vessel: Vessel, at: int) -> bool:
        """Whether somebody stood before the vessel a moment ago: they know how it stands."""
        lately = deed_store.between(self._connection, at - _AT_WORK_S, at)
        return any(deed.vessel == vessel.id for deed in lately)

    def _newly_set(self, vessel: Vessel, at: int) -> bool:
        batch = self._beliefs.of(vessel.id).running
        return batch is not None and at - batch.set_at < _NEWLY_SET_S

    def _somebody_comes(self, at: int) -> int | None:
        """When somebody comes after the coming night; before a longer absence the leave letter says it."""
        absence = next_absence(self._station, at, 0)
        if absence is None or absence[1] - absence[0] >= ABSENCE_HOURS * HOUR_S:
            return None
        return absence[1]

    def _swing(self, vessel: Vessel, at: int) -> Judgement:
        water = self._station.probe_of(vessel, Measure.WATER_C)
        batch = self._beliefs.of(vessel.id).running
        if water is None:
            return conditions.NOT_JUDGED
        since = at - DAY_S if batch is None else max(at - DAY_S, batch.set_at + _SETTLED_S)
        values = reading_store.good_values(self._connection, water.id, since, at)
        if len(values) < 2 or len(values) * self._station.sample_every_s < _SWING_KNOWN_S:
            return conditions.NOT_JUDGED
        warmths_c = [value for _, value in values]
        active = self._watch.alarm(AlarmKey(vessel.id, "swing")).active
        return conditions.swing(min(warmths_c), max(warmths_c), vessel, active=active)

    def _cold_ahead(self, vessel: Vessel, at: int) -> Judgement:
        """Cold before somebody is back; of a batch the leave letter says it before a longer absence."""
        belief = self._beliefs.of(vessel.id)
        now_c = belief.last_water_c
        if now_c is None or now_c < vessel.cold_c:  # what is cold already is no forecast
            return Judgement(False, None)
        absence = next_absence(self._station, at, 0)
        if absence is None or (belief.running and absence[1] - absence[0] >= ABSENCE_HOURS * HOUR_S):
            return conditions.NOT_JUDGED
        if self._newly_set(vessel, at) or self._cold_lately(vessel, at) or not self._knows_nights(vessel, at):
            return conditions.NOT_JUDGED
        if not absence[0] - _COLD_AHEAD_S <= at < absence[0]:
            return Judgement(False, None) if is_attended(self._station, at) else conditions.NOT_JUDGED
        coldest = belief.coldest_c(absence[0], absence[1], at)
        return conditions.cold_ahead(coldest, vessel)

    def _knows_nights(self, vessel: Vessel, at: int) -> bool:
        """Whether this water was watched through a night: before that, what is foreseen is of any room."""
        water = self._station.probe_of(vessel, Measure.WATER_C)
        earlier = (at - 2 * DAY_S, at - _SWING_KNOWN_S)
        return water is not None and bool(reading_store.good_values(self._connection, water.id, *earlier))

    def _cold_lately(self, vessel: Vessel, at: int) -> bool:
        """Whether a letter of the last day spoke of the cold that makes another cold night likely."""
        said_at = letter_store.latest_about(self._connection, "cold", vessel.id, at - DAY_S)
        ahead = self._watch.alarm(AlarmKey(vessel.id, "cold-ahead"))
        return said_at is not None and not ahead.active

    def _hot_ahead(self, vessel: Vessel, at: int) -> Judgement:
        belief = self._beliefs.of(vessel.id)
        now_c = belief.last_water_c
        if now_c is None or now_c > vessel.hot_c:
            return Judgement(False, None)
        if self._newly_set(vessel, at):
            return conditions.NOT_JUDGED
        hottest = belief.hottest_c(at, at + HOT_AHEAD_S, at)
        return conditions.hot_ahead(hottest, vessel, attended=is_attended(self._station, at))

    def _lamp_stays_on(self, vessel: Vessel, at: int) -> Judgement:
        """Judged in the hours after the lamp should have gone off, and lifted once it is dark."""
        plan = self._station.light_probe_of(vessel)
        went_off = self._went_off(vessel, at)
        if plan is None or went_off is None:
            return conditions.NOT_JUDGED
        if at - went_off < _DUE_OFF_S:
            return conditions.NOT_JUDGED
        # Where it is read once an hour, there are two samples after it only in all of the time.
        alone_s = _BY_ITSELF_S if self._station.sample_every_s <= _TIMER_S else _DUE_OFF_S
        before, soon_after, later = (
            [light for _, light in reading_store.good_values(self._connection, plan.id, *span)]
            for span in (
                (went_off - HOUR_S, went_off - _TIMER_S),
                (went_off + _TIMER_S, went_off + alone_s),
                (went_off + alone_s, min(at, went_off + _DUE_OFF_S)),
            )
        )
        return conditions.lamp_stays_on(
            before, soon_after, later, conditions.low_light(vessel, plan.measures)
        )

    def _went_off(self, vessel: Vessel, at: int) -> int | None:
        """When the lamp should last have gone off; None where it should be on now."""
        spans = [
            span
            for hours in vessel.lamp
            for span in daily_spans(hours, self._station.timezone, at - DAY_S, at + 1)
        ]
        if any(ended > at for _, ended in spans):
            return None
        return max((ended for _, ended in spans), default=None)
