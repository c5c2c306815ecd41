"""All alarms of a station: feeds samples to each and reports the changes of state."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from daemon.alarms import conditions
from daemon.alarms.conditions import Concern, Judgement
from daemon.alarms.lifecycle import Alarm, State, acknowledged, sampled, suppressed
from daemon.hours import in_daily_hours
from daemon.station import ProbePlan, Station, Vessel
from sensors.reading import Measure, Reading

_LIGHT = (Measure.LIGHT_LUX, Measure.LIGHT_FRACTION)


@dataclass(frozen=True, slots=True)
class Change:
    """An alarm that changed its state at a moment; `since` is when its excursion began."""

    at: int
    concern: Concern
    state: State
    value: float | None
    since: int | None = None


class Watch:
    """The alarms of one station."""

    def __init__(self, station: Station) -> None:
        """Every alarm begins suppressed: no batch runs until a `set` is known."""
        self._station = station
        self._alarms = {concern: Alarm(State.SUPPRESSED) for concern in concerns(station)}
        self._judged_until: dict[Concern, int] = {}

    def alarm(self, concern: Concern) -> Alarm:
        """Where an alarm stands."""
        return self._alarms[concern]

    def active(self) -> list[Concern]:
        """The alarms that stand now."""
        return [concern for concern, alarm in self._alarms.items() if alarm.active]

    def restore(
        self, concern: Concern, state: State, changed_at: int, since: int | None, extreme: float | None
    ) -> None:
        """Take up an alarm as it stood when the station was last on; one no longer watched is let go.

        Samples up to `changed_at` have had their say and are not judged again.
        """
        if concern in self._alarms:
            self._alarms[concern] = Alarm(state, since=since, extreme=extreme)
            self._judged_until[concern] = changed_at

    def batches(self, at: int, running: Iterable[str]) -> list[Change]:
        """Suppress by design what has no batch to be about."""
        busy = frozenset(running)
        changes = []
        for concern, alarm in self._alarms.items():
            changes += self._move(at, concern, suppressed(alarm, concern.vessel not in busy), None)
        return changes

    def somebody_was_there(self, at: int, vessel: str, then: int) -> list[Change]:
        """A deed acknowledges the alarms its vessel had by then: whoever did it stood before the vessel."""
        changes = []
        for concern, alarm in self._alarms.items():
            if concern.vessel == vessel and alarm.since is not None and alarm.since <= then:
                changes += self._move(at, concern, acknowledged(alarm), None)
        return changes

    def acknowledge(self, at: int) -> list[Change]:
        """Acknowledge every alarm there is: somebody who stands before the station has seen them."""
        changes = []
        for concern, alarm in self._alarms.items():
            changes += self._move(at, concern, acknowledged(alarm), None)
        return changes

    def readings(self, readings: Sequence[Reading]) -> list[Change]:
        """Judge new readings."""
        changes = []
        for reading in readings:
            plan = self._station.probe(reading.probe)
            for vessel in self._station.vessels:
                if plan is not None and plan.id in vessel.probes:
                    changes += self._reading(vessel, plan, reading)
        return changes

    def water(self, at: int, vessel: Vessel, judgement: Judgement) -> list[Change]:
        """Judge what is believed of a vessel's water."""
        return self._sample(at, Concern(vessel.id, "water"), judgement)

    def _reading(self, vessel: Vessel, plan: ProbePlan, reading: Reading) -> list[Change]:
        changes = self._sample(reading.at, Concern(vessel.id, "probe", plan.id), conditions.probe(reading))
        if plan.measures is Measure.WATER_C:
            for condition in ("cold", "hot"):
                concern = Concern(vessel.id, condition)
                active = self._alarms[concern].active
                judgement = conditions.temperature(condition, vessel, reading, active=active)
                changes += self._sample(reading.at, concern, judgement)
        if plan.measures in _LIGHT and vessel.lamp:
            lit = any(in_daily_hours(hours, reading.at, self._station.timezone) for hours in vessel.lamp)
            judgement = conditions.lamp(vessel, plan.measures, reading, in_lamp_hours=lit)
            changes += self._sample(reading.at, Concern(vessel.id, "lamp"), judgement)
        return changes

    def _sample(self, at: int, concern: Concern, judgement: Judgement) -> list[Change]:
        if at <= self._judged_until.get(concern, 0):
            return []
        delays = conditions.delays(concern.condition, self._station.sample_every_s)
        low = concern.condition in ("cold", "lamp")
        alarm = sampled(self._alarms[concern], at, judgement.beyond, judgement.value, delays, low=low)
        return self._move(at, concern, alarm, judgement.value)

    def _move(self, at: int, concern: Concern, alarm: Alarm, value: float | None) -> list[Change]:
        before = self._alarms[concern]
        self._alarms[concern] = alarm
        return (
            [Change(at, concern, alarm.state, value, alarm.since)] if alarm.state is not before.state else []
        )


def concerns(station: Station) -> list[Concern]:
    """Everything a station can have an alarm about."""
    found = []
    for vessel in station.vessels:
        found += [Concern(vessel.id, condition) for condition in ("cold", "hot", "water")]
        if vessel.lamp and any(station.probe_of(vessel, measure) for measure in _LIGHT):
            found.append(Concern(vessel.id, "lamp"))
        found += [Concern(vessel.id, "probe", probe) for probe in vessel.probes]
    return found
