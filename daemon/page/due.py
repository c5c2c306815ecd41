"""What is due in a vessel by the newest estimates in the store: a feed, a harvest, a glance."""

from collections.abc import Mapping, Sequence

from daemon.alarms.letter_timing import AHEAD_S
from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.letters.conversions import range_of
from daemon.letters.harvest_record import harvest_record
from daemon.letters.seen import animals_seen, may_be_fed, seen_share
from daemon.letters.span_record import latest_of
from daemon.page.glance import Glance
from daemon.stages import Stage
from daemon.station import CONE, Vessel
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews
from reports.page.tasks import VesselDue


def due(glance: Glance) -> list[VesselDue]:
    """What is due in each vessel, in the station's order."""
    deeds = deed_store.between(glance.connection, 0, glance.at)
    return [
        _due(glance, vessel, [deed for deed in deeds if deed.vessel == vessel.id])
        for vessel in glance.station.vessels
    ]


def _due(glance: Glance, vessel: Vessel, deeds: Sequence[Deed]) -> VesselDue:
    set_at = course_of(deeds).set_at
    believed = latest_of(glance.connection, vessel, glance.at, set_at)
    mine = [deed for deed in deeds if set_at is not None and deed.at >= set_at]
    state = course_of(deeds).state(vessel, believed, glance.at)
    hungry = set_at is not None and state.rule.animals and vessel.kind != CONE
    return VesselDue(
        vessel.id,
        vessel.count,
        vessel.kind,
        seen_share(mine),
        _feed(vessel, set_at or 0, believed, mine, glance.at) if hungry else None,
        _harvest(glance, vessel, state.stage, believed, mine),
    )


def _feed(
    vessel: Vessel,
    set_at: int,
    believed: Mapping[str, Estimate],
    deeds: Sequence[Deed],
    at: int,
) -> FeedDue | None:
    eats = believed.get("instar_ii_at")
    if eats is None or not may_be_fed(set_at, eats.p90, deeds, at):
        return None
    loss_ml = range_of(believed, "loss_ml")
    volume_ml = vessel.mark_ml - (0.0 if loss_ml is None else loss_ml.p50)
    return FeedDue(vessel.id, vessel.count, volume_ml, animals_seen(deeds))


def _harvest(
    glance: Glance, vessel: Vessel, stage: Stage, believed: Mapping[str, Estimate], deeds: Sequence[Deed]
) -> HarvestNews | None:
    """A cone's, from the time on at which a letter would tell of it, until somebody drew off."""
    opens_at = believed.get("harvest_opens_at")
    if opens_at is None or opens_at.p50 - glance.at > AHEAD_S or any(one.deed == "harvest" for one in deeds):
        return None
    heated = vessel.heater_c is not None
    growing = stage is Stage.GROWING
    return harvest_record(glance.station, vessel, believed, glance.at, growing=growing, has_heater=heated)
