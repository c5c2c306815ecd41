"""Has the reports put into words what a letter has to say."""

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from daemon.alarms.attention import leave_due_at
from daemon.alarms.conditions import URGENT_C
from daemon.duties.believing import Beliefs
from daemon.duties.facts import Facts
from daemon.duties.gaps import outage_news
from daemon.duties.mishaps import mishaps
from daemon.duties.news import News
from daemon.duties.setting import as_range, local, range_of, setting
from daemon.hours import daily_spans
from daemon.station import Station, Vessel
from daemon.store import boots as boot_store
from daemon.store import runs as run_store
from reports.letters.clock import clock_letter
from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.feed import feed_letter
from reports.letters.harvest import harvest_letter
from reports.letters.hatch import hatch_letter
from reports.letters.hatch_late import late_hatch_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.lamp import lamp_letter, lamp_stays_on_letter
from reports.letters.leave import VesselOutlook, leave_letter
from reports.letters.outage import outage_letter
from reports.letters.page import lead_of
from reports.letters.probe import probe_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.storage import storage_letter
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import Absence, LetterText, Setting, Span

_OUTAGE_TOLD_S = 3 * 86_400  # a letter about an outage may have waited out a weekend
_Record = TypeVar("_Record")


class Scribe:
    """Writes the letters about vessels; what no longer stands is not written about."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        facts: Facts,
        news: News,
        beliefs: Beliefs,
        free_bytes: Callable[[], int],
    ) -> None:
        """Write about what `facts` and `news` find."""
        self._station = station
        self._connection = connection
        self._facts = facts
        self._news = news
        self._beliefs = beliefs
        self._free_bytes = free_bytes
        self.asked_above_ml: dict[str, float] = {}

    def letter(
        self, kind: str, about: Sequence[str], at: int, also: tuple[str, ...] = ()
    ) -> LetterText | None:
        """The letter of a kind about some vessels, or None when there is nothing left to say."""
        vessels = [vessel for vessel in self._station.vessels if vessel.id in about]
        place = replace(self._place(at), also=also)
        match kind:
            case "cold" | "hot":
                return self._warmth(kind, place, vessels, at)
            case "lamp":
                return self._lamp(place, vessels, at)
            case "water":
                return self._water(place, vessels, at)
            case "swing":
                swings = _told(self._facts.swing(v, at) for v in vessels)
                return swing_letter(place, swings) if swings else None
            case "probe":
                probes = self._facts.probes(about)
                return probe_letter(place, probes) if probes else None
            case "outage":
                return self._outage(place, vessels, at)
            case "clock":
                clock = self._facts.clock(at)
                return clock_letter(place, clock) if clock else None
            case "storage":
                return self._storage(place, at)
            case "leave":
                return self._leave(place, vessels, at)
            case "return":
                back = self._news.returned(vessels, at)
                return return_letter(place, back) if back else None
            case _:
                return self._batch(kind, place, vessels, at)

    def _place(self, at: int) -> Setting:
        return setting(self._station, at, clock_sure=boot_store.told_surely(self._connection))

    def about(self, kind: str, about: Sequence[str], at: int) -> list[str]:
        """What a letter about these vessels tells of: those that go the same way in the room with them."""
        vessels = [vessel for vessel in self._station.vessels if vessel.id in about]
        if kind not in ("cold", "hot") or not any(self._facts.temperature(kind, v, at) for v in vessels):
            return sorted(about)
        return sorted({*about, *self._facts.beyond(kind)})

    def _warmth(self, kind: str, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        """What is too cold or too warm; where nothing is, what will be."""
        if any(self._facts.temperature(kind, v, at) for v in vessels):
            waters_c = _told(self._facts.temperature(kind, v, at, begun=True) for v in vessels)
            return (cold_letter if kind == "cold" else hot_letter)(place, waters_c)
        ahead = _told(self._facts.ahead(f"{kind}-ahead", v, at) for v in vessels)
        if ahead:
            return (cold_ahead_letter if kind == "cold" else hot_ahead_letter)(place, ahead)
        return None

    def _lamp(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        dark = _told(self._facts.lamp(v) for v in vessels)
        if dark:
            return lamp_letter(place, dark)
        lit = _told(self._facts.lamp_stays_on(v, at) for v in vessels)
        return lamp_stays_on_letter(place, lit) if lit else None

    def _storage(self, place: Setting, at: int) -> LetterText | None:
        """Card, store, station file: what happened last; what else stands, or did lately, at the end."""
        told = mishaps(self._station, self._connection, at)
        if full := self._facts.storage(self._free_bytes()):
            told.append((full.since, lambda where: storage_letter(where, full)))
        if not told:
            return None
        (_, newest), *others = sorted(told, key=lambda one: one[0], reverse=True)
        leads = tuple(lead_of(write(place)) for _, write in others)
        return newest(replace(place, also=(*place.also, *leads)))

    def _water(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        low = _told(self._facts.water(v, at) for v in vessels)
        if low:
            return water_letter(place, low)
        salt = _told(self._facts.salinity(v, at) for v in vessels)
        return salinity_letter(place, salt) if salt else None

    def _outage(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        lately = run_store.outages(self._connection, at - _OUTAGE_TOLD_S, at)
        outage = max(lately, key=lambda o: o.ended - o.began, default=None)
        if outage is None or not vessels:
            return None
        return outage_letter(place, outage_news(self._station, self._connection, vessels, outage))

    def _batch(self, kind: str, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        match kind:
            case "hatch":
                late = _told(self._news.late(v, at) for v in vessels)
                if late:
                    return late_hatch_letter(place, late)
                news = _told(self._news.near(v, at) for v in vessels)
                return hatch_letter(place, news) if news else None
            case "harvest":
                harvests = _told(self._news.harvest(v, at) for v in vessels)
                return harvest_letter(place, harvests) if harvests else None
            case "feed":
                feeds = _told(self._news.feed(v, at) for v in vessels)
                return feed_letter(place, feeds) if feeds else None
        raise ValueError(f"letter kind: found {kind!r}; allowed: a kind this station writes")

    def urgent(self, kind: str, about: Sequence[str], at: int) -> bool:
        """Whether somebody else should hear of it too: heat past what the animals bear."""
        vessels = [vessel for vessel in self._station.vessels if vessel.id in about] if kind == "hot" else []
        return any(
            hot.extreme_c > URGENT_C
            for vessel in vessels
            if (hot := self._facts.temperature(kind, vessel, at))
        )

    def _leave(self, place: Setting, vessels: Sequence[Vessel], at: int) -> LetterText | None:
        coming = leave_due_at(self._station, at)
        if coming is None:
            return None
        _, leaves_at, returns_at = coming
        outlooks = [o for vessel in vessels if (o := self._outlook(vessel, leaves_at, returns_at, at))]
        if not outlooks:
            return None
        self.asked_above_ml = {outlook.vessel: outlook.above_mark_ml for outlook in outlooks}
        away = Absence(local(self._station, leaves_at), local(self._station, returns_at))
        return leave_letter(place, away, outlooks)

    def _outlook(self, vessel: Vessel, leaves_at: int, returns_at: int, at: int) -> VesselOutlook | None:
        belief = self._beliefs.of(vessel.id)
        hatch = self._news.hatch(vessel, at)
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
            feed_small=self._news.feed(vessel, at) is not None,
            water_c_min_away=as_range(belief.coldest_c(leaves_at, returns_at, at)),
            water_c_max_away=as_range(belief.hottest_c(leaves_at, returns_at, at)),
        )


def _told(found: Iterable[_Record | None]) -> list[_Record]:
    """What there is to tell."""
    return [one for one in found if one is not None]
