"""The letters about a batch: its hatch, near or late, harvest, feeding; what is known, and who writes it."""

import sqlite3
from dataclasses import replace
from datetime import datetime

from daemon.alarms.letter_timing import left_soon
from daemon.care.deed import Deed
from daemon.hours import next_attended
from daemon.letters.batch_letters import BatchLetters, half_as_written, last_chance
from daemon.letters.conversions import as_range, hatch_time, local, range_of, time_range_of
from daemon.letters.harvest_record import harvest_record
from daemon.letters.seen import animals_seen, seen_share, tells_of_hatch
from daemon.letters.writers import Writer, first_of, of_each
from daemon.stages import Stage
from daemon.station import Station, Vessel
from daemon.store import deeds as deed_store
from daemon.store import readings as reading_store
from daemon.watching.beliefs import Beliefs
from reports.letters.feed import FeedNews, feed_letter
from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews, UnseenWindow, harvest_letter
from reports.letters.hatch import HatchNews, hatch_letter
from reports.letters.hatch_late import LateHatch, late_hatch_letter
from reports.records import TimeRange
from sensors.reading import Measure


class Outlooks:
    """What stands at a moment; a vessel without a batch gives None."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, beliefs: Beliefs, batches: BatchLetters
    ) -> None:
        """Look things up in these."""
        self._station = station
        self._connection = connection
        self._beliefs = beliefs
        self._batches = batches

    def writers(self) -> dict[str, Writer]:
        """Who writes the letter of each of these kinds."""
        return {
            "hatch": first_of(of_each(self.late, late_hatch_letter), of_each(self.near, hatch_letter)),
            "harvest": of_each(self.harvest, harvest_letter),
            "feed": of_each(self.feed, feed_letter),
        }

    def hatch(self, vessel: Vessel, at: int) -> HatchNews | None:
        """A hatch that is near, or has come."""
        batch = self._beliefs.of(vessel.id).running
        believed = self._beliefs.estimates(vessel.id, at)
        hatched = range_of(believed, "hatched_fraction")
        times = [hatch_time(self._station, believed, f"hatch_t{share}", at) for share in (10, 50, 90)]
        t10, t50, t90 = times
        if batch is None or hatched is None or t10 is None or t50 is None or t90 is None:
            return None
        set_at = local(self._station, batch.set_at)
        return HatchNews(vessel.id, vessel.count, set_at, hatched, t10, t50, t90, vessel.kind)

    def near(self, vessel: Vessel, at: int) -> HatchNews | None:
        """The same, unless somebody recorded swimmers: they know."""
        batch = self._beliefs.of(vessel.id).running
        seen = batch is not None and self._seen(vessel.id, batch.set_at, at)
        return None if seen else self.hatch(vessel, at)

    def late(self, vessel: Vessel, at: int) -> LateHatch | None:
        """A hatch that is later than was written, or long overdue; None where it is neither."""
        news, batch = self.hatch(vessel, at), self._beliefs.of(vessel.id).running
        if news is None or batch is None:
            return None
        said_at = half_as_written(self._connection, vessel.id, batch.set_at, at - 1)
        late = said_at is not None and said_at <= at and _later(news.hatch_t50.p10, local(self._station, at))
        believed = self._beliefs.estimates(vessel.id, at)
        overdue = at > believed["hatch_t90"].p90
        # Who recorded swimmers knows when they came.
        if self._seen(vessel.id, batch.set_at, at) or not (late or overdue):
            return None
        return LateHatch(
            vessel=vessel.id,
            count=vessel.count,
            set_at=news.set_at,
            said_t50=None if said_at is None else local(self._station, said_at),
            hatched_fraction=news.hatched_fraction,
            hatch_t50=news.hatch_t50,
            hatch_t90=news.hatch_t90,
            mean_c=self._mean_c(vessel, batch.set_at, at),
            overdue=overdue,
            vessel_kind=vessel.kind,
        )

    def _seen(self, vessel_id: str, set_at: int, at: int) -> bool:
        return any(map(tells_of_hatch, self._deeds(vessel_id, set_at, at)))

    def seen_share(self, vessel: Vessel, at: int) -> float | None:
        """The share of the running batch that somebody last saw hatched; any swimmer is some."""
        batch = self._beliefs.of(vessel.id).running
        return None if batch is None else seen_share(self._deeds(vessel.id, batch.set_at, at))

    def _deeds(self, vessel_id: str, set_at: int, at: int) -> list[Deed]:
        deeds = deed_store.between(self._connection, set_at - 1, at)
        return [deed for deed in deeds if deed.vessel == vessel_id]

    def _mean_c(self, vessel: Vessel, since: int, at: int) -> float | None:
        plan = self._station.probe_of(vessel, Measure.WATER_C)
        values = reading_store.good_values(self._connection, plan.id, since, at) if plan else []
        return sum(value for _, value in values) / len(values) if values else None

    def harvest(self, vessel: Vessel, at: int) -> HarvestNews | None:
        """A cone's harvest window."""
        believed = self._beliefs.estimates(vessel.id, at)
        news = harvest_record(
            *(self._station, vessel, believed, at),
            growing=self._beliefs.state(vessel.id, at).stage is Stage.GROWING,
            has_heater=self._beliefs.of(vessel.id).has_heater,
        )
        if news is None:
            return None
        return replace(news, unseen=self._unseen(vessel, round(believed["harvest_opens_at"].p50), at))

    def _unseen(self, vessel: Vessel, opens_at: int, at: int) -> UnseenWindow | None:
        """Where nobody is there while a harvest is open, and somebody before: what there is to choose."""
        closes_at = round(self._beliefs.estimates(vessel.id, at)["harvest_closes_at"].p50)
        until = last_chance(self._station, opens_at, closes_at, at)
        if until is None:
            return None
        back = next_attended(self._station, closes_at)
        hatched_then = as_range(self._beliefs.of(vessel.id).hatched_at(until, at))
        return UnseenWindow(
            local(self._station, until), hatched_then, None if back is None else local(self._station, back)
        )

    def feed(self, vessel: Vessel, at: int) -> FeedNews | None:
        """Animals that may be fed."""
        batch = self._beliefs.of(vessel.id).running
        instar_ii_at = self._instar_ii_at(vessel, at)
        due = self.feed_due(vessel, at)
        if batch is None or instar_ii_at is None or due is None:
            return None
        deeds = deed_store.between(self._connection, batch.set_at, at)
        fed = [deed.at for deed in deeds if deed.vessel == vessel.id and deed.deed == "feed"]
        return FeedNews(
            vessel=vessel.id,
            count=vessel.count,
            set_at=local(self._station, batch.set_at),
            instar_ii_at=instar_ii_at,
            last_fed_at=local(self._station, max(fed)) if fed else None,
            small=left_soon(self._station, at),
            volume_ml=due.volume_ml,
            seen=due.seen,
        )

    def feed_due(self, vessel: Vessel, at: int) -> FeedDue | None:
        """A feed that is due: into how much water, and whether somebody recorded animals."""
        batch = self._beliefs.of(vessel.id).running
        if batch is None or not self._batches.feed_due(vessel.id, at):
            return None
        loss_ml = range_of(self._beliefs.estimates(vessel.id, at), "loss_ml")
        volume_ml = vessel.mark_ml - (0.0 if loss_ml is None else loss_ml.p50)
        return FeedDue(
            vessel.id, vessel.count, volume_ml, animals_seen(self._deeds(vessel.id, batch.set_at, at))
        )

    def _instar_ii_at(self, vessel: Vessel, at: int) -> TimeRange | None:
        found = self._beliefs.estimates(vessel.id, at).get("instar_ii_at")
        return None if found is None else time_range_of(self._station, found, at)


def _later(early: datetime | None, now: datetime) -> bool:
    return early is None or early > now
