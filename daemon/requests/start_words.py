"""What a station knows of water and lot before a start, on its way through the inbox."""

from collections.abc import Mapping
from math import isfinite
from typing import Any

from daemon.errors import InputError
from daemon.estimates.hatch.grid import NODES, SLOPES
from daemon.estimates.vessel import VesselBelief
from daemon.planning.start_ground import Learned
from daemon.seconds import HOUR_S

_LEAST_H = 24  # of water read, to forecast it by


class UnreadError(InputError):
    """The water was read too little to say how it will be."""


def learned_written(belief: VesselBelief, lot: str | None, now: int) -> dict[str, Any]:
    """What is believed of a vessel's coming water, and of a lot, as the inbox can say it."""
    start, seen = belief.lot_ahead(lot, now)
    return {
        "began": now // HOUR_S * HOUR_S,
        "hourly_c": [[round(middle, 2), round(sd, 3)] for middle, sd in belief.water_ahead(now)],
        "nodes": [[float(f"{weight:.4g}") for weight in row] for row in start.nodes],
        "hatches_seen": seen,
        "hours_read": belief.hours_read(now),
    }


def learned_read(answer: Mapping[str, Any], where: str, *, for_water: bool = True) -> Learned:
    """What was written. Raises InputError for another version's; UnreadError for water not read for a day."""
    try:
        hours = tuple((float(middle), float(sd)) for middle, sd in answer["hourly_c"])
        nodes = tuple(tuple(map(float, row)) for row in answer["nodes"])
        found = Learned(int(answer["began"]), hours, nodes, int(answer["hatches_seen"]))
        hours_read = int(answer["hours_read"])
        sound = len(nodes) == len(SLOPES) and all(len(row) == NODES for row in nodes)
        if not sound or not all(map(isfinite, (value for pair in hours for value in pair))):
            raise ValueError("nodes")
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise InputError(f"{where}: found an answer of another version; start the daemon anew") from error
    if for_water and min(hours_read, len(hours)) < _LEAST_H:
        much = (
            f"water read there for {hours_read} h, less than a day" if hours_read else "no water read there"
        )
        raise UnreadError(f"{where}: found {much}; allowed: --water-c")
    return found
