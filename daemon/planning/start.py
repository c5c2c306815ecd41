"""When to set cysts so that half of them have hatched in a wanted lesson, and how sure that is."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from daemon.estimates.hatch.grid import SLOPES, Start, lot_prior, nodes
from daemon.estimates.quantile import Estimate
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.hours import Span, attended_spans, local_day
from daemon.planning.hatched_by import unsure_of_salt
from daemon.planning.planned_hatch import HALF, PlannedHatch, beyond
from daemon.science.hatching import BASE_C
from daemon.science.strains import UNKNOWN
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

LOOKS_BACK_S = 10 * DAY_S  # at 12 °C half of a usual lot takes six days
STEP_S = 1800
SETTING_S = 900  # so long before people leave it is begun at the latest [P]
OPTIONS_MOST, OPTIONS_LEAST = 5, 0.2  # of the best one's chance
AS_GOOD = 0.9
NEARLY = 0.95  # of the best chance: then more to see decides, and then the earlier time [P]
HOPELESS, HARDLY = 0.001, 0.02
HEDGE_GAINS = 0.05
LOT_KNOWN_LN_SD = 0.08  # of a tin whose hatches were looked at [P]
WARM_C, WARM_SD_K = 25.0, 0.5


@dataclass(frozen=True, slots=True)
class StartOption:
    """A moment to set cysts at (Unix s), and when so much of the hatchable will have hatched then.

    From `good_from` to `good_until` of that day it is about as good. `share_in_lesson` is the chance that
    half of them hatch within the lesson, `under_way` that in it hatching has begun and is not over. A moment
    for which `beyond` holds is later than is calculated, or never. `out` is the share hatched as the lesson
    begins, where it is set so that animals swim then.
    """

    set_at: int
    t10: Estimate
    t50: Estimate
    t90: Estimate
    share_in_lesson: float
    under_way: float
    good_from: int
    good_until: int
    out: Estimate | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """Two cups of one lot set at two moments: how likely it is that one of them or both meet the lesson."""

    set_at: tuple[int, int]
    share_in_lesson: float


@dataclass(frozen=True)
class StartGround:
    """What a plan is made from: the lot as believed, the coming water from `began` (Unix s, on the hour) on,
    and by how much the brine stretches hatching times."""

    start: Start
    courses: Sequence[WarmthCourse]
    began: int
    delay: float

    @cached_property
    def hatch(self) -> PlannedHatch:
        """When it hatches, by when it is set."""
        return PlannedHatch(self.start, self.courses, self.began, self.delay)

    def middle_c(self, at: int) -> float:
        """The water in the clock hour of a moment as it will most likely be, °C."""
        likely = self.courses[len(self.courses) // 2].hourly_c
        return likely[(at - self.began) // HOUR_S % len(likely)]


@dataclass(frozen=True, slots=True)
class StartPlan:
    """The ways to meet a lesson, best first; empty where nobody is there to set anything, or none hatch.

    `never_c` is the warmest that water gets in which half of them hatch later than is calculated, or never.

    `hedge` is None where a second cup adds little. `if_known` and `if_warm` are the best chances with a tin
    that is known from earlier hatches, and in a place that is kept at 25 °C; None where they were not asked.
    `unattended` is the best chance if somebody came at any hour.
    """

    lesson: Span
    options: tuple[StartOption, ...]
    hedge: Pair | None
    if_known: float | None
    if_warm: float | None
    unattended: float
    never_c: float | None = None


@dataclass(frozen=True, slots=True)
class _Chance:
    set_at: int
    share: float
    under_way: float = 0.0


def planned(station: Station, lesson: Span, now: int, ground: StartGround) -> StartPlan:
    """The plan for a lesson, as of `now` (Unix s); `ground` reaches from its beginning to past the lesson."""
    hatch = ground.hatch
    since = max(now, lesson[0] - LOOKS_BACK_S, ground.began)
    moments = list(set_moments(station, since, lesson[0]))
    warm = replace(ground, courses=_steady(len(ground.courses[0].hourly_c)))
    hourly = moments[:: HOUR_S // STEP_S]
    if (never_c := warmest_of_none(ground, since, lesson[1])) is not None:
        return StartPlan(lesson, (), None, None, _best(warm.hatch, lesson, hourly), 0.0, never_c)
    chances = [_Chance(at, hatch.chance_within(lesson, at)) for at in moments]
    options = _options(station, hatch, lesson, chances)
    best = options[0].share_in_lesson if options else 0.0
    anyhow = _best(hatch, lesson, range(_up_to_step(since), lesson[0], HOUR_S))
    if best >= HALF or not moments:
        return StartPlan(lesson, options, None, None, None, max(best, anyhow))
    known = replace(ground, start=known_lot(ground.start))
    return StartPlan(
        lesson,
        options,
        _hedge(hatch, lesson, chances),
        _best(known.hatch, lesson, hourly),
        _best(warm.hatch, lesson, hourly),
        max(best, anyhow),
    )


def warmest_of_none(ground: StartGround, since: int, until: int) -> float | None:
    """The likely water at its warmest, °C, where half of what is set hatches later than is calculated."""
    warmest = max(ground.middle_c(at) for at in range(since, until, HOUR_S))
    if warmest > BASE_C and not beyond(since, ground.hatch.time_of(HALF, since).p50):
        return None
    return warmest


def set_moments(station: Station, since: int, until: int) -> Iterator[int]:
    """The half hours at which somebody is there to set something, and a while longer."""
    for began, ended in attended_spans(station, since, until):
        first = _up_to_step(began)
        yield from range(first if first <= ended - SETTING_S else began, ended - SETTING_S + 1, STEP_S)


def _up_to_step(at: int) -> int:
    return -(-at // STEP_S) * STEP_S


def _best(hatch: PlannedHatch, lesson: Span, moments: Sequence[int]) -> float:
    return max((hatch.chance_within(lesson, at) for at in moments), default=0.0)


def _options(
    station: Station, hatch: PlannedHatch, lesson: Span, chances: Sequence[_Chance]
) -> tuple[StartOption, ...]:
    """The best moment of each day, best first."""
    days: dict[date, list[_Chance]] = {}
    for one in chances:
        days.setdefault(local_day(one.set_at, station.timezone), []).append(
            replace(one, under_way=hatch.under_way(lesson, one.set_at))
        )
    best = sorted((_best_of(day) for day in days.values()), key=lambda one: -one[0].share)
    least = max(HOPELESS, OPTIONS_LEAST * best[0][0].share) if best else 0.0
    kept = [one for one in best if one[0].share >= least][:OPTIONS_MOST]
    found = (_option(hatch, one, good) for one, good in kept)
    return tuple(one for one in found if not beyond(one.set_at, one.t50.p50))


def _best_of(day: Sequence[_Chance]) -> tuple[_Chance, Span]:
    """A day's best moment, and from when to when it is about as good in both chances.

    Of those that are nearly best it is the one with most to see in the lesson, and of such the earliest.
    """
    most = max(one.share for one in day)
    best = max((one for one in day if one.share >= NEARLY * most), key=lambda one: one.under_way)

    def as_good(one: _Chance) -> bool:
        return one.share >= AS_GOOD * best.share and one.under_way >= AS_GOOD * best.under_way

    place = day.index(best)
    first = last = place
    while first > 0 and as_good(day[first - 1]):
        first -= 1
    while last < len(day) - 1 and as_good(day[last + 1]):
        last += 1
    return best, (day[first].set_at, day[last].set_at)


def _option(hatch: PlannedHatch, one: _Chance, good: Span) -> StartOption:
    t10, t50, t90 = (hatch.time_of(part, one.set_at) for part in (0.1, HALF, 0.9))
    return StartOption(one.set_at, t10, t50, t90, min(1.0, one.share), one.under_way, *good)


def _hedge(hatch: PlannedHatch, lesson: Span, chances: Sequence[_Chance]) -> Pair | None:
    """The best two moments, found by turns: the second beside the best, then the first beside that."""
    best = max(chances, key=lambda one: one.share)
    if best.share < HOPELESS:
        return None
    moments = [one.set_at for one in chances if one.share > 0.1 * best.share]

    def beside(other: int) -> int:
        return max(moments, key=lambda at: hatch.chance_within(lesson, at, other))

    second = beside(best.set_at)
    first = beside(second)
    share = hatch.chance_within(lesson, first, second)
    if share < best.share + HEDGE_GAINS:
        return None
    return Pair((min(first, second), max(first, second)), min(1.0, share))


def known_lot(start: Start) -> Start:
    """As if the lot were known from earlier hatches: its middle, and hardly a width."""
    middle = _middle_t50_h(start)
    sure = lot_prior(replace(UNKNOWN, t50_median_h=middle, t50_ln_sd=LOT_KNOWN_LN_SD))
    return unsure_of_salt(replace(start, nodes=tuple(sure for _ in SLOPES)))


def _middle_t50_h(start: Start) -> float:
    weighed = sorted(
        (t50, weight) for row in start.nodes for (t50, _), weight in zip(nodes(), row, strict=True)
    )
    total, found = sum(weight for _, weight in weighed), 0.0
    for t50, weight in weighed:
        found += weight
        if found >= 0.5 * total:
            return t50
    return weighed[-1][0]


def _steady(hours: int) -> list[WarmthCourse]:
    spread = ((-1.0, 0.25), (0.0, 0.5), (1.0, 0.25))
    return [WarmthCourse(weight, (WARM_C + z * WARM_SD_K,) * hours) for z, weight in spread]
