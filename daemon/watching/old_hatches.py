"""Hatches from before the days that are read whole at a start: each is computed anew from its own readings.

What was learned of a lot lasts longer than what was learned of a vessel's evaporation, and needs far less:
the hours from setting to the last look, in a few batches a year.
"""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from daemon.care.deed import Deed
from daemon.estimates.hatch.lots import NEWEST, READ_WHOLE_S, REMEMBERED_S, GivenLot, Lots, SeenBatch
from daemon.estimates.hatch.observations import LOOKED
from daemon.estimates.vessel import VesselBelief
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from daemon.watching.rereading import Rereading
from daemon.watching.snapshot.kept import OLD_HATCHES, Kept, KeptPart
from daemon.watching.vessel_hours import VesselHours

# What was learned of evaporation longer ago has drifted away (handbook: 0.04 of ln k per √day), so older
# readings are not read whole after a start.
READ_BACK_S = READ_WHOLE_S
_AROUND_S = HOUR_S

Batch = tuple[Deed, ...]


class OldHatches:
    """What was seen of hatches that were set longer ago than `READ_BACK_S`."""

    def __init__(
        self, station: Station, connection: sqlite3.Connection, given: Mapping[str, GivenLot]
    ) -> None:
        """`given` is what the station file says of lots."""
        self._station = station
        self._connection = connection
        self._given = given
        # A vessel is computed anew for every correction; its old hatches seldom change with it.
        self._known: dict[tuple[str, int], tuple[Batch, Sequence[SeenBatch]]] = {}

    def of(
        self, vessel: Vessel, measures: Mapping[str, str], deeds: Sequence[Deed], at: int
    ) -> list[SeenBatch]:
        """A vessel's hatches with a lot and a look; `deeds` are its own in time order."""
        old = [
            batch
            for batch in _looked_at(deeds)
            if at - REMEMBERED_S < batch[0].at <= at - READ_BACK_S and "lot" in batch[0].detail
        ]
        found: list[SeenBatch] = []
        for batch in reversed(old):
            if len(found) < NEWEST:
                found = [*self._seen(vessel, measures, batch), *found]
        return found

    def parts(self) -> Mapping[str, KeptPart]:
        """What was computed, to be kept."""
        return {OLD_HATCHES: KeptPart(self._known, {})}

    def take_up(self, kept: Kept) -> None:
        """What was kept needs not be computed again; whether its deeds still stand is asked as ever."""
        known = kept.part(OLD_HATCHES, {})
        if isinstance(known, dict):
            self._known = known

    def _seen(self, vessel: Vessel, measures: Mapping[str, str], batch: Batch) -> Sequence[SeenBatch]:
        key = vessel.id, batch[0].at
        known = self._known.get(key)
        if known is None or known[0] != batch:
            known = self._known[key] = batch, self._computed(vessel, measures, batch)
        return known[1]

    def _computed(self, vessel: Vessel, measures: Mapping[str, str], batch: Batch) -> Sequence[SeenBatch]:
        calendar = VesselHours(self._station, vessel)
        alone = Lots(self._given)  # what it says of its lot is asked for, not what the lot says of it
        belief = VesselBelief(vessel, self._station.sample_every_s, calendar=calendar, lots=alone)
        began, ended = batch[0].at - _AROUND_S, batch[-1].at + _AROUND_S
        Rereading(self._connection, belief, measures, batch, began).read(ended)
        return [alone.over(hatch) for hatch in belief.hatches(ended)]


def _looked_at(deeds: Sequence[Deed]) -> Iterator[Batch]:
    """Each batch's deeds from setting to the last look; batches nobody looked at are left out."""
    begins = [place for place, deed in enumerate(deeds) if deed.deed == "set"]
    for begin, end in pairwise([*begins, len(deeds)]):
        looks = [place for place in range(begin, end) if deeds[place].deed in LOOKED]
        if looks:
            yield tuple(deeds[begin : looks[-1] + 1])


def still_read(deeds: Sequence[Deed], at: int) -> list[Deed]:
    """Those of the deeds, in time order, that a belief at `at` (Unix s) is made from; the log keeps all.

    Of each vessel the batch that ran when the days began that are read whole, and all that came after. Of one
    that was set longer ago than a lot is remembered only that, and what came in those days.
    """
    days_begin = at - READ_BACK_S
    turns = {one.vessel: one for one in deeds if one.at <= days_begin and one.deed in ("set", "end")}

    def is_read(deed: Deed) -> bool:
        turn = turns.get(deed.vessel)
        if turn is None or turn.at <= at - REMEMBERED_S:
            return deed is turn or deed.at > days_begin
        return deed.at >= turn.at

    return [deed for deed in deeds if is_read(deed)]
