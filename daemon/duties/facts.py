"""Looks up what letters tell of a vessel: plain local records from beliefs, alarms and readings."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms import conditions
from daemon.alarms.conditions import Concern
from daemon.alarms.watch import Watch
from daemon.duties.believing import Beliefs
from daemon.duties.setting import LIGHT_UNITS, hatch_time, local, low_mark_time, range_of
from daemon.hours import daily_spans, in_daily_hours
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from reports.records import (
    HatchNews,
    LampTrouble,
    ProbeTrouble,
    Span,
    TemperatureTrouble,
    WaterTrouble,
)
from sensors.reading import Measure

_DAY_S = 86_400


class Facts:
    """What stands at a moment; a vessel that a letter no longer concerns has nothing to tell (None)."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs, watch: Watch
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch

    def temperature(self, kind: str, vessel: Vessel, at: int) -> TemperatureTrouble | None:
        """A cold or hot vessel."""
        alarm = self._watch.alarm(Concern(vessel.id, kind))
        water_c = self._newest(vessel, Measure.WATER_C)
        if not alarm.active or alarm.since is None or water_c is None:
            return None
        believed = self._beliefs.estimates(vessel.id, at)
        return TemperatureTrouble(
            kind=kind,
            vessel=vessel.id,
            count=vessel.count,
            water_c=water_c,
            limit_c=vessel.cold_c if kind == "cold" else vessel.hot_c,
            extreme_c=water_c if alarm.extreme is None else alarm.extreme,
            since=local(self._station, alarm.since),
            has_lamp=bool(vessel.lamp),
            room_c=self._newest(vessel, Measure.ROOM_C),
            water_c_min_next_16h=range_of(believed, "water_c_min_next_16h"),
            hatch_t50=hatch_time(self._station, believed, "hatch_t50", at),
            hatched_fraction=range_of(believed, "hatched_fraction"),
        )

    def lamp(self, vessel: Vessel) -> LampTrouble | None:
        """A lamp that is off in its hours."""
        alarm = self._watch.alarm(Concern(vessel.id, "lamp"))
        plan = next((p for m in LIGHT_UNITS if (p := self._station.probe_of(vessel, m))), None)
        if not alarm.active or alarm.since is None or plan is None:
            return None
        return LampTrouble(
            vessel=vessel.id,
            count=vessel.count,
            light=self._newest(vessel, plan.measures) or 0.0,
            light_unit=LIGHT_UNITS[plan.measures],
            low_light=conditions.low_light(vessel, plan.measures),
            since=local(self._station, alarm.since),
            lamp_hours=self._lamp_hours(vessel, alarm.since),
            water_c=self._newest(vessel, Measure.WATER_C),
        )

    def water(self, vessel: Vessel, at: int) -> WaterTrouble | None:
        """Water at the low mark, or there before somebody comes."""
        believed = self._beliefs.estimates(vessel.id, at)
        loss_ml = range_of(believed, "loss_ml")
        low_mark_at = low_mark_time(self._station, believed, at)
        if (
            not self._watch.alarm(Concern(vessel.id, "water")).active
            or loss_ml is None
            or low_mark_at is None
        ):
            return None
        return WaterTrouble(
            vessel=vessel.id,
            count=vessel.count,
            loss_ml=loss_ml,
            low_ml=vessel.low_ml,
            low_mark_at=low_mark_at,
            salinity_g_per_kg=range_of(believed, "salinity_g_per_kg"),
            fill_ml=max(0.0, loss_ml.p50),
            learned_top_ups=self._beliefs.of(vessel.id).learned_top_ups,
        )

    def probes(self, vessel_ids: Sequence[str]) -> list[ProbeTrouble]:
        """Probes of these vessels that give nothing to believe, each once."""
        found: dict[str, list[Concern]] = {}
        for concern in self._watch.active():
            if concern.condition == "probe" and concern.vessel in vessel_ids:
                found.setdefault(concern.probe, []).append(concern)
        return [self._probe(probe, concerns) for probe, concerns in found.items()]

    def hatch(self, vessel: Vessel, at: int) -> HatchNews | None:
        """A hatch that is near, or has come."""
        batch = self._beliefs.of(vessel.id).running
        believed = self._beliefs.estimates(vessel.id, at)
        hatched = range_of(believed, "hatched_fraction")
        times = [hatch_time(self._station, believed, f"hatch_t{share}", at) for share in (10, 50, 90)]
        t10, t50, t90 = times
        if batch is None or hatched is None or t10 is None or t50 is None or t90 is None:
            return None
        return HatchNews(vessel.id, vessel.count, local(self._station, batch.set_at), hatched, t10, t50, t90)

    def _probe(self, probe: str, concerns: Sequence[Concern]) -> ProbeTrouble:
        plan = self._station.probe(probe)
        newest = reading_store.latest(self._connection, probe)
        good = reading_store.latest(self._connection, probe, good=True)
        since = min(self._watch.alarm(concern).since or 0 for concern in concerns)
        return ProbeTrouble(
            probe=probe,
            measures="" if plan is None else plan.measures.value,
            vessels=tuple(concern.vessel for concern in concerns),
            fault="absent" if newest is None else newest.quality.value,
            since=local(self._station, since),
            last_good_at=None if good is None else local(self._station, good.at),
            last_good=None if good is None else good.value,
        )

    def _lamp_hours(self, vessel: Vessel, at: int) -> Span:
        """The lamp's hours around a moment."""
        zone = self._station.timezone
        hours = next((h for h in vessel.lamp if in_daily_hours(h, at, zone)), vessel.lamp[0])
        spans = daily_spans(hours, zone, at - _DAY_S, at + _DAY_S)
        began, ended = next((span for span in spans if span[0] <= at < span[1]), spans[-1])
        return Span(local(self._station, began), local(self._station, ended))

    def _newest(self, vessel: Vessel, measures: Measure) -> float | None:
        plan = self._station.probe_of(vessel, measures)
        reading = None if plan is None else reading_store.latest(self._connection, plan.id, good=True)
        return None if reading is None else reading.value
