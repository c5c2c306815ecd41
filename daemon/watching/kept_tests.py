"""Kept tests of tins as hatches of their lots: a dish that was counted says of its tin what a cup would."""

import sqlite3

from daemon.estimates.hatch.grid import HatchGrid
from daemon.estimates.hatch.lots import Lots, SeenBatch
from daemon.estimates.hatch.observations import count_of_counted
from daemon.planning.hatched_by import doses_h
from daemon.planning.tin_test import KeptTest, is_doubted
from daemon.seconds import HOUR_S
from daemon.store import tin_tests


class KeptTests:
    """Those that the lots have been told of."""

    def __init__(self) -> None:
        self._known: dict[str, KeptTest] = {}

    def tell(self, connection: sqlite3.Connection, lots: Lots, at: int) -> None:
        """Have the lots remember those that stand at a moment (Unix s), and forget what was withdrawn.

        One of which hours or warmth cannot be as noted says nothing.
        """
        stand = {
            f"test {one.id}": one for one in tin_tests.standing(connection, at) if not is_doubted(one.test)
        }
        for name in self._known.keys() - stand.keys():
            lots.remember(name, ())
        for name, one in stand.items():
            if self._known.get(name) != one:
                lots.remember(name, [lots.over(_seen(one))])
        self._known = stand


def _seen(kept: KeptTest) -> SeenBatch:
    test = kept.test
    hours, water_c = test.hours or 0.0, test.water_c or 0.0
    grid = HatchGrid().count(doses_h(hours, water_c), count_of_counted(test.hatched, test.put))
    return SeenBatch(kept.lot, round(kept.at - hours * HOUR_S), ((kept.at, grid),))
