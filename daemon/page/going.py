"""How a vessel stands while people prepare to leave it alone for long, by the newest estimates."""

from collections.abc import Mapping

from daemon.alarms.letter_timing import leaving_now, next_leave
from daemon.estimates.horizons import OF_THE_ABSENCE
from daemon.estimates.quantile import Z90, Estimate
from daemon.letters.conversions import lamp_hours, range_of
from daemon.page.glance import Glance
from daemon.science.evaporation import fill_error_ml
from daemon.seconds import DAY_S
from daemon.station import Vessel
from daemon.store import deeds as deed_store
from daemon.store import estimates as estimate_store
from reports.letters.before_going import VesselGoing
from reports.letters.feeding import FeedDue
from reports.records import VesselNight

_TOLD = ("loss_ml", *OF_THE_ABSENCE)


def vessel_going(
    glance: Glance,
    vessel: Vessel,
    night: VesselNight,
    believed: Mapping[str, Estimate],
    feed: FeedDue | None,
) -> VesselGoing | None:
    """None where nobody is about to leave, or no batch runs."""
    if night.batch_set_at is None or leaving_now(glance.station, glance.at) is None:
        return None
    away = _as_told(glance, vessel)
    loss = away.get("loss_ml", believed.get("loss_ml"))
    if loss is None:
        return None
    least_ml = fill_error_ml(vessel.surface_cm2)
    # A store of before says nothing of the absence: then what is missing up to the mark is poured.
    fill_ml = away["fill_ml"].p50 if "fill_ml" in away else night.fill_ml if loss.p50 >= least_ml else 0.0
    brine = night.brine if night.brine is None or night.brine.harvested or loss.p50 >= least_ml else None
    return VesselGoing(
        vessel=vessel.id,
        count=vessel.count,
        stage=night.stage,
        has_heater=away["has_heater"].p50 > 0.5 if "has_heater" in away else night.has_heater,
        fill_ml=fill_ml,
        above_mark_ml=fill_ml - loss.p50,
        fill_fails="brim" if loss.p50 < -Z90 * least_ml and loss.p10 <= -vessel.brim_ml else None,
        brine=brine,
        cold_c=vessel.cold_c,
        hot_c=vessel.hot_c,
        water_c_min_next_16h=night.water_c_min_next_16h,
        water_c_min_away=range_of(away, "water_c_min_away"),
        water_c_max_away=range_of(away, "water_c_max_away"),
        lamp_hours=lamp_hours(vessel),
        feed=feed,
        open_alarms=night.open_alarms,
    )


def _as_told(glance: Glance, vessel: Vessel) -> dict[str, Estimate]:
    """What is believed of this absence: as its letter tells it, until something is done. What is older than a
    day is of the last one."""
    rows = estimate_store.latest(glance.connection, vessel.id, _told_at(glance, vessel))
    return {
        quantity: Estimate(*rows[quantity][1:])
        for quantity in _TOLD
        if quantity in rows and rows[quantity][0] > glance.at - DAY_S
    }


def _told_at(glance: Glance, vessel: Vessel) -> int:
    """When its letter went, where one did and nothing was done since; else now."""
    coming = next_leave(glance.station, glance.at)
    if coming is None or coming[0] > glance.at:
        return glance.at
    written = estimate_store.series(glance.connection, vessel.id, "fill_ml", coming[0], glance.at)
    since = deed_store.between(glance.connection, coming[0], glance.at)
    if not written or any(deed.vessel == vessel.id for deed in since):
        return glance.at
    return written[0][0]
