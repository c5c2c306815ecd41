"""What is to be poured, or to be decided first, as letters say it."""

from collections.abc import Mapping

from daemon.estimates.quantile import Estimate
from daemon.estimates.water.pour import BrinePour, refill, up_to_the_mark
from daemon.station import Vessel
from daemon.vessel_state import VesselState
from reports.records import BrineDue


def due(
    vessel: Vessel, state: VesselState, believed: Mapping[str, Estimate]
) -> tuple[float, BrineDue | None]:
    """Plain water up to the mark, mL a cup, and brine that is due in its place."""
    pour = up_to_the_mark(vessel, state, believed)
    loss_ml = believed["loss_ml"].p50 if "loss_ml" in believed else vessel.mark_ml
    return pour.plain_ml, brine_due(vessel, state, loss_ml, pour.brine)


def brine_due(vessel: Vessel, state: VesselState, loss_ml: float, brine: BrinePour | None) -> BrineDue | None:
    """Brine in the place of plain water, or what a harvested vessel takes if it goes on."""
    again = refill(vessel, state, loss_ml)
    if again is not None:
        return BrineDue(again.ml, again.salt_g_per_l, harvested=True)
    return None if brine is None else BrineDue(brine.ml, brine.salt_g_per_l)
