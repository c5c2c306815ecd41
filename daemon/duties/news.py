"""Looks up what the planned letters tell: hatch, harvest, feed, and how it stands after an absence."""

import sqlite3
from collections.abc import Sequence
from datetime import datetime

from daemon.duties.believing import Beliefs
from daemon.duties.nights import expected_readings, past_and_open_alarms
from daemon.duties.setting import hatch_time, local, range_of, time_range_of
from daemon.duties.tending import Tending, tells_of_hatch, told_half_at
from daemon.hours import next_absence
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from reports.letters.feed import FeedNews
from reports.letters.harvest import HarvestNews
from reports.letters.hatch import HatchNews
from reports.letters.hatch_late import LateHatch
from reports.letters.return_ import ReturnNews, ReturnVessel
from reports.records import Absence, Span, TimeRange
from sensors.reading import Measure

_DAY_S = 86_400
_CLOSES_SOON_S = 7 * 3600
_LEAVES_S = 24 * 3600


class News:
    """What stands at a moment; a vessel without a batch has nothing to tell (None)."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs, tending: Tending
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._tending = tending

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

    def near(self, vessel: Vessel, at: int) -> HatchNews | None:
        """The same, unless somebody told of swimmers: they know."""
        batch = self._beliefs.of(vessel.id).running
        seen = batch is not None and self._seen(vessel.id, batch.set_at, at)
        return None if seen else self.hatch(vessel, at)

    def late(self, vessel: Vessel, at: int) -> LateHatch | None:
        """A hatch that is later than was told, or long overdue; None where it is neither."""
        news, batch = self.hatch(vessel, at), self._beliefs.of(vessel.id).running
        if news is None or batch is None:
            return None
        told_at = told_half_at(self._connection, vessel.id, batch.set_at, at - 1)
        late = told_at is not None and told_at <= at and _later(news.hatch_t50.p10, local(self._station, at))
        believed = self._beliefs.estimates(vessel.id, at)
        overdue = at > believed["hatch_t90"].p90 and not self._seen(vessel.id, batch.set_at, at)
        if not late and not overdue:
            return None
        return LateHatch(
            vessel=vessel.id,
            count=vessel.count,
            set_at=news.set_at,
            said_t50=None if told_at is None else local(self._station, told_at),
            hatched_fraction=news.hatched_fraction,
            hatch_t50=news.hatch_t50,
            hatch_t90=news.hatch_t90,
            mean_c=self._mean_c(vessel, batch.set_at, at),
            overdue=overdue,
        )

    def _seen(self, vessel_id: str, set_at: int, at: int) -> bool:
        deeds = deed_store.between(self._connection, set_at - 1, at)
        return any(tells_of_hatch(deed) for deed in deeds if deed.vessel == vessel_id)

    def _mean_c(self, vessel: Vessel, since: int, at: int) -> float | None:
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        values = reading_store.good_values(self._connection, plan.id, since, at) if plan else []
        return sum(value for _, value in values) / len(values) if values else None

    def harvest(self, vessel: Vessel, at: int) -> HarvestNews | None:
        """A cone's harvest window."""
        believed = self._beliefs.estimates(vessel.id, at)
        opens = hatch_time(self._station, believed, "harvest_opens_at", at)
        closes = hatch_time(self._station, believed, "harvest_closes_at", at)
        hatched = range_of(believed, "hatched_fraction")
        if opens is None or closes is None or hatched is None:
            return None
        closing = believed["harvest_opens_at"].p50 <= at
        closing = closing and believed["harvest_closes_at"].p50 - at <= _CLOSES_SOON_S
        return HarvestNews(vessel.id, vessel.count, opens, closes, hatched, closing)

    def feed(self, vessel: Vessel, at: int) -> FeedNews | None:
        """Animals that may be fed."""
        batch = self._beliefs.of(vessel.id).running
        instar_ii_at = self._instar_ii_at(vessel, at)
        if batch is None or instar_ii_at is None or not self._tending.feed_due(vessel.id, at):
            return None
        deeds = deed_store.between(self._connection, batch.set_at, at)
        fed = [deed.at for deed in deeds if deed.vessel == vessel.id and deed.deed == "feed"]
        return FeedNews(
            vessel=vessel.id,
            count=vessel.count,
            set_at=local(self._station, batch.set_at),
            instar_ii_at=instar_ii_at,
            last_fed_at=local(self._station, max(fed)) if fed else None,
            small=self._left_soon(at),
        )

    def _left_soon(self, at: int) -> bool:
        absence = next_absence(self._station, at, 24)
        return absence is not None and absence[0] - at < _LEAVES_S

    def _instar_ii_at(self, vessel: Vessel, at: int) -> TimeRange | None:
        stages = self._beliefs.of(vessel.id).stage_times(at)
        return None if stages is None else time_range_of(self._station, stages.instar_ii, at)

    def returned(self, vessels: Sequence[Vessel], at: int) -> ReturnNews | None:
        """How it stands at the end of an absence, and what happened meanwhile."""
        absence = next_absence(self._station, at - _LEAVES_S, 24)
        if absence is None or absence[0] > at:
            return None
        left_at, back_at = absence
        told = [one for vessel in vessels if (one := self._return_vessel(vessel, left_at, at)) is not None]
        if not told:
            return None
        return ReturnNews(
            absence=Absence(local(self._station, left_at), local(self._station, back_at)),
            vessels=tuple(told),
            outages=tuple(
                Span(local(self._station, outage.began), local(self._station, outage.ended))
                for outage in run_store.outages(self._connection, left_at, at)
            ),
            readings_expected=expected_readings(self._station, left_at, at),
            readings_good=reading_store.count_good(self._connection, left_at - 1, at),
        )

    def _return_vessel(self, vessel: Vessel, left_at: int, at: int) -> ReturnVessel | None:
        hatch = self.hatch(vessel, at)
        believed = self._beliefs.estimates(vessel.id, at)
        loss_ml = range_of(believed, "loss_ml")
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        if hatch is None or loss_ml is None or plan is None:
            return None
        waters_c = [c for _, c in reading_store.good_values(self._connection, plan.id, left_at, at)]
        newest = reading_store.latest(self._connection, plan.id, good=True)
        past, standing = past_and_open_alarms(self._station, self._connection, vessel, (left_at, at))
        return ReturnVessel(
            vessel=vessel.id,
            count=vessel.count,
            water_c=None if newest is None else newest.value,
            coldest_c=min(waters_c, default=None),
            hottest_c=max(waters_c, default=None),
            loss_ml=loss_ml,
            salinity_g_per_kg=range_of(believed, "salinity_g_per_kg"),
            fill_ml=max(0.0, loss_ml.p50),
            hatched_fraction=hatch.hatched_fraction,
            hatch_t50=hatch.hatch_t50,
            open_alarms=standing,
            past_alarms=past,
            feed=self._tending.feed_due(vessel.id, at),
        )


def _later(early: datetime | None, now: datetime) -> bool:
    return early is None or early > now
