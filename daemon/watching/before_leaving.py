"""What is believed of the coming absence while people prepare for it: kept beside the other estimates, so
that the page says what the letter before they leave says.
"""

from typing import TYPE_CHECKING

from daemon.alarms.letter_timing import leaving_now
from daemon.estimates.quantile import Estimate
from daemon.estimates.water.pour import until
from daemon.station import Station, Vessel
from daemon.vessel_state import VesselState

if TYPE_CHECKING:
    from daemon.estimates.vessel import VesselBelief


def before_leaving(
    station: Station, vessel: Vessel, state: VesselState, belief: "VesselBelief", at: int
) -> dict[str, Estimate]:
    """By quantity, as believed at `at` (Unix s); empty where nobody is about to leave, or no batch runs."""
    absence = leaving_now(station, at) if belief.running is not None else None
    if absence is None:
        return {}
    fill, _, _ = until(vessel, state, belief.water_outlook(at), absence[1])
    return {
        "has_heater": _sure(float(belief.has_heater)),
        "fill_ml": _sure(fill.add_ml),
        "water_c_min_away": belief.coldest_c(*absence, at),
        "water_c_max_away": belief.hottest_c(*absence, at),
    }


def _sure(value: float) -> Estimate:
    return Estimate(value, value, value)
