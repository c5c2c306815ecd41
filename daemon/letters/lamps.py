"""The letters about lamps: off in their hours, dark in hours that are over, on after them; what burns now."""

import sqlite3
from datetime import timedelta

from daemon.alarms import conditions
from daemon.alarms.conditions import AlarmKey
from daemon.alarms.watch import Watch
from daemon.hours import Span, daily_spans, in_daily_hours
from daemon.letters.conversions import LIGHT_UNITS, is_fresh, lamp_hours, last_read, local
from daemon.letters.writers import Writer, first_of, of_each
from daemon.seconds import DAY_S
from daemon.station import ProbePlan, Station, Vessel
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from reports.letters.lamp import LampStaysOn, LampTrouble, lamp_letter, lamp_stays_on_letter
from reports.letters.lamp_dark import LampWasDark, lamp_was_dark_letter
from sensors.reading import Measure


class Lamps:
    """What is known of lamps at a moment; one of which there is nothing to say gives None."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs, watch: Watch
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter about a lamp; of three the one that is more pressing."""
        return {
            "lamp": first_of(
                of_each(self.off, lamp_letter),
                of_each(self.stays_on, lamp_stays_on_letter),
                of_each(self.was_dark, lamp_was_dark_letter),
            )
        }

    def burns(self, vessel: Vessel, at: int) -> bool:
        """Whether the lamp is lit, by the light probe in its hours; where there is none, by the hours alone.

        Outside its hours light may be the day's, unless it is as steady as a lamp's.
        """
        if not self._in_hours(vessel, at):
            return self.stays_on(vessel, at) is not None
        plan = self._station.light_probe_of(vessel)
        light = None if plan is None else self._light_now(vessel, plan, at)
        return plan is None or (light is not None and light >= conditions.low_light(vessel, plan.measures))

    def off(self, vessel: Vessel, at: int) -> LampTrouble | None:
        """A lamp that is off now, in its hours."""
        plan, since = self._dark_since(vessel)
        if plan is None or since is None or not self._in_hours(vessel, at):
            return None
        light = self._light_now(vessel, plan, at)
        if light is None or light >= conditions.low_light(vessel, plan.measures):
            return None
        return LampTrouble(
            vessel=vessel.id,
            count=vessel.count,
            light=light,
            light_unit=LIGHT_UNITS[plan.measures],
            low_light=conditions.low_light(vessel, plan.measures),
            since=local(self._station, since),
            dark_for=timedelta(seconds=sum(ended - began for began, ended in self._spans(vessel, since, at))),
            lamp_hours=lamp_hours(vessel),
            water_c=last_read(self._station, self._connection, vessel, Measure.WATER_C),
            stage=self._beliefs.state(vessel.id, at).stage.value,
            vessel_kind=vessel.kind,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def was_dark(self, vessel: Vessel, at: int) -> LampWasDark | None:
        """A lamp that was dark in its hours up to their end: they are over for now."""
        plan, since = self._dark_since(vessel)
        if plan is None or since is None or self._in_hours(vessel, at):
            return None
        over, coming = self._spans(vessel, since, at), self._spans(vessel, at, at + 2 * DAY_S)
        began, ended = over[-1] if over else (at, at)
        seen = reading_store.good_values(self._connection, plan.id, began, ended - 1)
        if not coming or not seen or seen[-1][1] >= conditions.low_light(vessel, plan.measures):
            return None
        return LampWasDark(
            vessel=vessel.id,
            count=vessel.count,
            light=seen[-1][1],
            light_unit=LIGHT_UNITS[plan.measures],
            low_light=conditions.low_light(vessel, plan.measures),
            began=local(self._station, began),
            ended=local(self._station, ended),
            due_at=local(self._station, coming[0][0]),
            lamp_hours=lamp_hours(vessel),
            water_c=last_read(self._station, self._connection, vessel, Measure.WATER_C),
            stage=self._beliefs.state(vessel.id, at).stage.value,
            vessel_kind=vessel.kind,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def stays_on(self, vessel: Vessel, at: int) -> LampStaysOn | None:
        """A lamp that should have gone off, and is still lit."""
        plan = self._station.light_probe_of(vessel)
        if plan is None or not self._stands(AlarmKey(vessel.id, "lamp-stays-on")):
            return None
        over = [] if self._in_hours(vessel, at) else self._spans(vessel, at - DAY_S, at)
        light = self._light_now(vessel, plan, at)
        if not over or light is None or light < conditions.low_light(vessel, plan.measures):
            return None
        return LampStaysOn(
            vessel=vessel.id,
            count=vessel.count,
            light=light,
            light_unit=LIGHT_UNITS[plan.measures],
            since=local(self._station, over[-1][1]),
            lamp_hours=lamp_hours(vessel),
            water_c=last_read(self._station, self._connection, vessel, Measure.WATER_C),
        )

    def _dark_since(self, vessel: Vessel) -> tuple[ProbePlan | None, int | None]:
        """The light probe by which a lamp is found dark in its hours, and since when."""
        key = AlarmKey(vessel.id, "lamp")
        if not self._stands(key):
            return None, None
        return self._station.light_probe_of(vessel), self._watch.alarm(key).since

    def _light_now(self, vessel: Vessel, plan: ProbePlan, at: int) -> float | None:
        light = last_read(self._station, self._connection, vessel, plan.measures)
        return light.value if light is not None and is_fresh(self._station, light, at) else None

    def _in_hours(self, vessel: Vessel, at: int) -> bool:
        return any(in_daily_hours(hours, at, self._station.timezone) for hours in vessel.lamp)

    def _spans(self, vessel: Vessel, began: int, ended: int) -> list[Span]:
        """The lamp's hours within a stretch, in time order."""
        zone = self._station.timezone
        return sorted(span for hours in vessel.lamp for span in daily_spans(hours, zone, began, ended))

    def _stands(self, key: AlarmKey) -> bool:
        return self._watch.has(key) and self._watch.alarm(key).active
