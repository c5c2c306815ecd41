"""Has the reports put into words what a letter has to say."""

from collections.abc import Sequence

from daemon.alarms.attention import leave_due_at
from daemon.alarms.conditions import URGENT_C
from daemon.duties.believing import Beliefs
from daemon.duties.facts import Facts
from daemon.duties.setting import as_range, local, range_of, setting
from daemon.hours import daily_spans
from daemon.station import Station, Vessel
from reports import letter as words
from reports.records import Absence, LetterText, Span, VesselOutlook


class Scribe:
    """Writes the letters about vessels; what no longer stands is not written about."""

    def __init__(self, station: Station, facts: Facts, beliefs: Beliefs) -> None:
        """Write about what `facts` finds."""
        self._station = station
        self._facts = facts
        self._beliefs = beliefs
        self.asked_above_ml: dict[str, float] = {}

    def letter(self, kind: str, about: Sequence[str], at: int) -> LetterText | None:
        """The letter of a kind about some vessels, or None when there is nothing left to say."""
        vessels = [vessel for vessel in self._station.vessels if vessel.id in about]
        facts, place = self._facts, setting(self._station, at)
        match kind:
            case "cold" | "hot":
                waters_c = [water_c for v in vessels if (water_c := facts.temperature(kind, v, at))]
                write = words.cold_letter if kind == "cold" else words.hot_letter
                return write(place, waters_c) if waters_c else None
            case "lamp":
                lamps = [lamp for v in vessels if (lamp := facts.lamp(v))]
                return words.lamp_letter(place, lamps) if lamps else None
            case "water":
                waters = [water for v in vessels if (water := facts.water(v, at))]
                return words.water_letter(place, waters) if waters else None
            case "probe":
                probes = facts.probes(about)
                return words.probe_letter(place, probes) if probes else None
            case "hatch":
                news = [n for v in vessels if (n := facts.hatch(v, at))]
                return words.hatch_letter(place, news) if news else None
            case "leave":
                return self._leave(vessels, at)
            case _:
                raise ValueError(f"letter kind: found {kind!r}; allowed: a kind this station writes")

    def urgent(self, kind: str, about: Sequence[str], at: int) -> bool:
        """Whether somebody else should hear of it too: heat past what the animals bear."""
        vessels = [vessel for vessel in self._station.vessels if vessel.id in about] if kind == "hot" else []
        return any(
            hot.extreme_c > URGENT_C
            for vessel in vessels
            if (hot := self._facts.temperature(kind, vessel, at))
        )

    def _leave(self, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        coming = leave_due_at(self._station, at)
        if coming is None:
            return None
        _, leaves_at, returns_at = coming
        outlooks = [o for vessel in vessels if (o := self._outlook(vessel, returns_at, at))]
        if not outlooks:
            return None
        self.asked_above_ml = {outlook.vessel: outlook.above_mark_ml for outlook in outlooks}
        away = Absence(local(self._station, leaves_at), local(self._station, returns_at))
        return words.leave_letter(setting(self._station, at), away, outlooks)

    def _outlook(self, vessel: Vessel, returns_at: int, at: int) -> VesselOutlook | None:
        belief = self._beliefs.of(vessel.id)
        hatch = self._facts.hatch(vessel, at)
        if hatch is None:
            return None
        water = belief.water_outlook(at)
        fill = water.safe_fill(returns_at, vessel.low_ml, vessel.brim_ml)
        filled = water.filled_to(fill.above_mark_ml)
        lamp = [
            Span(local(self._station, began), local(self._station, ended))
            for hours in vessel.lamp
            for began, ended in daily_spans(hours, self._station.timezone, at, returns_at)
        ]
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
            water_c_min_next_16h=range_of(belief.estimates(at), "water_c_min_next_16h"),
            lamp_hours=tuple(lamp),
            hatched_fraction=hatch.hatched_fraction,
            hatch_t10=hatch.hatch_t10,
            hatch_t50=hatch.hatch_t50,
            hatch_t90=hatch.hatch_t90,
            learned_top_ups=belief.learned_top_ups,
            fill_fails=fill.fails,
        )
