"""Looks up what letters tell of a vessel: plain local records from beliefs, alarms and readings."""

import sqlite3
from collections.abc import Sequence

from daemon.alarms import conditions
from daemon.alarms.conditions import Concern
from daemon.alarms.watch import Watch
from daemon.duties.believing import Beliefs
from daemon.duties.judging import HOT_AHEAD_S
from daemon.duties.setting import LIGHT_UNITS, as_range, hatch_time, local, low_mark_time, range_of
from daemon.hours import daily_spans, in_daily_hours, next_absence
from daemon.station import ProbePlan, Station, Vessel
from daemon.store import boots as boot_store
from daemon.store import readings as reading_store
from reports.letters.lamp import LampStaysOn, LampTrouble
from reports.letters.probe import ProbeTrouble
from reports.letters.salinity import SalinityTrouble
from reports.letters.storage import StorageTrouble
from reports.letters.swing import SwingTrouble
from reports.letters.warmth import TemperatureAhead, TemperatureTrouble
from reports.letters.water import WaterTrouble
from reports.records import ClockTrouble, Span
from sensors.reading import Measure

_DAY_S = 86_400
_TOLD_S = 7 * _DAY_S  # a letter about the clock waits for somebody, for the holidays at the longest
_SUN_HOURS = (8, 18)  # local; outside them no sun comes through a window to speak of


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

    def beyond(self, kind: str) -> list[str]:
        """Vessels whose water is too cold or too warm already, and whose alarm is not raised yet."""
        return [v.id for v in self._station.vessels if self._watch.begun(Concern(v.id, kind))]

    def temperature(
        self, kind: str, vessel: Vessel, at: int, *, begun: bool = False
    ) -> TemperatureTrouble | None:
        """A cold or hot vessel; with `begun` also one whose alarm is not raised yet."""
        concern = Concern(vessel.id, kind)
        alarm = self._watch.alarm(concern)
        water_c = self._newest(vessel, Measure.WATER_C)
        stands = alarm.active or (begun and self._watch.begun(concern))
        if not stands or alarm.since is None or water_c is None:
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
        plan = self._light(vessel)
        if plan is None or not self._stands(Concern(vessel.id, "lamp")):
            return None
        alarm = self._watch.alarm(Concern(vessel.id, "lamp"))
        if alarm.since is None:
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

    def ahead(self, condition: str, vessel: Vessel, at: int) -> TemperatureAhead | None:
        """Cold or heat to come: `cold-ahead` or `hot-ahead`."""
        concern = Concern(vessel.id, condition)
        water_c = self._newest(vessel, Measure.WATER_C)
        if not self._stands(concern) or water_c is None:
            return None
        cold = condition == "cold-ahead"
        span = self._cold_span(at) if cold else (at, at + HOT_AHEAD_S)
        if span is None:
            return None
        belief = self._beliefs.of(vessel.id)
        extreme = (belief.coldest_c if cold else belief.hottest_c)(*span, at)
        return TemperatureAhead(
            kind=concern.letter,
            vessel=vessel.id,
            count=vessel.count,
            water_c=water_c,
            limit_c=vessel.cold_c if cold else vessel.hot_c,
            extreme_c=as_range(extreme),
            span=Span(local(self._station, span[0]), local(self._station, span[1])),
            has_lamp=bool(vessel.lamp),
            sun=not cold and self._sunny(vessel, at),
        )

    def _sunny(self, vessel: Vessel, at: int) -> bool:
        """Whether the rise looks like sun: by day, and no lamp burns."""
        zone = self._station.timezone
        by_day = _SUN_HOURS[0] <= local(self._station, at).hour < _SUN_HOURS[1]
        return by_day and not any(in_daily_hours(hours, at, zone) for hours in vessel.lamp)

    def _cold_span(self, at: int) -> tuple[int, int] | None:
        absence = next_absence(self._station, at, 0)
        return None if absence is None else (max(at, absence[0]), absence[1])

    def swing(self, vessel: Vessel, at: int) -> SwingTrouble | None:
        """Water that ranged too far within a day."""
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        if plan is None or not self._stands(Concern(vessel.id, "swing")):
            return None
        values = reading_store.good_values(self._connection, plan.id, at - _DAY_S, at)
        if not values:
            return None
        (lowest_at, lowest_c), (highest_at, highest_c) = (
            pick(values, key=lambda row: row[1]) for pick in (min, max)
        )
        return SwingTrouble(
            vessel=vessel.id,
            count=vessel.count,
            lowest_c=lowest_c,
            lowest_at=local(self._station, lowest_at),
            highest_c=highest_c,
            highest_at=local(self._station, highest_at),
            limit_k=vessel.swing_k,
        )

    def salinity(self, vessel: Vessel, at: int) -> SalinityTrouble | None:
        """Salt out of range."""
        believed = self._beliefs.estimates(vessel.id, at)
        salt, loss_ml = range_of(believed, "salinity_g_per_kg"), range_of(believed, "loss_ml")
        if not self._stands(Concern(vessel.id, "salinity")) or salt is None or loss_ml is None:
            return None
        return SalinityTrouble(
            vessel=vessel.id,
            count=vessel.count,
            salinity_g_per_kg=salt,
            low_g_per_kg=vessel.salinity_low_g_per_kg,
            high_g_per_kg=vessel.salinity_high_g_per_kg,
            loss_ml=loss_ml,
            fill_ml=max(0.0, loss_ml.p50),
            mark_ml=vessel.mark_ml,
        )

    def lamp_stays_on(self, vessel: Vessel, at: int) -> LampStaysOn | None:
        """A lamp that should have gone off."""
        plan = self._light(vessel)
        if plan is None or not self._stands(Concern(vessel.id, "lamp-stays-on")):
            return None
        zone = self._station.timezone
        spans = [s for hours in vessel.lamp for s in daily_spans(hours, zone, at - _DAY_S, at + 1)]
        over = [span for span in spans if span[1] <= at]
        if not over:
            return None
        began, ended = max(over, key=lambda span: span[1])
        return LampStaysOn(
            vessel=vessel.id,
            count=vessel.count,
            light=self._newest(vessel, plan.measures) or 0.0,
            light_unit=LIGHT_UNITS[plan.measures],
            since=local(self._station, ended),
            lamp_hours=Span(local(self._station, began), local(self._station, ended)),
            water_c=self._newest(vessel, Measure.WATER_C),
        )

    def storage(self, free_bytes: int) -> StorageTrouble | None:
        """A card that is nearly full."""
        alarm = self._watch.alarm(Concern("", "storage"))
        if not alarm.active or alarm.since is None:
            return None
        least_mb = conditions.LEAST_FREE_BYTES / 1e6
        return StorageTrouble(free_bytes / 1e6, least_mb, local(self._station, alarm.since))

    def clock(self, at: int) -> ClockTrouble | None:
        """A clock that nothing has set, or that was wrong and was put right lately."""
        boot, alarm = boot_store.latest(self._connection), self._watch.alarm(Concern("", "clock"))
        if boot is not None and boot.moved_s and boot.told_surely and at - (boot.moved_at or 0) < _TOLD_S:
            return ClockTrouble(local(self._station, boot.began), boot.moved_s, boot.restamped)
        if not alarm.active or alarm.since is None or (boot is not None and boot.told_surely):
            return None
        return ClockTrouble(local(self._station, alarm.since), None, 0)

    def _stands(self, concern: Concern) -> bool:
        return self._watch.has(concern) and self._watch.alarm(concern).active

    def _light(self, vessel: Vessel) -> ProbePlan | None:
        return next((p for m in LIGHT_UNITS if (p := self._station.probe_of(vessel, m))), None)

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
