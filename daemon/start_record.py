"""A planned start, worked out and turned into the local, plain records that reports are made from."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import Estimate
from daemon.hours import local_time
from daemon.planning import start, start_ways
from daemon.planning.fortnight import fortnight
from daemon.planning.planned_hatch import Span, beyond
from daemon.planning.start import WARM_C, StartGround, StartOption, planned
from daemon.planning.start_ground import Learned, learned_ground, stated_ground, with_lot
from daemon.planning.start_picture import picture
from daemon.planning.start_warnings import warnings
from daemon.planning.stated_warmth import StatedWarmth
from daemon.planning.visits import with_hours
from daemon.station import Station, Vessel
from reports import records
from reports.records import Range
from reports.starts.records import (
    Day,
    Hedge,
    Moments,
    Option,
    OtherWay,
    Pictured,
    PlannedStart,
    Swimmers,
    Warned,
)
from reports.times import believed_moment

if TYPE_CHECKING:
    from daemon.planning.swim_later import LaterSwim

_TOO_COLD = frozenset({"late", "wide"})


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody wants planned: a lesson (Unix s), in which vessel, of which lot, with which water.

    `stated` is None where the water is as `learned`; one of both is given. `school_assumed` says that the
    station's hours are the usual ones, and nobody named them; `lot_known` that file or records name the lot.
    `swimming`: animals are to swim in it already.
    """

    lesson: Span
    vessel: Vessel
    lot: str | None
    stated: StatedWarmth | None
    learned: Learned | None = None
    school_assumed: bool = False
    swimming: bool = False
    lot_known: bool = True


def planned_start(station: Station, wish: Wish, now: int) -> PlannedStart:
    """The plan for a wish as of `now` (Unix s)."""
    ground = _ground(station, wish, now)
    return _Told(station, wish, ground, now).record()


def keep_request(plan: PlannedStart) -> dict[str, Any]:
    """What a request to keep the plan's best time says; moments in Unix s."""
    best = plan.options[0]
    moments = {
        "set_at": best.set_at,
        "good_from": best.good.began,
        "good_until": best.good.ended,
        "lesson_began": plan.lesson.began,
        "lesson_ended": plan.lesson.ended,
    }
    words = {"ask": "start keep", "vessel": plan.vessel, "lot": plan.tin, "swimming": best.out is not None}
    return {**words, **{name: int(at.timestamp()) for name, at in moments.items()}}


def _ground(station: Station, wish: Wish, now: int) -> StartGround:
    if wish.stated is not None:
        found = stated_ground(station, wish.vessel, wish.lot, wish.stated, wish.lesson, now)
        return found if wish.learned is None else with_lot(found, wish.learned)
    if wish.learned is None:
        raise ValueError("neither stated nor learned")
    return learned_ground(wish.learned, wish.lesson, now)


class _Told:
    """A plan's parts by the station's clock."""

    def __init__(self, station: Station, wish: Wish, ground: StartGround, now: int) -> None:
        # Only the water is as in a room that nobody leaves: setting and feeding are for people awake.
        self._station, self._wish, self._ground, self._now = with_hours(station), wish, ground, now
        self._assumed = "school" if wish.school_assumed else "" if station.attended else "waking"
        plans = start_ways.swimming_plan if wish.swimming else planned
        plan = plans(self._station, wish.lesson, now, ground)
        self._warnings = warnings(self._station, plan, ground, now, swimming=wish.swimming)
        self._too_cold = any(one.kind in _TOO_COLD for one in self._warnings)
        if self._too_cold:  # no time to set, no days, and no other lesson that is better
            plan = replace(plan, options=(), hedge=None)
        self._plan = plan
        self._later = self._first_swim() if wish.swimming and self._is_too_late() else None

    def record(self) -> PlannedStart:
        plan, wish, station = self._plan, self._wish, self._station
        best = plan.options[0] if plan.options else None
        hedge = plan.hedge
        return PlannedStart(
            station=station.name,
            language=station.language,
            unit=station.temperature_unit,
            made_at=local_time(self._now, station.timezone),
            lesson=self._span(wish.lesson),
            vessel=wish.vessel.id,
            vessels=wish.vessel.count,
            mark_ml=wish.vessel.mark_ml,
            tin=wish.lot or "",
            tin_known=wish.lot_known,
            tin_learned=wish.learned is not None and wish.learned.hatches_seen > 0,
            tin_asked=wish.learned is not None,
            day_c=None if wish.stated is None else wish.stated.day_c,
            night_c=None if wish.stated is None else wish.stated.night_c,
            heater_c=wish.vessel.heater_c,
            options=[self._option(one) for one in plan.options],
            hedge=None if hedge is None else self._hedge(hedge),
            if_known=plan.if_known,
            if_warm=plan.if_warm,
            other_ways=list(self._other_ways()),
            swimmers=None if wish.swimming else self._swimmers(),
            warnings=list(self._warned()),
            picture=[] if best is None else list(self._picture(best)),
            days=[] if best is None else list(self._days(best)),
            assumed_hours=self._assumed,
        )

    def _is_too_late(self) -> bool:
        return any(one.kind in ("none-swim", "nobody-before") for one in self._warnings)

    def _first_swim(self) -> "LaterSwim | None":
        """The first lesson in which animals swim, where they cannot in the wanted one."""
        from daemon.planning.swim_later import first_swim  # needed where it is too late alone

        def ground_of(lesson: Span) -> StartGround:
            return _ground(self._station, replace(self._wish, lesson=lesson), self._now)

        return first_swim(self._station, self._wish.lesson, self._now, ground_of)

    def _local(self, at: float) -> datetime:
        return local_time(round(at), self._station.timezone)

    def _span(self, span: Span) -> records.Span:
        return records.Span(self._local(span[0]), self._local(span[1]))

    def _option(self, one: StartOption) -> Option:
        t10, t50, t90 = (self._moments(one.set_at, time) for time in (one.t10, one.t50, one.t90))
        return Option(
            self._local(one.set_at),
            self._span((one.good_from, one.good_until)),
            t10,
            t50,
            t90,
            one.share_in_lesson,
            one.under_way,
            None if one.out is None else _range(one.out),
        )

    def _other_ways(self) -> Iterator[OtherWay]:
        if self._later is not None and (best := self._later.best) is not None:
            swim = self._option(best)
            span = self._span(self._later.lesson)
            yield OtherWay(span, swim.set_at, best.share_in_lesson, best.under_way, swim.out)
        if self._too_cold or self._wish.swimming:
            return
        for one in start_ways.other_ways(self._station, self._plan, self._ground, self._now):
            span, set_at = self._span(one.lesson), self._local(one.set_at)
            yield OtherWay(span, set_at, one.share_in_lesson, one.under_way)

    def _swimmers(self) -> Swimmers | None:
        one = start_ways.swimmers(self._station, self._plan, self._ground, self._now)
        if one is None:
            return None
        return Swimmers(self._local(one.set_at), _range(one.hatched), self._local(one.half_at))

    def _hedge(self, hedge: start.Pair) -> Hedge:
        first, second = map(self._local, hedge.set_at)
        return Hedge(first, second, hedge.share_in_lesson)

    def _moments(self, set_at: int, time: Estimate) -> Moments:
        early, likely, late = (
            None if beyond(set_at, at) else self._local(at) for at in (time.p10, time.p50, time.p90)
        )
        return Moments(early, likely, late, self._local(set_at + HATCH_HORIZON_S))

    def _warned(self) -> Iterator[Warned]:
        stated = self._wish.stated
        if stated is not None and stated.night_c is not None and stated.night_c > stated.day_c:
            yield Warned("night-warmer", None, None, None)
        for one in self._warnings:
            never = one.kind == "none-swim" and self._later is not None and self._later.best is None
            kind = "cold-swim" if never and self._is_cold() else one.kind
            yield Warned(kind, one.span and self._span(one.span), one.share, one.water_c)

    def _is_cold(self) -> bool:
        """Whether in a warm place animals would swim in the last lesson that was tried."""
        assert self._later is not None  # noqa: S101 - one was tried
        warm = replace(self._wish, lesson=self._later.lesson, stated=StatedWarmth(WARM_C, WARM_C))
        ground = _ground(self._station, warm, self._now)
        return bool(start_ways.swimming_plan(self._station, warm.lesson, self._now, ground).options)

    def _picture(self, best: StartOption) -> Iterator[Pictured]:
        for at, *shares in picture(self._ground, best, self._wish.lesson):
            yield Pictured(self._local(at), Range(*shares))

    def _days(self, best: StartOption) -> Iterator[Day]:
        for one in fortnight(self._station, self._ground, best, self._wish.lesson, self._now):
            span = self._span((one.began, one.ended))
            if one.kind == "hatch":  # as it is said everywhere
                span = records.Span(believed_moment(span.began), believed_moment(span.ended))
            yield Day(one.kind, span)


def _range(estimate: Estimate) -> Range:
    return Range(estimate.p10, estimate.p50, estimate.p90)
