"""A glance's vessels drawn: with what station file and care log tell of each beside its night."""

from collections.abc import Mapping

from daemon.page.glance import Glance
from daemon.store import deeds as deed_store
from reports.page.drawn import Pictures, drawn
from reports.page.picture.sizes import Size
from reports.page.picture.vessel_picture import VesselShape
from reports.records import NightRecord


def pictures(glance: Glance, record: NightRecord, size: Size) -> Pictures:
    """Of the record's vessels, in this size where they are few."""
    return drawn(glance.setting, record, _shapes(glance), _covered(glance), size)


def _shapes(glance: Glance) -> Mapping[str, VesselShape]:
    """Each vessel's shape, by its id."""
    return {
        vessel.id: VesselShape(vessel.kind, vessel.mark_ml, vessel.surface_cm2)
        for vessel in glance.station.vessels
    }


def _covered(glance: Glance) -> frozenset[str]:
    """The vessels that somebody covered and nobody uncovered since."""
    lids: dict[str, bool] = {}
    for deed in deed_store.between(glance.connection, 0, glance.at):
        if deed.deed == "cover":
            lids[deed.vessel] = bool(deed.amount)
        elif deed.deed in ("set", "end"):
            lids.pop(deed.vessel, None)
    return frozenset(vessel for vessel, on in lids.items() if on)
