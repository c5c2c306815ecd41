"""How long a probe hung in the air of a vessel that people had emptied: that is as it should be."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from daemon.care.deed import Deed
from daemon.station import ProbePlan
from daemon.store import readings as reading_store


@dataclass(frozen=True, slots=True)
class HungDry:
    """`readings` of a span were taken in the air after an `end`; `still`: the last of all was."""

    readings: int = 0
    still: bool = False


def hung_dry(
    connection: sqlite3.Connection, probe: ProbePlan | None, deeds: Sequence[Deed], span: tuple[int, int]
) -> HungDry:
    """What a vessel's probe of the water read in its air; `deeds` are the vessel's, in order of time."""
    if probe is None:
        return HungDry()
    empty = _empty(deeds)
    in_air = [
        at
        for at in reading_store.times_in_air(connection, probe.id, *span)
        if any(began <= at < ended for began, ended in empty)
    ]
    good = reading_store.good_values(connection, probe.id, *span)
    return HungDry(len(in_air), bool(in_air) and (not good or good[-1][0] < in_air[-1]))


def _empty(deeds: Sequence[Deed]) -> list[tuple[int, float]]:
    """The stretches between an `end` and the next `set`."""
    batches = [deed for deed in deeds if deed.deed in ("set", "end")]
    nexts = [*(float(deed.at) for deed in batches[1:]), inf][: len(batches)]
    return [(deed.at, until) for deed, until in zip(batches, nexts, strict=True) if deed.deed == "end"]
