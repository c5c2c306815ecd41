"""How long a probe hung in the air of a vessel that people had emptied: that is as it should be."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from daemon.alarms.conditions import HUNG_BACK_S
from daemon.care.deed import Deed
from daemon.station import ProbePlan
from daemon.store import readings as reading_store


@dataclass(frozen=True, slots=True)
class HungDry:
    """`readings` of a span were taken in the air after an `end`, or just after a set that followed one;
    `still`: the last of all was, and no batch is set."""

    readings: int = 0
    still: bool = False


def hung_dry(
    connection: sqlite3.Connection, probe: ProbePlan | None, deeds: Sequence[Deed], span: tuple[int, int]
) -> HungDry:
    """What a vessel's probe of the water read in its air; `deeds` are the vessel's, in order of time."""
    if probe is None:
        return HungDry()
    in_air = reading_store.times_in_air(connection, probe.id, *span)
    if not in_air:
        return HungDry()
    good = [at for at, _ in reading_store.good_values(connection, probe.id, *span)]
    empty = _empty(deeds)
    dry = [at for at in in_air if any(began <= at < ended for began, ended in empty)]
    # Set anew, the probe of an emptied vessel needs a while to be seen back in water.
    hung_back = [
        at
        for at in in_air
        for _, ended in empty
        if dry and ended <= at < ended + HUNG_BACK_S and not any(ended <= seen <= at for seen in good)
    ]
    return HungDry(len(dry) + len(hung_back), bool(dry) and max(dry) > max([*good, *hung_back], default=0))


def _empty(deeds: Sequence[Deed]) -> list[tuple[int, float]]:
    """The stretches between an `end` and the next `set`."""
    batches = [deed for deed in deeds if deed.deed in ("set", "end")]
    nexts = [*(float(deed.at) for deed in batches[1:]), inf][: len(batches)]
    return [(deed.at, until) for deed, until in zip(batches, nexts, strict=True) if deed.deed == "end"]
