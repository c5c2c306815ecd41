"""What the next week asks for in each vessel, by its stage and what is forecast, on days somebody comes.

A forecast and no more: what is recorded until then changes it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import pairwise

from daemon.alarms.letter_timing import ABSENCE_HOURS
from daemon.care.deed import Deed
from daemon.hours import attended_spans, local_day, moment, next_attended
from daemon.letters.seen import FEEDS_APART_S, animals_seen, fed_from
from daemon.letters.span_record import latest_of
from daemon.page.glance import Glance
from daemon.page.going import vessel_going
from daemon.seconds import DAY_S, HOUR_S
from daemon.stages import STAGES, Stage
from daemon.station import CONE, Station, Vessel
from daemon.store import deeds as deed_store
from daemon.vessel_state import course_of
from reports.letters.absence_warmth import gets_cold, gets_hot
from reports.letters.before_going import VesselGoing
from reports.letters.feeding import FeedDue
from reports.letters.night_deed import is_sure_to_fill
from reports.letters.pouring import is_due, is_to_fill, takes_brine
from reports.page.paper.week import (
    BRINE,
    COOL,
    FEED,
    FILL,
    HARVEST,
    LOOK,
    SWIMMERS,
    WARM,
    Week,
    WeekDay,
    WeekVessel,
)
from reports.records import Span, TimeRange, VesselNight

DAYS = 7
_MIDNIGHT = time(0)


@dataclass(frozen=True, slots=True)
class Visit:
    """Somebody comes, from when to when (Unix s), on which day of the week (below 0: before it)."""

    day: int
    began: int
    ended: int


def week_from(glance: Glance, first: date) -> Week:
    """The seven days from `first` on, which is today or later."""
    visits = visits_of(glance.station, glance.at, first)
    deeds = deed_store.between(glance.connection, 0, glance.at)
    return Week(
        tuple(_day(glance, first + timedelta(days=n)) for n in range(DAYS)),
        tuple(
            _vessel(glance, vessel, night, [one for one in deeds if one.vessel == vessel.id], visits)
            for vessel, night in zip(glance.station.vessels, glance.record.vessels, strict=True)
        ),
    )


def _day(glance: Glance, day: date) -> WeekDay:
    began, ended = _bounds(glance.station, day)
    spans = attended_spans(glance.station, began, ended)
    return WeekDay(
        glance.local((began + ended) // 2),
        tuple(Span(glance.local(a), glance.local(b)) for a, b in spans),
        any(away.first <= day <= away.last for away in glance.station.away),
    )


def _bounds(station: Station, day: date) -> tuple[int, int]:
    zone = station.timezone
    return moment(day, _MIDNIGHT, zone), moment(day + timedelta(days=1), _MIDNIGHT, zone)


def visits_of(station: Station, at: int, first: date) -> list[Visit]:
    """Each day's coming from `at` on to the end of the week from `first`, and the one that follows it."""
    found: list[Visit] = []
    while not found or found[-1].day < DAYS:
        comes = next_attended(station, at)
        if comes is None:
            break
        day = local_day(comes, station.timezone)
        at = _bounds(station, day)[1]
        ended = attended_spans(station, comes, at)[-1][1]
        found.append(Visit((day - first).days, comes, ended))
    return found


def _vessel(
    glance: Glance, vessel: Vessel, night: VesselNight, deeds: Sequence[Deed], visits: Sequence[Visit]
) -> WeekVessel:
    asked: dict[int, set[str]] = {visit.day: set() for visit in visits}
    hungry, fresh = None, None
    if STAGES[Stage(night.stage)].keeps_water:
        for before, visit in pairwise([Visit(-1, glance.at, glance.at), *visits]):
            asked[visit.day] |= _looks(night, before.ended, visit)
        going = _going(glance, vessel, night, deeds)
        for day, box in _filled_on(glance, night, going, visits):
            asked[day].add(box)
            if box == BRINE and day == 0 and _is_today(glance, visits[0]):
                fresh = night
        if going is not None and visits and _is_today(glance, visits[0]):
            asked[visits[0].day] |= {
                box for box, comes in ((WARM, gets_cold(going)), (COOL, gets_hot(going))) if comes
            }
        due = fed_after(glance, vessel, deeds)
        feeds = () if due is None else feed_days(due, visits)
        for day in feeds:
            asked[day].add(FEED)
        if any(0 <= day < DAYS for day in feeds):
            hungry = FeedDue(vessel.id, vessel.count, vessel.mark_ml, animals_seen(deeds))
    halved = frozenset(
        visit.day for visit, following in pairwise(visits) if _leaves_for_long(visit, following)
    )
    boxes = tuple(frozenset(asked[n]) if n in asked else None for n in range(DAYS))
    return WeekVessel(vessel.id, vessel.count, night.stage, boxes, hungry, halved, fresh)


def _looks(night: VesselNight, since: int, visit: Visit) -> set[str]:
    """What to look for that may have come since somebody was there, and whether a harvest falls then."""
    stage, asked = Stage(night.stage), {LOOK}
    if STAGES[stage].hatch_ahead and _touches(night.hatch_t50, since, visit.ended):
        asked.add(SWIMMERS)
    opens, closes = night.harvest_opens_at, night.harvest_closes_at
    if stage is Stage.BEING_HARVESTED or opens is None or closes is None:
        return asked
    if _touches(TimeRange(opens.p50, None, closes.p50), visit.began, visit.ended):
        asked.add(HARVEST)
    return asked


def _touches(believed: TimeRange | None, began: int, ended: int) -> bool:
    """Whether what is believed of a moment touches a stretch, Unix s; a late end that is None is never."""
    if believed is None or believed.p10 is None or believed.p10.timestamp() > ended:
        return False
    return believed.p90 is None or believed.p90.timestamp() >= began


def _going(glance: Glance, vessel: Vessel, night: VesselNight, deeds: Sequence[Deed]) -> VesselGoing | None:
    believed = latest_of(glance.connection, vessel, glance.at, course_of(deeds).set_at)
    return vessel_going(glance, vessel, night, believed, None)


def _filled_on(
    glance: Glance, night: VesselNight, going: VesselGoing | None, visits: Sequence[Visit]
) -> list[tuple[int, str]]:
    """On which days to fill; whether today, as the page says it. Where brine is due it comes first, and plain
    water after it.
    """
    today = visits[0].day if visits and _is_today(glance, visits[0]) else None
    asks = today is not None and _asks_today(glance, night, going, visits)
    if today is None or takes_brine(night):
        ahead = visits if today is None or asks else visits[1:]
        later = fill_days(replace(night, brine=None) if takes_brine(night) else night, ahead, glance.at)
    else:
        later = fill_days(night, visits, glance.at)
    days = sorted({*([today] if today is not None and asks else []), *(day for day in later if day != today)})
    return [(day, BRINE if takes_brine(night) and day == days[0] else FILL) for day in days]


def _asks_today(
    glance: Glance, night: VesselNight, going: VesselGoing | None, visits: Sequence[Visit]
) -> bool:
    """Whether the page asks to fill today."""
    if going is not None:
        return is_due(going)
    return is_to_fill(glance.setting, night) or fills_by_the_sheet(glance, night, visits)


def fills_by_the_sheet(glance: Glance, night: VesselNight, visits: Sequence[Visit]) -> bool:
    """Whether the week's sheet asks to fill today where no letter would, and nothing speaks against it."""
    keeps = STAGES[Stage(night.stage)].keeps_water and not is_to_fill(glance.setting, night)
    if not keeps or not visits or not _is_today(glance, visits[0]) or not is_sure_to_fill(night):
        return False
    return visits[0].day in fill_days(night, visits, glance.at)


def _is_today(glance: Glance, visit: Visit) -> bool:
    zone = glance.station.timezone
    return local_day(visit.began, zone) == local_day(glance.at, zone)


def fill_days(night: VesselNight, visits: Sequence[Visit], at: int) -> list[int]:
    """On which days to fill, so that also where much evaporates water stays above the low mark until the
    next visit is over; where something is missing, before an absence as well.

    None where the water is not believed, or brine is due.
    """
    if not night.loss_ml or night.loss_ml_per_day is None or night.brine is not None:
        return []
    per_s = max(night.loss_ml_per_day.p90, 0.0) / DAY_S
    level_ml, since, days = night.loss_ml[-1].range.p90, at, []
    for visit, following in pairwise(visits):
        level_ml, since = level_ml + per_s * (visit.ended - since), visit.ended
        leaves = _leaves_for_long(visit, following)
        too_low = level_ml + per_s * (following.ended - visit.ended) >= night.low_ml
        if too_low or (leaves and level_ml > 0.0):
            days.append(visit.day)
            level_ml = 0.0
    return days


def _leaves_for_long(visit: Visit, following: Visit) -> bool:
    return following.began - visit.ended >= ABSENCE_HOURS * HOUR_S


def fed_after(glance: Glance, vessel: Vessel, deeds: Sequence[Deed]) -> float | None:
    """From when on a vessel is fed next, Unix s; None where no batch runs or its animals are drawn off."""
    set_at = course_of(deeds).set_at
    if set_at is None or vessel.kind == CONE:
        return None
    eats = latest_of(glance.connection, vessel, glance.at, set_at).get("instar_ii_at")
    mine = [deed for deed in deeds if deed.at >= set_at]
    return None if eats is None else fed_from(set_at, eats.p90, mine)


def feed_days(due: float, visits: Sequence[Visit]) -> list[int]:
    """On which days to feed, from `due` (Unix s) on and no more often than is usual."""
    days = []
    for visit in visits:
        if visit.ended > due:
            days.append(visit.day)
            due = max(due, visit.began) + FEEDS_APART_S
    return days
