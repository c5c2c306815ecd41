"""What else there is where hardly any set time meets a lesson: another hour, another lesson, or swimmers."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from daemon.estimates.quantile import Estimate
from daemon.hours import Span, attended_spans, is_attended, local_day, local_time, moment
from daemon.planning.fortnight import LIGHT_S
from daemon.planning.planned_hatch import HALF, PlannedHatch
from daemon.planning.start import (
    LOOKS_BACK_S,
    NEARLY,
    STEP_S,
    StartGround,
    StartOption,
    StartPlan,
    set_moments,
    warmest_of_none,
)
from daemon.planning.visits import waking_hours
from daemon.seconds import HOUR_S
from daemon.station import Station

RARELY = 0.05  # below it other ways are looked for [P]
# A way is worth a line where the chance gains so much, or that of seeing some hatch, which is all that a
# lesson of 45 minutes offers: half of them fall in it 3 times in 100 at best [P].
HELPS, SHOWS = 0.05, 0.15
SWIM_SURE = 0.9  # that half of them have hatched when the lesson begins


@dataclass(frozen=True, slots=True)
class WayOut:
    """A lesson, the time to set for it (Unix s), and the chance that half of them hatch within it, and that
    hatching is under way in it."""

    lesson: Span
    set_at: int
    share_in_lesson: float
    under_way: float


@dataclass(frozen=True, slots=True)
class SwimmingStart:
    """Animals that swim already when the lesson begins: set when (Unix s), which share of the hatchable has
    hatched then, and since when half of them have."""

    set_at: int
    hatched: Estimate
    half_at: float


def _is_met_less_than(share: float, plan: StartPlan) -> bool:
    """Whether a lesson is met less often, though cysts would hatch."""
    best = plan.options[0].share_in_lesson if plan.options else 0.0
    return plan.never_c is None and best < share


def other_ways(station: Station, plan: StartPlan, ground: StartGround, now: int) -> tuple[WayOut, ...]:
    """The same lesson set while nobody is there but people are awake; a later one that day; one on another
    day of its week, or else of the next. Each only where it gains; none where the lesson is met anyhow, and
    none with a lesson on a day away."""
    if not _is_met_less_than(RARELY, plan):
        return ()
    awake, away = waking_hours(station), _is_away(station, plan.lesson)
    searched: list[list[tuple[Station, Span]]] = [
        [] if away else [(awake, plan.lesson)],
        [] if away else [(station, lesson) for lesson in _later(station, plan.lesson)],
    ]
    found = [way for some in searched if (way := _gaining(ground, plan, some, now)) is not None]
    for week in (0, 1):
        days = [(station, lesson) for lesson in _other_days(station, plan.lesson, now, week)]
        if (way := _gaining(ground, plan, days, now)) is not None:
            return (*found, way)
    return tuple(found)


def swimmers(station: Station, plan: StartPlan, ground: StartGround, now: int) -> SwimmingStart | None:
    """A late set time after which animals surely swim as the lesson begins; None where none is, the lesson is
    more likely met than missed, or it lies on a day away."""
    if not _is_met_less_than(HALF, plan) or _is_away(station, plan.lesson):
        return None
    if not (moments := _swimming_moments(station, plan.lesson, now, ground)):
        return None
    hatch, at = ground.hatch, _lit_long(station, moments)
    return SwimmingStart(at, hatch.share_at(at, plan.lesson[0]), hatch.time_of(HALF, at).p50)


def swimming_plan(station: Station, lesson: Span, now: int, ground: StartGround) -> StartPlan:
    """The plan for a lesson in which animals are to swim already: one option, or none."""
    never_c = warmest_of_none(ground, _since(ground, lesson, now), lesson[1])
    moments = [] if never_c is not None else _swimming_moments(station, lesson, now, ground)
    if not moments:
        return StartPlan(lesson, (), None, None, None, 0.0, never_c)
    option = _swimming(ground.hatch, lesson, _lit_long(station, moments), (moments[0], moments[-1]))
    return StartPlan(lesson, (option,), None, None, None, 0.0)


def _swimming_moments(station: Station, lesson: Span, now: int, ground: StartGround) -> list[int]:
    """The set times of the last day on which there are any after which half have surely hatched in time."""
    begins, found = lesson[0], list[int]()
    for at in reversed(list(set_moments(station, _since(ground, lesson, now), begins))):
        if found and local_day(at, station.timezone) != local_day(found[0], station.timezone):
            break
        if ground.hatch.chance_by(HALF, at, begins) >= SWIM_SURE:
            found.insert(0, at)
    return found


def _lit_long(station: Station, moments: Sequence[int]) -> int:
    """The latest of a day's moments after which people stay for the cysts' first light; else the latest."""
    stays = (
        at for at in reversed(moments) if attended_spans(station, at, at + LIGHT_S) == [(at, at + LIGHT_S)]
    )
    return next(stays, moments[-1])


def _swimming(hatch: PlannedHatch, lesson: Span, at: int, good: Span) -> StartOption:
    t10, t50, t90 = (hatch.time_of(part, at) for part in (0.1, HALF, 0.9))
    share, out = hatch.chance_within(lesson, at), hatch.share_at(at, lesson[0])
    return StartOption(at, t10, t50, t90, share, hatch.under_way(lesson, at), *good, out)


def _since(ground: StartGround, lesson: Span, now: int) -> int:
    return max(now, lesson[0] - LOOKS_BACK_S, ground.began)


def _gaining(
    ground: StartGround, plan: StartPlan, searched: Sequence[tuple[Station, Span]], now: int
) -> WayOut | None:
    """The best of all set times, by the hour, for any of some lessons, each with the hours to set it in;
    None where none gains."""
    best = plan.options[0] if plan.options else None
    share, under_way = (best.share_in_lesson, best.under_way) if best else (0.0, 0.0)
    ways = [
        WayOut(
            lesson, at, min(1.0, ground.hatch.chance_within(lesson, at)), ground.hatch.under_way(lesson, at)
        )
        for where, lesson in searched
        for at in list(set_moments(where, _since(ground, lesson, now), lesson[0]))[:: HOUR_S // STEP_S]
    ]
    most = max((one.share_in_lesson for one in ways), default=0.0)
    nearly = (one for one in ways if one.share_in_lesson >= NEARLY * most)
    way = max(nearly, key=lambda one: one.under_way, default=None)
    if way is None or (way.share_in_lesson - share < HELPS and way.under_way - under_way < SHOWS):
        return None
    return way


def _is_away(station: Station, lesson: Span) -> bool:
    day = local_day(lesson[0], station.timezone)
    return any(one.first <= day <= one.last for one in station.away)


def _later(station: Station, lesson: Span) -> Iterator[Span]:
    """As long a lesson later that day, by the hour, while people are there."""
    began, ended = lesson
    day = local_day(began, station.timezone)
    while local_day(ended + HOUR_S, station.timezone) == day:
        began, ended = began + HOUR_S, ended + HOUR_S
        if attended_spans(station, began, ended) == [(began, ended)]:
            yield began, ended


def _other_days(station: Station, lesson: Span, now: int, week: int) -> Iterator[Span]:
    """The same hours on the other days of that week, or so many weeks on, on which people are there."""
    local = local_time(lesson[0], station.timezone)
    monday = local.date() + timedelta(days=7 * week - local.weekday())
    for day in (monday + timedelta(days=one) for one in range(7)):
        began = moment(day, local.time(), station.timezone)
        if day != local.date() and began > now and is_attended(station, began):
            yield began, began + lesson[1] - lesson[0]
