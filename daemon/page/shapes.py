"""What the station file and the care log tell of vessels beside their nights: how each looks."""

from collections.abc import Mapping

from daemon.page.glance import Glance
from daemon.store import deeds as deed_store
from reports.page.picture.vessel_picture import VesselShape


def shapes(glance: Glance) -> Mapping[str, VesselShape]:
    """Each vessel's shape, by its id."""
    return {
        vessel.id: VesselShape(vessel.kind, vessel.mark_ml, vessel.surface_cm2)
        for vessel in glance.station.vessels
    }


def covered(glance: Glance) -> frozenset[str]:
    """The vessels that somebody covered and nobody uncovered since."""
    lids: dict[str, bool] = {}
    for deed in deed_store.between(glance.connection, 0, glance.at):
        if deed.deed == "cover":
            lids[deed.vessel] = bool(deed.amount)
        elif deed.deed in ("set", "end"):
            lids.pop(deed.vessel, None)
    return frozenset(vessel for vessel, on in lids.items() if on)
