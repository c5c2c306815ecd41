"""What speaks against a planned start, as kinds and figures; `reports` has the words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from daemon.hours import Span, attended_spans, is_attended, local_day
from daemon.planning.fortnight import unfed
from daemon.planning.planned_hatch import beyond
from daemon.planning.start import HARDLY, StartGround, StartOption, StartPlan
from daemon.planning.visits import water_visit
from daemon.science.hatching import NOT_KNOWN_ABOVE_C, NOT_KNOWN_BELOW_C, STOPS_ABOVE_C
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

LOW = 0.3
UNSEEN = 0.2  # from such a chance on, a hatch in days without people is spoken of
WIDE_S = 7 * DAY_S  # of cold water: four times in five within more than this is no time to plan with [P]
GAP_S = 20 * HOUR_S


@dataclass(frozen=True, slots=True)
class PlanWarning:
    """One thing to know before setting: its kind; where it has them a stretch (Unix s), a chance, °C."""

    kind: str
    span: Span | None = None
    share: float | None = None
    water_c: float | None = None


def warnings(
    station: Station, plan: StartPlan, ground: StartGround, now: int, *, swimming: bool = False
) -> tuple[PlanWarning, ...]:
    """All that speak against the plan's best option, the gravest first; `swimming`: in it animals are to swim
    already."""
    best = plan.options[0] if plan.options else None
    if plan.never_c is not None:
        hot = plan.never_c > NOT_KNOWN_ABOVE_C
        return (PlanWarning("stops" if hot else "never", water_c=plan.never_c), *_lesson(station, plan))
    water = list(_water(plan, ground, best))
    if best is not None and (kind := _too_cold(best, water)):
        return (PlanWarning(kind), *water, *_lesson(station, plan))
    found = [*_lesson(station, plan), *_reached(station, plan, now, swimming=swimming), *water]
    if best is not None:
        found += [*_unseen(station, ground, best), *(() if swimming else _low(best))]
        if water_visit(station, now, best.set_at) is None:
            found.append(PlanWarning("unstood"))
        found += _unfed(station, ground, best)
    return tuple(found)


def _too_cold(best: StartOption, water: Sequence[PlanWarning]) -> str:
    """Why there is no time to set that one could plan with: "late", "wide"; empty where there is."""
    if beyond(best.set_at, best.t50.p90):
        return "late"
    wide = best.t50.p90 - best.t50.p10 > WIDE_S
    return "wide" if wide and any(one.kind == "cold" for one in water) else ""


def _lesson(station: Station, plan: StartPlan) -> Iterator[PlanWarning]:
    if not is_attended(station, plan.lesson[0]):
        yield PlanWarning(_absence(station, plan.lesson), plan.lesson)


def _absence(station: Station, span: Span) -> str:
    """Whether it is a day away by the station file, or only outside attended hours."""
    days = {local_day(at, station.timezone) for at in range(span[0], span[1], HOUR_S)}
    away = any(one.first <= day <= one.last for one in station.away for day in days)
    return "away-lesson" if away else "unattended-lesson"


def _reached(station: Station, plan: StartPlan, now: int, *, swimming: bool) -> Iterator[PlanWarning]:
    if not plan.options:
        nobody = not attended_spans(station, now, plan.lesson[0])
        yield PlanWarning("nobody-before" if nobody else "none-swim" if swimming else "not-met")
    elif not swimming and plan.options[0].share_in_lesson < HARDLY:
        yield PlanWarning("hardly-met")


def _water(plan: StartPlan, ground: StartGround, best: StartOption | None) -> Iterator[PlanWarning]:
    began = plan.lesson[0] - DAY_S if best is None else best.set_at
    ended = max(plan.lesson[1], began + HOUR_S)
    likely = [ground.middle_c(at) for at in range(began, ended, HOUR_S) if at >= ground.began]
    if not likely:
        return
    if sum(water_c < NOT_KNOWN_BELOW_C for water_c in likely) > len(likely) / 4:
        yield PlanWarning("cold", water_c=min(likely))
    if max(likely) > STOPS_ABOVE_C:
        yield PlanWarning("stops", water_c=max(likely))
    elif sum(water_c > NOT_KNOWN_ABOVE_C for water_c in likely) > len(likely) / 4:
        yield PlanWarning("hot", water_c=max(likely))


def _unseen(station: Station, ground: StartGround, best: StartOption) -> Iterator[PlanWarning]:
    """Stretches of a day and more without people in which half of the hatch may well come."""
    hatch = ground.hatch
    ended = int(best.t50.p90) + 4 * DAY_S
    spans = attended_spans(station, best.set_at, ended)
    for (_, leaves), (returns, _) in pairwise(spans):
        gap = leaves, returns
        if returns - leaves < GAP_S or leaves > best.t90.p90:
            continue
        share = hatch.chance_within(gap, best.set_at)
        if share >= UNSEEN:
            days = {local_day(at, station.timezone) for at in range(leaves, returns, 6 * HOUR_S)}
            away = any(one.first <= day <= one.last for one in station.away for day in days)
            yield PlanWarning("away" if away else "weekend", gap, share)


def _unfed(station: Station, ground: StartGround, best: StartOption) -> Iterator[PlanWarning]:
    """Days without people in which the animals are to be fed first."""
    if (span := unfed(station, ground, best)) is not None:
        yield PlanWarning("unfed", span)


def _low(best: StartOption) -> Iterator[PlanWarning]:
    if HARDLY <= best.share_in_lesson < LOW:
        yield PlanWarning("low", share=best.share_in_lesson)
