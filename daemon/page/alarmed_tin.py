"""What speaks against the tin that something is planned with, as the reports want it."""

import sqlite3
from collections.abc import Sequence
from typing import TYPE_CHECKING

from daemon.station import Station

if TYPE_CHECKING:
    from daemon.planning.lot_share import CountedHatch
    from reports.planning.warned import AlarmedTin


def alarmed_tin(lot: str | None, hatches: "Sequence[CountedHatch]") -> "AlarmedTin | None":
    """By all that was counted of it; None where nothing speaks against it, or no tin was named."""
    if not lot or not hatches:
        return None
    from daemon.planning.tin_warning import tin_warning
    from reports.planning.warned import AlarmedTin

    found = tin_warning(hatches)
    if found is None:
        return None
    return AlarmedTin(lot, found.kind, found.begins, found.ends, found.counts)


def alarm_lines(connection: sqlite3.Connection, station: Station, lot: str | None, at: int) -> list[str]:
    """The same in words of the station's language, as of a moment (Unix s)."""
    if not lot:
        return []
    from daemon.store.tins import counted_hatches
    from reports.planning.warned import alarmed_lines

    hatches = counted_hatches(connection, station, lot, at)
    return alarmed_lines(station.language, alarmed_tin(lot, hatches))
