"""The letters about water, probes and the station itself: what stands, and who writes of it."""

import sqlite3
from collections.abc import Callable, Sequence
from functools import partial

from daemon.alarms import conditions
from daemon.alarms.conditions import AlarmKey
from daemon.alarms.watch import Watch
from daemon.letters.conversions import WAITS_MOST_S, local, low_mark_time, range_of
from daemon.letters.outage import write_outage
from daemon.letters.pours import due
from daemon.letters.storage import write_storage
from daemon.letters.writers import Writer, first_of, of_each
from daemon.station import Station, Vessel
from daemon.store import boots as boot_store
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from reports.letters.clock import clock_letter
from reports.letters.probe import ProbeTrouble, probe_letter
from reports.letters.salinity import SalinityTrouble, salinity_letter
from reports.letters.storage import StorageTrouble
from reports.letters.water import WaterTrouble, water_letter
from reports.records import ClockTrouble, LetterText, Setting


class Troubles:
    """What stands at a moment; a vessel that a letter no longer concerns gives None."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        watch: Watch,
        free_bytes: Callable[[], int],
    ) -> None:
        """Look things up in these; `free_bytes` is the room left where the store stands."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._watch = watch
        self._free_bytes = free_bytes

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter of each of these kinds; of two the one that is more pressing."""
        return {
            "water": first_of(of_each(self.water, water_letter), of_each(self.salinity, salinity_letter)),
            "probe": self._write_probe,
            "outage": partial(write_outage, self._station, self._connection, self._beliefs),
            "clock": self._write_clock,
            "storage": self._write_storage,
        }

    def _write_probe(self, place: Setting, vessels: Sequence[Vessel], _at: int) -> LetterText | None:
        probes = self.probes([vessel.id for vessel in vessels])
        return probe_letter(place, probes) if probes else None

    def _write_clock(self, place: Setting, _vessels: Sequence[Vessel], at: int) -> LetterText | None:
        clock = self.clock(at)
        return clock_letter(place, clock) if clock else None

    def _write_storage(self, place: Setting, _vessels: Sequence[Vessel], at: int) -> LetterText | None:
        return write_storage(self._station, self._connection, self.storage(), place, at)

    def water(self, vessel: Vessel, at: int) -> WaterTrouble | None:
        """Water at the low mark, or there before somebody comes."""
        believed = self._beliefs.estimates(vessel.id, at)
        loss_ml = range_of(believed, "loss_ml")
        low_mark_at = low_mark_time(self._station, believed, at)
        if (
            not self._watch.alarm(AlarmKey(vessel.id, "water")).active
            or loss_ml is None
            or low_mark_at is None
        ):
            return None
        state = self._beliefs.state(vessel.id, at)
        fill_ml, brine = due(vessel, state, believed)
        return WaterTrouble(
            vessel=vessel.id,
            count=vessel.count,
            loss_ml=loss_ml,
            low_ml=vessel.low_ml,
            low_mark_at=low_mark_at,
            salinity_g_per_kg=range_of(believed, "salinity_g_per_kg"),
            low_g_per_kg=vessel.salinity_low_g_per_kg,
            high_g_per_kg=vessel.salinity_high_g_per_kg,
            mark_ml=vessel.mark_ml,
            drawn_ml=state.drawn_ml,
            fill_ml=fill_ml,
            brine=brine,
            learned_top_ups=self._beliefs.of(vessel.id).learned_top_ups,
            stage=state.stage.value,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def probes(self, vessel_ids: Sequence[str]) -> list[ProbeTrouble]:
        """Probes of these vessels that give nothing to believe, each once."""
        keys_of: dict[str, list[AlarmKey]] = {}
        for key in self._watch.active():
            if key.condition == "probe" and key.vessel in vessel_ids:
                keys_of.setdefault(key.probe, []).append(key)
        return [self._probe(probe, keys) for probe, keys in keys_of.items()]

    def salinity(self, vessel: Vessel, at: int) -> SalinityTrouble | None:
        """Salt out of range."""
        believed = self._beliefs.estimates(vessel.id, at)
        salt, loss_ml = range_of(believed, "salinity_g_per_kg"), range_of(believed, "loss_ml")
        if not self._stands(AlarmKey(vessel.id, "salinity")) or salt is None or loss_ml is None:
            return None
        return SalinityTrouble(
            vessel=vessel.id,
            count=vessel.count,
            salinity_g_per_kg=salt,
            low_g_per_kg=vessel.salinity_low_g_per_kg,
            high_g_per_kg=vessel.salinity_high_g_per_kg,
            loss_ml=loss_ml,
            fill_ml=loss_ml.p50,
            mark_ml=vessel.mark_ml,
            stage=self._beliefs.state(vessel.id, at).stage.value,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )

    def storage(self) -> StorageTrouble | None:
        """A card that is nearly full."""
        alarm = self._watch.alarm(AlarmKey("", "storage"))
        if not alarm.active or alarm.since is None:
            return None
        least_mb = conditions.LEAST_FREE_BYTES / 1e6
        return StorageTrouble(self._free_bytes() / 1e6, least_mb, local(self._station, alarm.since))

    def clock(self, at: int) -> ClockTrouble | None:
        """A clock that nothing has set, or that was wrong and was put right lately."""
        boot, alarm = boot_store.latest(self._connection), self._watch.alarm(AlarmKey("", "clock"))
        if boot is not None and boot.moved_s and boot.is_sure and at - (boot.moved_at or 0) < WAITS_MOST_S:
            return ClockTrouble(local(self._station, boot.began), boot.moved_s, boot.restamped)
        if not alarm.active or alarm.since is None or (boot is not None and boot.is_sure):
            return None
        return ClockTrouble(local(self._station, alarm.since), None, 0)

    def _stands(self, key: AlarmKey) -> bool:
        return self._watch.has(key) and self._watch.alarm(key).active

    def _probe(self, probe: str, keys: Sequence[AlarmKey]) -> ProbeTrouble:
        plan = self._station.probe(probe)
        newest = reading_store.latest(self._connection, probe)
        good = reading_store.latest(self._connection, probe, good=True)
        since = min(self._watch.alarm(key).since or 0 for key in keys)
        return ProbeTrouble(
            probe=probe,
            measures="" if plan is None else plan.measures.value,
            vessels=tuple(key.vessel for key in keys),
            fault="absent" if newest is None else newest.quality.value,
            since=local(self._station, since),
            last_good_at=None if good is None else local(self._station, good.at),
            last_good=None if good is None else good.value,
        )
