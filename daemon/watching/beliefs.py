"""Keeps the beliefs of all vessels in step with the readings and deeds in the store."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from daemon.care.deed import Deed
from daemon.estimates.hatch.lots import GivenLot, Lots
from daemon.estimates.quantile import Estimate
from daemon.estimates.timeline.timeline import OutOfOrder
from daemon.estimates.vessel import VesselBelief
from daemon.science.strains import STRAINS
from daemon.seconds import HOUR_S
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from daemon.store import readings as reading_store
from daemon.store import tin_tests
from daemon.vessel_state import VesselState
from daemon.watching.old_hatches import READ_BACK_S, OldHatches, still_read
from daemon.watching.rereading import Rereading
from daemon.watching.snapshot.kept import Kept, KeptPart, of_vessel
from daemon.watching.stale_neighbours import StaleNeighbours
from daemon.watching.vessel_hours import VesselHours, fed_with
from sensors.reading import Reading

if TYPE_CHECKING:
    from daemon.watching.kept_tests import KeptTests

# A cup of 250 mL comes to its room with a time constant of about 1.5 h (assumed): 13 % is left [P].
WARMING_S = 3 * HOUR_S


class Beliefs:
    """One belief a vessel. A belief is a function of the store: live feeding and reading it anew agree."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, at: int, kept: Kept | None = None
    ) -> None:
        """Believe what the store says up to `at` (Unix seconds); what `kept` holds is not read anew."""
        self._station = station
        self._connection = connection
        self._vessels = {vessel.id: vessel for vessel in station.vessels}
        # What each vessel's belief is fed with, by probe: the measures of its own, and a neighbour's water.
        self._fed_with = {vessel.id: fed_with(station, vessel) for vessel in station.vessels}
        # The same from the other end: whose beliefs a probe's readings feed, and as what.
        self._fed_by: dict[str, list[tuple[str, str]]] = {}
        for vessel_id, measures in self._fed_with.items():
            for probe, measure in measures.items():
                self._fed_by.setdefault(probe, []).append((vessel_id, measure))
        self._beliefs: dict[str, VesselBelief] = {}
        self._calendars = {vessel.id: VesselHours(station, vessel) for vessel in station.vessels}
        self._behind: set[str] = set()  # vessels whose belief was not fed all there is: their clock went back
        self._prepared: dict[str, Rereading] = {}
        self._stale = StaleNeighbours(station, connection, self._fed_with)
        given = {lot.id: GivenLot(STRAINS[lot.strain], lot.opened) for lot in station.lots}
        self._lots = Lots(given)
        self._old_hatches = OldHatches(station, connection, given)
        self._kept_tests: KeptTests | None = None
        self._estimates_at: dict[str, tuple[int, Mapping[str, Estimate]]] = {}
        self._take_up(at, kept)

    def of(self, vessel_id: str) -> VesselBelief:
        """The belief about a vessel."""
        return self._beliefs[vessel_id]

    def running(self) -> list[str]:
        """Vessels in which a batch runs."""
        return [vessel_id for vessel_id, belief in self._beliefs.items() if belief.running is not None]

    def state(self, vessel_id: str, at: int) -> VesselState:
        """The state a vessel is in at `at` (Unix s)."""
        course = self._beliefs[vessel_id].course
        return course.state(self._vessels[vessel_id], self.estimates(vessel_id, at), at)

    def states(self) -> dict[str, VesselState]:
        """Every vessel's state by the care log alone: enough to say what is judged of it."""
        return {
            vessel_id: self._beliefs[vessel_id].course.state(vessel, {}, 0)
            for vessel_id, vessel in self._vessels.items()
        }

    def watched(self) -> list[str]:
        """Vessels whose warmth is judged."""
        running = self.running()
        return [v.id for v in self._station.vessels if v.watch == "always" or v.id in running]

    def warmed_by(self) -> dict[str, int]:
        """By when the brine of each running batch has come to its room's warmth, Unix seconds."""
        batches = {vessel_id: belief.running for vessel_id, belief in self._beliefs.items()}
        return {vessel_id: b.set_at + WARMING_S for vessel_id, b in batches.items() if b is not None}

    def feed(self, readings: Iterable[Reading]) -> None:
        """Take in new good readings, which are later than all before."""
        self._estimates_at.clear()
        for reading in readings:
            if reading.good and reading.value is not None:
                for vessel_id, measure in self._fed_by.get(reading.probe, ()):
                    self._feed_one(vessel_id, reading.at, measure, reading.value)

    def take_in(self, deed: Deed, at: int) -> None:
        """Take in a deed that is in the store already; one from the past changes what came after it."""
        self._estimates_at.clear()
        try:
            self._beliefs[deed.vessel].feed_deed(deed)
        except OutOfOrder:
            self.rebuild([deed.vessel], at)

    def know_tests(self, at: int) -> None:
        """Take in the tests of tins that stand at `at` (Unix s), and let go those that were withdrawn."""
        self._estimates_at.clear()
        if self._kept_tests is None:
            if not tin_tests.any_kept(self._connection):
                return
            from daemon.watching.kept_tests import KeptTests  # most stations never keep one

            self._kept_tests = KeptTests()
        self._kept_tests.tell(self._connection, self._lots, at)

    def rebuild(self, vessel_ids: Iterable[str], at: int, write_at: Sequence[int] = ()) -> None:
        """Compute beliefs anew from the store: readings and deeds in the order of their times.

        `write_at` are moments, in time order, of which the estimates are written on the way.
        """
        self._estimates_at.clear()
        asked = set(vessel_ids)
        wanted = [vessel_id for vessel_id in self._vessels if vessel_id in asked]
        deeds = [deed for deed in deed_store.between(self._connection, 0, at) if deed.vessel in wanted]
        self.know_tests(at)
        prepared, self._prepared = self._prepared, {}
        for vessel_id in wanted:
            self._begin(vessel_id)
            self._remember_old(vessel_id, deeds, at)
        self._behind -= set(wanted)
        self._stale.read_anew(wanted)
        deeds = still_read(deeds, at)
        for vessel_id, reading in {} if write_at else prepared.items():
            own = [deed for deed in deeds if deed.vessel == vessel_id]
            if vessel_id in wanted and reading.deeds == own and reading.reached <= at:
                reading.read(at)
                self._beliefs[vessel_id] = reading.belief
                self._lots.hear(vessel_id, reading.belief.hatches)
                wanted.remove(vessel_id)
        if wanted:
            left = [deed for deed in deeds if deed.vessel in wanted]
            self._feed_stored(wanted, left, at - READ_BACK_S, at, write_at)

    def revise(self, probe: str, since: int, until: int, at: int) -> list[str]:
        """Trust thinks otherwise of a probe's stored readings; whose vessels were computed anew for that.

        Those of which it is a neighbour are not: it counts there only where their own probe was silent. They
        go on as they are until the next start, which reads them anew where it does.
        """
        vessels = [vessel.id for vessel in self._station.vessels if probe in vessel.probes]
        self._stale.revise(probe, since, until)
        self.rebuild(vessels, at)
        return vessels

    def prepare(self, deeds: Mapping[str, Sequence[Deed]], at: int) -> bool:
        """Read a stretch further of what `rebuild` will need where these vessels' deeds will be these.

        Whether all is read: then `rebuild` takes as long as what came since. What was believed stands
        meanwhile, and goes on. Whatever else changes the past in between makes it begin again.
        """
        wanted = {vessel_id: still_read(own, at) for vessel_id, own in deeds.items()}
        if {vessel_id: reading.deeds for vessel_id, reading in self._prepared.items()} != wanted:
            oldest = reading_store.oldest_at(self._connection) or at
            since = max(at - READ_BACK_S, oldest - 1)
            self._prepared = {
                vessel_id: self._rereading(vessel_id, own, since) for vessel_id, own in wanted.items()
            }
        done = [reading.step(at) for reading in self._prepared.values()]
        return all(done)

    def _rereading(self, vessel_id: str, deeds: Sequence[Deed], since: int) -> Rereading:
        belief = self._new_belief(vessel_id)
        self._lots.hear(vessel_id, self._beliefs[vessel_id].hatches)
        return Rereading(self._connection, belief, self._fed_with[vessel_id], deeds, since)

    def _take_up(self, at: int, kept: Kept | None) -> None:
        if kept is not None:
            self._old_hatches.take_up(kept)
        found = {} if kept is None else self._restored(kept)
        self.rebuild([vessel_id for vessel_id in self._vessels if vessel_id not in found], at)
        if kept is None or not found:
            return
        self._beliefs = {vessel_id: (self._beliefs | found)[vessel_id] for vessel_id in self._vessels}
        deeds = [deed for deed in deed_store.between(self._connection, 0, at) if deed.vessel in found]
        for vessel_id, belief in found.items():
            self._lots.hear(vessel_id, belief.hatches)
            self._remember_old(vessel_id, deeds, at)
        self._feed_stored(list(found), [deed for deed in deeds if deed.at > kept.at], kept.at, at)

    def _restored(self, kept: Kept) -> dict[str, VesselBelief]:
        parts = {
            vessel_id: kept.part(of_vessel(vessel_id), self._given(vessel_id)) for vessel_id in self._vessels
        }
        return {vessel_id: part for vessel_id, part in parts.items() if isinstance(part, VesselBelief)}

    def _given(self, vessel_id: str) -> Mapping[str, object]:
        """What a belief holds and does not own."""
        return {
            "vessel": self._vessels[vessel_id],
            "calendar": self._calendars[vessel_id],
            "lots": self._lots,
        }

    def parts(self) -> Mapping[str, KeptPart]:
        """What is believed, to be kept: of a vessel only where it is what the store says."""
        believed = {
            of_vessel(vessel_id): KeptPart(belief, self._given(vessel_id))
            for vessel_id, belief in self._beliefs.items()
            if vessel_id not in self._behind and not self._stale.is_stale(vessel_id)
        }
        return {**believed, **self._old_hatches.parts()}

    def _begin(self, vessel_id: str) -> None:
        self._beliefs[vessel_id] = self._new_belief(vessel_id)

    def _new_belief(self, vessel_id: str) -> VesselBelief:
        every_s, calendar = self._station.sample_every_s, self._calendars[vessel_id]
        return VesselBelief(self._vessels[vessel_id], every_s, calendar=calendar, lots=self._lots)

    def _remember_old(self, vessel_id: str, deeds: Sequence[Deed], at: int) -> None:
        own = [deed for deed in deeds if deed.vessel == vessel_id]
        old = self._old_hatches.of(self._vessels[vessel_id], self._fed_with[vessel_id], own, at)
        self._lots.remember(vessel_id, old)

    def _feed_stored(
        self, wanted: Sequence[str], deeds: list[Deed], since: int, at: int, write_at: Sequence[int] = ()
    ) -> None:
        """Feed what the store has with since < its time <= at; of deeds, these."""
        fed = {
            probe: [(vessel_id, measure) for vessel_id, measure in some if vessel_id in wanted]
            for probe, some in self._fed_by.items()
        }
        read = [probe for probe, some in fed.items() if some]
        to_write = list(write_at)
        for moment, probe, value in reading_store.good_between(self._connection, read, since, at):
            while to_write and to_write[0] < moment:
                deeds = self._catch_up(deeds, to_write[0])
                self.write(self.watched(), to_write.pop(0))
            if deeds and deeds[0].at <= moment:
                deeds = self._catch_up(deeds, moment)
            for vessel_id, measure in fed[probe]:
                self._feed_one(vessel_id, moment, measure, value)
        for moment in to_write:
            deeds = self._catch_up(deeds, moment)
            self.write(self.watched(), moment)
        self._catch_up(deeds, at)
        self._estimates_at.clear()

    def _catch_up(self, deeds: list[Deed], until: int) -> list[Deed]:
        """Take in the first deeds up to a moment; the ones that are left."""
        while deeds and deeds[0].at <= until:
            deed = deeds.pop(0)
            self._beliefs[deed.vessel].feed_deed(deed)
        return deeds

    def estimates(self, vessel_id: str, at: int) -> Mapping[str, Estimate]:
        """Everything believed of a vessel's batch; empty where none runs. Kept until something new is fed."""
        kept = self._estimates_at.get(vessel_id)
        if kept is None or kept[0] != at:
            kept = self._estimates_at[vessel_id] = (at, self._beliefs[vessel_id].estimates(at))
        return kept[1]

    def write(self, vessel_ids: Iterable[str], at: int) -> None:
        """Put what is believed at `at` into the store."""
        # Commands that only read beliefs have no use for it.
        from daemon.watching.before_leaving import before_leaving

        for vessel_id in vessel_ids:
            away = before_leaving(
                self._station, self._vessels[vessel_id], self.state(vessel_id, at), self.of(vessel_id), at
            )
            believed = {**self.estimates(vessel_id, at), **away}
            estimate_store.add(self._connection, at, vessel_id, believed)

    def _feed_one(self, vessel_id: str, at: int, measure: str, value: float) -> None:
        # After the wall clock was put back, readings come with times that were there before. They are in
        # the store; the belief goes on when time has caught up with it.
        try:
            self._beliefs[vessel_id].feed_reading(at, measure, value)
        except OutOfOrder:
            self._behind.add(vessel_id)
