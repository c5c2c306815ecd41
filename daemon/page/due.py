"""What is due in a vessel by the newest estimates in the store: a feed, a harvest, a glance."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from daemon.alarms.letter_timing import AHEAD_S, left_soon
from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.hours import local_day
from daemon.letters.conversions import range_of
from daemon.letters.harvest_record import harvest_record
from daemon.letters.seen import animals_seen, may_be_fed, seen_share
from daemon.letters.span_record import latest_of
from daemon.page.glance import Glance
from daemon.page.going import vessel_going
from daemon.page.week import DAYS, Visit, fed_after, feed_days, fills_by_the_sheet, visits_of
from daemon.stages import Stage
from daemon.station import CONE, Vessel
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews
from reports.page.vessel_due import VesselDue
from reports.records import VesselNight


def due(glance: Glance) -> list[VesselDue]:
    """What is due in each vessel, in the station's order."""
    deeds = deed_store.between(glance.connection, 0, glance.at)
    local_today = local_day(glance.at, glance.station.timezone)
    visits = visits_of(glance.station, glance.at, local_today)
    return [
        _due(glance, vessel, night, [deed for deed in deeds if deed.vessel == vessel.id], visits)
        for vessel, night in zip(glance.station.vessels, glance.record.vessels, strict=True)
    ]


def _due(
    glance: Glance, vessel: Vessel, night: VesselNight, deeds: Sequence[Deed], visits: Sequence[Visit]
) -> VesselDue:
    set_at = course_of(deeds).set_at
    believed = latest_of(glance.connection, vessel, glance.at, set_at)
    mine = [deed for deed in deeds if set_at is not None and deed.at >= set_at]
    state = course_of(deeds).state(vessel, believed, glance.at)
    hungry = set_at is not None and state.rule.animals and vessel.kind != CONE
    feed = _feed(vessel, set_at or 0, believed, mine, glance.at) if hungry else None
    going = vessel_going(glance, vessel, night, believed, feed)
    coming = fed_after(glance, vessel, deeds) if feed is None and hungry else None
    return VesselDue(
        vessel.id,
        vessel.count,
        vessel.kind,
        seen_share(mine),
        feed,
        _harvest(glance, vessel, state.stage, believed, mine),
        small=left_soon(glance.station, glance.at),
        feed_at=_feed_at(glance, coming, visits),
        going=going,
        fills=going is None and fills_by_the_sheet(glance, night, visits),
    )


def _feed_at(glance: Glance, due_at: float | None, visits: Sequence[Visit]) -> datetime | None:
    """When somebody is there first who may feed, within the week that a sheet shows."""
    days = [] if due_at is None else feed_days(due_at, visits)
    first = next((visit for visit in visits if days and visit.day == days[0] < DAYS), None)
    return None if first is None or due_at is None else glance.local(max(due_at, first.began))


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
