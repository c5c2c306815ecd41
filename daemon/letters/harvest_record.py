"""The record of a cone's harvest window, for its letter and for the page."""

from collections.abc import Mapping

from daemon.estimates.quantile import Estimate
from daemon.letters.conversions import hatch_time, range_of
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from reports.letters.harvest import HarvestNews

_CLOSES_SOON_S = 7 * HOUR_S


def harvest_record(
    station: Station,
    vessel: Vessel,
    believed: Mapping[str, Estimate],
    at: int,
    *,
    growing: bool,
    has_heater: bool,
) -> HarvestNews | None:
    """By what is believed at `at` (Unix s); None where no window is."""
    opens = hatch_time(station, believed, "harvest_opens_at", at)
    closes = hatch_time(station, believed, "harvest_closes_at", at)
    hatched = range_of(believed, "hatched_fraction")
    if opens is None or closes is None or hatched is None:
        return None
    is_open = believed["harvest_opens_at"].p50 <= at
    return HarvestNews(
        vessel=vessel.id,
        count=vessel.count,
        opens_at=opens,
        closes_at=closes,
        hatched_fraction=hatched,
        closing=is_open and believed["harvest_closes_at"].p50 - at <= _CLOSES_SOON_S,
        mark_ml=vessel.mark_ml,
        growing=growing,
        has_heater=has_heater,
    )
