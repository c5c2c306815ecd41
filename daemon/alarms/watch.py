"""All alarms of a station: feeds samples to each and reports the changes of state."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from daemon.alarms import conditions
from daemon.alarms.conditions import CONDITIONS, HUNG_BACK_S, OF_THE_STATION, AlarmKey, Judgement
from daemon.alarms.lifecycle import Alarm, State, acknowledged, put_aside, sampled, suppressed, taken_back
from daemon.hours import in_daily_hours
from daemon.seconds import HOUR_S
from daemon.stages import Stage
from daemon.station import ProbePlan, Station, Vessel
from daemon.vessel_state import Course, VesselState
from sensors.reading import Measure, Quality, Reading

_LIGHT = (Measure.LIGHT_LUX, Measure.LIGHT_FRACTION)
# Fresh brine, and then a heater, may move the water as fast as no other water moves [P].
_POURED_S = HOUR_S


@dataclass(frozen=True, slots=True)
class Change:
    """An alarm that changed its state, or rang again, at a moment; `since` is when its excursion began.

    `worse`: it rang because it is much worse than when it last did.
    """

    at: int
    key: AlarmKey
    state: State
    value: float | None
    since: int | None = None
    rang: bool = False
    worse: bool = False


class Watch:
    """The alarms of one station."""

    def __init__(self, station: Station) -> None:
        """Every alarm begins as if no deed had ever been done: what needs a batch is suppressed."""
        self._station = station
        states = {vessel.id: Course().state(vessel, {}, 0) for vessel in station.vessels}
        self._states: Mapping[str, VesselState] = states
        self._idle_in_air: set[AlarmKey] = set()
        self._begins = {
            key: State.NORMAL
            if not key.vessel or states[key.vessel].judges(key.condition)
            else State.SUPPRESSED
            for key in alarm_keys(station)
        }
        self._alarms = {key: Alarm(state) for key, state in self._begins.items()}
        self._judged_until: dict[AlarmKey, int] = {}
        self._cold_from: Mapping[str, int] = {}

    def forget(self) -> None:
        """Be as new: the alarms are to be taken up from a store whose times were put right."""
        self._alarms = {key: Alarm(state) for key, state in self._begins.items()}
        self._judged_until.clear()

    def alarm(self, key: AlarmKey) -> Alarm:
        """Where an alarm stands."""
        return self._alarms[key]

    def has(self, key: AlarmKey) -> bool:
        """Whether the station can have this alarm at all."""
        return key in self._alarms

    def active(self) -> list[AlarmKey]:
        """The alarms that stand now."""
        return [key for key, alarm in self._alarms.items() if alarm.active]

    def begun(self, key: AlarmKey) -> bool:
        """Whether the last samples spoke for an alarm that is not raised yet."""
        alarm = self._alarms[key]
        return alarm.state in (State.NORMAL, State.RETURNED) and alarm.run > 0

    def restore(
        self,
        key: AlarmKey,
        state: State,
        changed_at: int,
        since: int | None,
        extreme: float | None,
        *,
        stood: int = 0,
        rung_at: float | None = None,
    ) -> None:
        """Take up an alarm as it stood when the station was last on; one no longer watched is let go.

        Samples up to `changed_at` have had their say and are not judged again; `stood` is how many spoke
        for it since, `rung_at` the value at which it last rang.
        """
        if key in self._alarms:
            self._alarms[key] = Alarm(state, since=since, extreme=extreme, stood=stood, rung_at=rung_at)
            self._judged_until[key] = changed_at

    def vessels_are(
        self, at: int, states: Mapping[str, VesselState], cold_from: Mapping[str, int] | None = None
    ) -> list[Change]:
        """Suppress by design what is not judged of a vessel in its state.

        `cold_from` says, by vessel, from when on its water can be called too cold: what was poured in is
        still on its way to the room's warmth, and who poured it knows.
        """
        self._cold_from = cold_from or {}
        self._states = states
        changes = []
        for key, alarm in self._alarms.items():
            if key.vessel:
                judged = states[key.vessel].judges(key.condition)
                changes += self._move(at, key, suppressed(alarm, not judged), None)
        return changes

    def hung_in_air(self, key: AlarmKey) -> None:
        """A probe hung in the air of an emptied vessel and was not seen in water since: known from before."""
        self._idle_in_air.add(key)

    def somebody_was_there(self, at: int, vessel: str, then: int) -> list[Change]:
        """A deed acknowledges the alarms its vessel had by then: whoever did it stood before the vessel."""
        changes = []
        for key, alarm in self._alarms.items():
            if key.vessel == vessel and alarm.since is not None and alarm.since <= then:
                changes += self._move(at, key, acknowledged(alarm), None)
        return changes

    def acknowledge(self, at: int) -> list[Change]:
        """Acknowledge every alarm there is: somebody who stands before the station has seen them."""
        changes = []
        for key, alarm in self._alarms.items():
            changes += self._move(at, key, acknowledged(alarm), None)
        return changes

    def put_aside(self, at: int, key: AlarmKey, state: State | None) -> list[Change]:
        """Shelve an alarm, take it out of service, or (None) take it back from either."""
        alarm = self._alarms[key]
        return self._move(at, key, taken_back(alarm) if state is None else put_aside(alarm, state), None)

    def readings(self, readings: Sequence[Reading]) -> list[Change]:
        """Judge new readings."""
        changes = []
        for reading in readings:
            plan = self._station.probe(reading.probe)
            for vessel in self._station.vessels:
                if plan is not None and plan.id in vessel.probes:
                    changes += self._reading(vessel, plan, reading)
        return changes

    def judged(self, at: int, key: AlarmKey, judgement: Judgement) -> list[Change]:
        """Take in a judgement that was made on what is believed."""
        return self._sample(at, key, judgement)

    def _reading(self, vessel: Vessel, plan: ProbePlan, reading: Reading) -> list[Change]:
        key = AlarmKey(vessel.id, "probe", plan.id)
        changes = self._sample(reading.at, key, self._probe(key, reading))
        if plan.measures is Measure.WATER_C:
            for condition in ("cold", "hot"):
                key = AlarmKey(vessel.id, condition)
                active = self._alarms[key].active
                judgement = conditions.temperature(condition, vessel, reading, active=active)
                if condition == "cold" and reading.at < self._cold_from.get(vessel.id, 0):
                    judgement = conditions.NOT_JUDGED
                changes += self._sample(reading.at, key, judgement)
        if plan.measures in _LIGHT and vessel.lamp:
            lit = any(in_daily_hours(hours, reading.at, self._station.timezone) for hours in vessel.lamp)
            judgement = conditions.lamp(vessel, plan.measures, reading, in_lamp_hours=lit)
            changes += self._sample(reading.at, AlarmKey(vessel.id, "lamp"), judgement)
        return changes

    def _probe(self, key: AlarmKey, reading: Reading) -> Judgement:
        """A probe that cannot be believed, but for what was done to the vessel: it was emptied, or set."""
        state = self._states[key.vessel]
        since_set_s = HUNG_BACK_S if state.set_at is None else reading.at - state.set_at
        if reading.quality is not Quality.IN_AIR:
            self._idle_in_air.discard(key)
        elif state.stage is Stage.ENDED:
            self._idle_in_air.add(key)
            return Judgement(False, reading.value)
        if reading.quality is Quality.JUMP and 0 <= since_set_s < _POURED_S:
            return conditions.NOT_JUDGED
        if key in self._idle_in_air and since_set_s < HUNG_BACK_S:
            return conditions.NOT_JUDGED
        return conditions.probe(reading)

    def _sample(self, at: int, key: AlarmKey, judgement: Judgement) -> list[Change]:
        if at <= self._judged_until.get(key, 0):
            return []
        delays = conditions.delays(
            key.condition, self._station.sample_every_s, said_nightly=self._station.post.nightly
        )
        low = CONDITIONS[key.condition].low
        alarm = sampled(self._alarms[key], at, judgement.beyond, judgement.value, delays, low=low)
        return self._move(at, key, alarm, judgement.value)

    def _move(self, at: int, key: AlarmKey, alarm: Alarm, value: float | None) -> list[Change]:
        before = self._alarms[key]
        self._alarms[key] = alarm
        rang = alarm.rings > before.rings
        if alarm.state is before.state and not rang:
            return []
        worse = rang and before.active and _further(key.condition, before.rung_at, alarm.rung_at)
        return [Change(at, key, alarm.state, value, alarm.since, rang, worse)]


def _further(condition: str, before: float | None, now: float | None) -> bool:
    worse_by = conditions.WORSE_BY.get(condition)
    if worse_by is None or before is None or now is None:
        return False
    return (before - now if CONDITIONS[condition].low else now - before) >= worse_by


def alarm_keys(station: Station) -> list[AlarmKey]:
    """Everything a station can have an alarm about."""
    found = [AlarmKey("", condition) for condition in OF_THE_STATION]
    for vessel in station.vessels:
        found += [AlarmKey(vessel.id, condition) for condition in _conditions_of(station, vessel)]
        found += [AlarmKey(vessel.id, "probe", probe) for probe in vessel.probes]
    return found


def _conditions_of(station: Station, vessel: Vessel) -> list[str]:
    always = ["cold", "hot", "water", "salinity"]
    by_warmth = ["swing", "cold-ahead", "hot-ahead"] if station.probe_of(vessel, Measure.WATER_C) else []
    lit = bool(vessel.lamp) and any(station.probe_of(vessel, measure) for measure in _LIGHT)
    return always + by_warmth + (["lamp", "lamp-stays-on"] if lit else [])
