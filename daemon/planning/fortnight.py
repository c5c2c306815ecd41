"""The days around a planned start: from buying to wrap-up, each at a time when somebody is there."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from daemon.hours import Span, attended_spans
from daemon.planning.start import StartGround, StartOption
from daemon.planning.visits import visit, water_visit
from daemon.science.growth import COLDEST_C, HOTTEST_C, first_feed_days
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station

BUY_S = 7 * DAY_S  # before the cysts are set; sooner where there is no time [P]
LIGHT_S = 2 * HOUR_S  # ten minutes have been enough (see `daemon.science`); an hour or two are sure to be
FEEDS_S = 7 * DAY_S // 2  # once or twice a week: common practice, no source
WRAP_UP_S = 14 * DAY_S
BEFORE_LEAVING_S = HOUR_S // 2
LEFT_S = 40 * HOUR_S  # the vessels are filled before so long an absence


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """One thing to do or to expect: its kind, and from when to when, Unix s."""

    kind: str
    began: int
    ended: int


def fortnight(
    station: Station, ground: StartGround, option: StartOption, lesson: Span, now: int
) -> list[PlannedDay]:
    """All of them in time order, from `now` on; the lesson's own entry among them."""
    set_at = option.set_at
    found = [
        PlannedDay("buy", *visit(station, max(now, set_at - BUY_S), set_at)),
        PlannedDay("water", *water_visit(station, now, set_at)),
        PlannedDay("set", set_at, set_at + HOUR_S // 2),
        PlannedDay("light", set_at, set_at + LIGHT_S),
        PlannedDay("hatch", round(option.t50.p10), round(option.t50.p90)),
        PlannedDay("lesson", *lesson),
        *_feeds(station, ground, option),
        *_fills(station, set_at),
        PlannedDay("wrap-up", *visit(station, set_at + WRAP_UP_S, None)),
    ]
    order = {"set": 0, "light": 1}
    return sorted(found, key=lambda one: (one.began, order.get(one.kind, 2)))


def _feeds(station: Station, ground: StartGround, option: StartOption) -> Iterator[PlannedDay]:
    set_at = option.set_at
    days = range(set_at, set_at + 4 * DAY_S, HOUR_S)
    water_c = sum(map(ground.middle_c, days)) / len(days)
    early, late = first_feed_days(min(HOTTEST_C, max(COLDEST_C, water_c)))
    first = visit(station, set_at + round(0.5 * (early + late) * DAY_S), None)
    yield PlannedDay("first-feed", *first)
    last = first
    while (last := visit(station, last[0] + FEEDS_S, None))[0] < set_at + WRAP_UP_S:
        yield PlannedDay("feed", *last)


def _fills(station: Station, set_at: int) -> Iterator[PlannedDay]:
    """Before each longer absence: water that nobody sees goes on evaporating."""
    spans = attended_spans(station, set_at, set_at + WRAP_UP_S)
    for (began, leaves), (returns, _) in pairwise(spans):
        if returns - leaves >= LEFT_S:
            fill = max(began, leaves - BEFORE_LEAVING_S)
            yield PlannedDay("fill", fill, leaves)
