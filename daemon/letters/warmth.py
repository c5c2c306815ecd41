"""The letters about warmth: water that is or will be too cold or too warm, or ranges too far in a day."""

import sqlite3
from collections.abc import Callable, Sequence
from datetime import timedelta
from functools import partial

from daemon.alarms import conditions
from daemon.alarms.cold_nights import is_of_a_night, warm_by
from daemon.alarms.conditions import AlarmKey
from daemon.alarms.watch import Watch
from daemon.hours import next_absence
from daemon.letters.cold_record import nights_before
from daemon.letters.conversions import as_range, hatch_time, last_read, local, range_of
from daemon.letters.lamps import Lamps
from daemon.letters.writers import Writer, first_of, found, of_each
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from daemon.watching.hourly_judge import HOT_AHEAD_S
from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.swing import SwingTrouble, swing_letter
from reports.letters.warmth import TemperatureAhead, TemperatureTrouble
from reports.records import LetterText, Setting, Span
from sensors.reading import Measure

_SHOWN_K = 0.05  # letters show tenths
_SUN_HOURS = (8, 18)  # local; outside them no sun comes through a window to speak of


class Warmth:
    """How warm the water is, as letters tell it; a vessel that a letter no longer concerns gives None."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        lamps: Lamps,
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch
        self._lamps = lamps

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter of each of these kinds: of what stands before of what is to come."""
        return {
            "cold": first_of(
                partial(self._write_temperature, "cold", cold_letter),
                of_each(partial(self.ahead, "cold-ahead"), cold_ahead_letter),
            ),
            "hot": first_of(
                partial(self._write_temperature, "hot", hot_letter),
                of_each(partial(self.ahead, "hot-ahead"), hot_ahead_letter),
            ),
            "swing": of_each(self.swing, swing_letter),
        }

    def _write_temperature(
        self,
        kind: str,
        write: Callable[[Setting, Sequence[TemperatureTrouble]], LetterText],
        place: Setting,
        vessels: Sequence[Vessel],
        at: int,
    ) -> LetterText | None:
        """What is too cold or too warm, and with it what is on its way there."""
        if not self.any_beyond(kind, vessels, at):
            return None
        return write(place, found(self.temperature(kind, v, at, begun=True) for v in vessels))

    def any_beyond(self, kind: str, vessels: Sequence[Vessel], at: int) -> bool:
        """Whether an alarm of one of these says that its water is too cold or too warm."""
        return any(self.temperature(kind, vessel, at) for vessel in vessels)

    def beyond(self, kind: str, *, raised: bool = False) -> list[str]:
        """Vessels whose water is too cold or too warm already, and whose alarm is not raised yet; with
        `raised` also those whose alarm is."""
        keys = [AlarmKey(v.id, kind) for v in self._station.vessels]
        return [k.vessel for k in keys if self._watch.begun(k) or (raised and self._watch.alarm(k).active)]

    def temperature(
        self, kind: str, vessel: Vessel, at: int, *, begun: bool = False
    ) -> TemperatureTrouble | None:
        """A cold or hot vessel; with `begun` also one whose alarm is not raised yet.

        None where its water is back inside the limit: there an alarm may stand, but the trouble is passing.
        """
        key = AlarmKey(vessel.id, kind)
        alarm = self._watch.alarm(key)
        water_c = last_read(self._station, self._connection, vessel, Measure.WATER_C)
        stands = alarm.active or (begun and self._watch.begun(key))
        if (
            not stands
            or alarm.since is None
            or water_c is None
            or not _is_beyond(kind, vessel, water_c.value)
        ):
            return None
        believed = self._beliefs.estimates(vessel.id, at)
        beyond_for, read_for = self._beyond_for(kind, vessel, alarm.since, at)
        return TemperatureTrouble(
            kind=kind,
            vessel=vessel.id,
            count=vessel.count,
            water_c=water_c,
            limit_c=vessel.cold_c if kind == "cold" else vessel.hot_c,
            extreme_c=water_c.value if alarm.extreme is None else alarm.extreme,
            since=local(self._station, alarm.since),
            stage=self._beliefs.state(vessel.id, at).stage.value,
            beyond_for=beyond_for,
            read_for=read_for,
            vessel_kind=vessel.kind,
            has_lamp=bool(vessel.lamp),
            lamp_lit=self._lamps.burns(vessel, at),
            room_c=last_read(self._station, self._connection, vessel, Measure.ROOM_C),
            water_c_min_next_16h=range_of(believed, "water_c_min_next_16h"),
            hatch_t50=hatch_time(self._station, believed, "hatch_t50", at),
            hatched_fraction=range_of(believed, "hatched_fraction"),
            usual_c=self._usual_c(vessel, alarm.since, alarm.extreme, at) if kind == "cold" else None,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def _beyond_for(self, kind: str, vessel: Vessel, since: int, at: int) -> tuple[timedelta, timedelta]:
        """How long the water was read beyond its limit, and how long at all; no reading speaks over a gap."""
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        values = reading_store.good_values(self._connection, plan.id, since, at) if plan else []
        ends = [then for then, _ in values[1:]] + [at]
        beyond_s = read_s = 0
        for (began, water_c), ended in zip(values, ends, strict=False):
            spoke_s = min(ended - began, self._station.off_after_s)
            read_s += spoke_s
            if water_c < vessel.cold_c if kind == "cold" else water_c > vessel.hot_c:
                beyond_s += spoke_s
        return timedelta(seconds=beyond_s), timedelta(seconds=read_s)

    def _usual_c(self, vessel: Vessel, since: int, extreme_c: float | None, at: int) -> float | None:
        """The coldest of this night and those before it; None where it is no night, or the first."""
        over_by = warm_by(self._station, since)
        if at >= over_by or not is_of_a_night(self._station, since, over_by):
            return None
        nights = nights_before(self._station, self._connection, vessel.id, at)
        coldest = [night.coldest_c for night in nights]
        return min([*coldest, *([] if extreme_c is None else [extreme_c])]) if coldest else None

    def passing(self, kind: str, vessels: Sequence[Vessel]) -> bool:
        """Whether an alarm of one of these stands though its water is back inside the limit for now."""
        return kind in ("cold", "hot") and any(self._stands(AlarmKey(vessel.id, kind)) for vessel in vessels)

    def ahead(self, condition: str, vessel: Vessel, at: int) -> TemperatureAhead | None:
        """Cold or heat to come: `cold-ahead` or `hot-ahead`."""
        key = AlarmKey(vessel.id, condition)
        water_c = last_read(self._station, self._connection, vessel, Measure.WATER_C)
        if not self._stands(key) or water_c is None:
            return None
        cold = condition == "cold-ahead"
        span = self._cold_span(at) if cold else (at, at + HOT_AHEAD_S)
        if span is None:
            return None
        belief = self._beliefs.of(vessel.id)
        extreme = (belief.coldest_c if cold else belief.hottest_c)(*span, at)
        judged = (
            conditions.cold_ahead(extreme, vessel)
            if cold
            else conditions.hot_ahead(extreme, vessel, attended=True)
        )
        if not judged.beyond:  # what was foreseen is so no longer
            return None
        limit_c = vessel.cold_c if cold else vessel.hot_c
        began, ended = self._beyond(vessel, span, at, limit_c, low=cold)
        return TemperatureAhead(
            kind=key.letter,
            vessel=vessel.id,
            count=vessel.count,
            water_c=water_c,
            limit_c=limit_c,
            extreme_c=as_range(extreme),
            span=Span(local(self._station, began), local(self._station, ended)),
            stage=self._beliefs.state(vessel.id, at).stage.value,
            vessel_kind=vessel.kind,
            has_lamp=bool(vessel.lamp),
            lamp_lit=self._lamps.burns(vessel, at),
            sun=not cold and self._sunny(vessel, at),
            has_heater=belief.has_heater,
        )

    def _beyond(
        self, vessel: Vessel, span: tuple[int, int], at: int, limit_c: float, *, low: bool
    ) -> tuple[int, int]:
        """The hours of a stretch to come (Unix s) in which the water most likely is past the limit.

        Those around the hour that is the furthest; where none is past the limit, that hour alone.
        """
        belief, sign = self._beliefs.of(vessel.id), -1.0 if low else 1.0
        hours = [(began, min(began + HOUR_S, span[1])) for began in range(span[0], span[1], HOUR_S)]
        if not hours:
            return span
        furthest = belief.coldest_c if low else belief.hottest_c
        past_k = [sign * (furthest(began, ended, at).p50 - limit_c) for began, ended in hours]
        first = last = past_k.index(max(past_k))
        while first > 0 and past_k[first - 1] > 0.0:
            first -= 1
        while last + 1 < len(hours) and past_k[last + 1] > 0.0:
            last += 1
        return hours[first][0], hours[last][1]

    def _sunny(self, vessel: Vessel, at: int) -> bool:
        """Whether the rise looks like sun: by day, and no lamp burns."""
        by_day = _SUN_HOURS[0] <= local(self._station, at).hour < _SUN_HOURS[1]
        return by_day and not self._lamps.burns(vessel, at)

    def _cold_span(self, at: int) -> tuple[int, int] | None:
        absence = next_absence(self._station, at, 0)
        return None if absence is None else (max(at, absence[0]), absence[1])

    def swing(self, vessel: Vessel, at: int) -> SwingTrouble | None:
        """Water that ranged too far within a day."""
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        if plan is None or not self._stands(AlarmKey(vessel.id, "swing")):
            return None
        values = reading_store.good_values(self._connection, plan.id, at - DAY_S, at)
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
            stage=self._beliefs.state(vessel.id, at).stage.value,
            limit_k=vessel.swing_k,
            vessel_kind=vessel.kind,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def _stands(self, key: AlarmKey) -> bool:
        return self._watch.has(key) and self._watch.alarm(key).active


def _is_beyond(kind: str, vessel: Vessel, water_c: float) -> bool:
    """Whether the water is past its limit, without the deadband that keeps an alarm standing, by so much that
    a letter's figures show it.
    """
    beyond_k = vessel.cold_c - water_c if kind == "cold" else water_c - vessel.hot_c
    return beyond_k > _SHOWN_K
