"""A planned cone as its card wants it, by a station's clock where there is one."""

from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from daemon.estimates.quantile import Estimate
from daemon.hours import local_time
from daemon.planning.cone import (
    ALIVE_FRACTION,
    HOLD_BELOW_C,
    HOLD_COLD_C,
    HOLD_COLD_H,
    HOLD_COLDEST_C,
    HOLD_H,
    HOLD_MOST_PER_L,
    PlannedCone,
    SeenTin,
    share_only,
)
from daemon.planning.cone_days import DailyHarvest, DailyRhythm, cones_of
from daemon.planning.cone_instead import Instead
from daemon.planning.dose import GOOD_SALT_G_PER_KG
from daemon.station import Station
from reports.planning.cone_figures import ColdHold, ConeDay, ConeFigures, ConeRhythm, TwoHarvests, WouldDo
from reports.planning.rests_on import SHARE_ONLY, RestsOn
from reports.planning.warned import AlarmedTin, UnknownTin
from reports.records import Range

if TYPE_CHECKING:
    from daemon.planning.start_ground import Learned

_SOME_DAY = date(2027, 1, 20)  # of a rhythm that knows no calendar


def cone_figures(
    plan: PlannedCone,
    *,
    heated: bool,
    tin: str = "",
    left_out: str = "",
    rhythm: ConeRhythm | None = None,
    daily_at: time | None = None,
    days: tuple[ConeDay, ...] = (),
    cones: int = 0,
    unknown_tin: UnknownTin | None = None,
    alarmed_tin: AlarmedTin | None = None,
    instead: Instead | None = None,
) -> ConeFigures:
    """What the card is made from; `heated`: a heater holds the water.

    `tin` is the known tin that was named, `left_out` why what was learned of it is not in the plan.
    """
    hatch, no_hours = plan.hatch, share_only(plan.wish)
    rests = RestsOn(
        strain=plan.wish.strain.name,
        late_h=hatch.opens_h.p90 - hatch.opens_h.p50,
        salt_g_per_kg=GOOD_SALT_G_PER_KG,
        tin=tin,
        hatches=0 if plan.wish.seen is None or no_hours else plan.wish.seen.hatches,
        left_out=SHARE_ONLY if no_hours else left_out,
    )
    first = hatch.first_of_two
    two = first and TwoHarvests(
        hatch.two_harvests_chance, _range(first[0]), _range(first[1]), plan.two_harvests
    )
    return ConeFigures(
        volume_ml=plan.wish.volume_ml,
        cysts_g=plan.wish.cysts_g,
        water_c=plan.wish.water_c,
        heated=heated,
        half_h=_range(hatch.half_h),
        opens_h=_range(hatch.opens_h),
        closes_h=_range(hatch.closes_h),
        rests_on=rests,
        two=two,
        animals=_range(plan.animals),
        tested=plan.wish.tin.tested,
        hold_l=_range(plan.hold_l),
        hold_below_c=HOLD_BELOW_C,
        hold_h=HOLD_H,
        hold_per_l=HOLD_MOST_PER_L,
        colder=ColdHold(HOLD_COLDEST_C, HOLD_COLD_C, HOLD_COLD_H, ALIVE_FRACTION),
        most_cysts_g=plan.most_cysts_g,
        air_enough=plan.air_enough,
        salt_g_per_kg=plan.salt_g_per_kg,
        good_salt_g_per_kg=GOOD_SALT_G_PER_KG,
        rhythm=rhythm,
        daily_at=daily_at,
        days=days,
        cones=cones,
        unknown_tin=unknown_tin,
        alarmed_tin=alarmed_tin,
        instead=None if instead is None else WouldDo(instead.clock, instead.water_c),
    )


def seen_tin(learned: "Learned") -> SeenTin | None:
    """The tin as the station learned it; None where it never saw a hatch of it."""
    from daemon.planning.start_ground import learned_lot  # for the few who name a tin

    return SeenTin(learned_lot(learned), learned.hatches_seen) if learned.hatches_seen > 0 else None


def rhythm_of(found: DailyRhythm, at: time) -> ConeRhythm:
    """A rhythm by the clock, where nobody's hours are known."""
    harvest = datetime.combine(_SOME_DAY, at)
    set_at = harvest - timedelta(hours=found.after_h)
    before = (harvest.date() - set_at.date()).days
    return ConeRhythm(at, found.after_h, set_at.time(), before, found.cones, _range(found.out))


def days_of(harvests: list[DailyHarvest], station: Station) -> tuple[tuple[ConeDay, ...], int]:
    """A week's harvests by the station's clock, and how many cones they take."""
    zone = station.timezone
    days = tuple(
        ConeDay(
            one.day,
            local_time(one.at, zone),
            one.attended,
            None if one.set_at is None else local_time(one.set_at, zone),
            one.cone,
            None if one.out is None else _range(one.out),
            one.is_open,
        )
        for one in harvests
    )
    return days, cones_of(harvests)


def _range(found: Estimate) -> Range:
    return Range(found.p10, found.p50, found.p90)
