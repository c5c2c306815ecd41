"""The letters before and after an absence: what to fill and expect, and how it stands on the return."""

import sqlite3
from collections.abc import Mapping, Sequence

from daemon.alarms.letter_timing import leave_due_at
from daemon.estimates.water.pour import until
from daemon.hours import attended_spans, local_day, next_absence, next_attended
from daemon.letters.conversions import as_range, lamp_hours, last_read, local, range_of
from daemon.letters.outlooks import Outlooks
from daemon.letters.pours import brine_due, due
from daemon.letters.short_words import deed_in_words
from daemon.letters.span_record import expected_readings
from daemon.letters.vessel_alarms import doubts, is_probe_dead, open_alarms, past_alarms, silenced_alarms
from daemon.letters.writers import Writer, found
from daemon.seconds import DAY_S
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.watching.beliefs import Beliefs
from reports.letters.leave import VesselOutlook, leave_letter
from reports.letters.return_ import ReturnNews, return_letter
from reports.letters.return_first import ReturnVessel
from reports.records import Absence, Event, LetterText, Setting, Span
from sensors.reading import Measure

_LEAVES_S = DAY_S


class Absences:
    """What is known of an absence as it begins and as it ends; a vessel without a batch gives None."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        outlooks: Outlooks,
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._outlooks = outlooks
        self._advised_above_ml: dict[str, float] = {}

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter of each of these kinds."""
        return {"leave": self._write_leave, "return": self._write_return}

    @property
    def advised_above_ml(self) -> Mapping[str, float]:
        """How far above the mark the last leave letter advised to fill, by vessel."""
        return self._advised_above_ml

    def _write_leave(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        absence = leave_due_at(self._station, at)
        if absence is None or not absence[0] <= at < absence[1]:  # they are gone, or it was about another
            return None
        _, leaves_at, returns_at = absence
        outlooks = found(self._leave_vessel(vessel, leaves_at, returns_at, at) for vessel in vessels)
        if not outlooks:
            return None
        # What the page says from now on is what this letter says.
        self._beliefs.write([outlook.vessel for outlook in outlooks], at)
        self._advised_above_ml = {outlook.vessel: outlook.above_mark_ml for outlook in outlooks}
        away = Absence(local(self._station, leaves_at), local(self._station, returns_at))
        return leave_letter(place, away, outlooks)

    def _leave_vessel(self, vessel: Vessel, leaves_at: int, returns_at: int, at: int) -> VesselOutlook | None:
        belief = self._beliefs.of(vessel.id)
        hatch = self._outlooks.hatch(vessel, at)
        if hatch is None:
            return None
        state = self._beliefs.state(vessel.id, at)
        fill, brine, filled = until(vessel, state, belief.water_outlook(at), returns_at)
        return VesselOutlook(
            vessel=vessel.id,
            count=vessel.count,
            batch_set_at=hatch.set_at,
            fill_ml=fill.add_ml,
            above_mark_ml=fill.above_mark_ml,
            fill_holds=fill.holds,
            loss_ml_at_return=as_range(filled.loss_ml_at(returns_at)),
            salinity_at_return=as_range(filled.salinity_at(returns_at)),
            low_ml=vessel.low_ml,
            cold_c=vessel.cold_c,
            hot_c=vessel.hot_c,
            water_c_min_next_16h=range_of(belief.estimates(at), "water_c_min_next_16h"),
            lamp_hours=lamp_hours(vessel),
            hatched_fraction=hatch.hatched_fraction,
            hatch_t10=hatch.hatch_t10,
            hatch_t50=hatch.hatch_t50,
            hatch_t90=hatch.hatch_t90,
            learned_top_ups=belief.learned_top_ups,
            stage=state.stage.value,
            fill_fails=fill.fails,
            brine=brine_due(vessel, state, -fill.above_mark_ml, brine),
            feed=self._outlooks.feed_due(vessel, at) if state.rule.animals else None,
            water_c_min_away=as_range(belief.coldest_c(leaves_at, returns_at, at)),
            water_c_max_away=as_range(belief.hottest_c(leaves_at, returns_at, at)),
            open_alarms=open_alarms(self._station, self._connection, vessel, at),
            has_heater=belief.has_heater,
        )

    def _write_return(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        back = self.returned(vessels, at)
        return return_letter(place, back) if back else None

    def returned(self, vessels: Sequence[Vessel], at: int) -> ReturnNews | None:
        """How it stands at the end of an absence, and what happened meanwhile."""
        absence = next_absence(self._station, at - _LEAVES_S, 24)
        if absence is None or absence[0] > at:
            return None
        left_at, back_at = absence
        zone = self._station.timezone
        if local_day(back_at, zone) != local_day(at, zone) or self._gone_again(back_at, at):
            return None  # it waited
        returned = found(self._return_vessel(vessel, left_at, at) for vessel in vessels)
        if not returned:
            return None
        return ReturnNews(
            absence=Absence(local(self._station, left_at), local(self._station, back_at)),
            vessels=tuple(returned),
            deeds=self._recorded(left_at, min(back_at, at)),
            outages=tuple(
                Span(local(self._station, outage.began), local(self._station, outage.ended))
                for outage in run_store.outages(self._connection, left_at, at)
            ),
            readings_expected=expected_readings(self._station, left_at, at),
            readings_good=reading_store.count_good(self._connection, left_at - 1, at),
        )

    def _gone_again(self, back_at: int, at: int) -> bool:
        """Whether who came back has been there and gone for the day."""
        coming = next_attended(self._station, at)
        zone = self._station.timezone
        back_today = coming is not None and local_day(coming, zone) == local_day(at, zone)
        return bool(attended_spans(self._station, back_at, at)) and not back_today

    def _recorded(self, began: int, ended: int) -> tuple[Event, ...]:
        """What was recorded as done between two moments."""
        return tuple(
            Event(
                local(self._station, deed.at),
                deed.deed,
                f"{deed.vessel}: {deed_in_words(deed, self._station.language)}",
            )
            for deed in deed_store.between(self._connection, began, ended - 1)
        )

    def _return_vessel(self, vessel: Vessel, left_at: int, at: int) -> ReturnVessel | None:
        hatch = self._outlooks.hatch(vessel, at)
        believed = self._beliefs.estimates(vessel.id, at)
        loss_ml = range_of(believed, "loss_ml")
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        if hatch is None or loss_ml is None or plan is None:
            return None
        state = self._beliefs.state(vessel.id, at)
        fill_ml, brine = due(vessel, state, believed)
        waters_c = [c for _, c in reading_store.good_values(self._connection, plan.id, left_at, at)]
        mine = (self._station, self._connection, vessel)
        return ReturnVessel(
            vessel=vessel.id,
            count=vessel.count,
            water_c=last_read(self._station, self._connection, vessel, Measure.WATER_C),
            coldest_c=min(waters_c, default=None),
            hottest_c=max(waters_c, default=None),
            loss_ml=loss_ml,
            salinity_g_per_kg=range_of(believed, "salinity_g_per_kg"),
            fill_ml=fill_ml,
            brine=brine,
            hatched_fraction=hatch.hatched_fraction,
            hatch_t50=hatch.hatch_t50,
            open_alarms=open_alarms(*mine, at),
            past_alarms=past_alarms(*mine, (left_at, at)),
            silenced=silenced_alarms(*mine, at),
            probe_dead=is_probe_dead(self._connection, plan, at),
            doubt=doubts(self._station, self._connection, at).get(plan.id),
            feed=self._outlooks.feed_due(vessel, at) if state.rule.animals else None,
            vessel_kind=vessel.kind,
            stage=state.stage.value,
            seen=self._outlooks.seen_share(vessel, at),
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )
