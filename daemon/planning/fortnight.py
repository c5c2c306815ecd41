"""The days around a planned start: from buying to wrap-up, each at a time when somebody is there."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from daemon.hours import Span, attended_spans
from daemon.planning.start import StartGround, StartOption
from daemon.planning.visits import VISIT_S, visit, water_visit
from daemon.science.growth import COLDEST_C, HOTTEST_C, first_feed_days
from daemon.science.hatch_needs import ENOUGH_MINUTES
from daemon.seconds import DAY_S, HOUR_S, MINUTE_S
from daemon.station import Station

BUY_S = 7 * DAY_S  # before the cysts are set; sooner where there is no time [P]
LIGHT_S = 2 * HOUR_S  # ten minutes have been enough (see `daemon.science`); an hour or two are sure to be
FEEDS_S = 7 * DAY_S // 2  # once or twice a week: common practice, no source
WRAP_UP_S = 14 * DAY_S
AFTER_HATCH_S = 4 * DAY_S  # whatever it is set at, a batch is not ended sooner after the hatch [P]
SETTING_S = BEFORE_LEAVING_S = HOUR_S // 2
JUST_SET_S = 12 * HOUR_S  # so long after setting, a vessel is as full as it was made
UNFED_S = 3 * DAY_S  # more than a weekend after the latest usual day [P]
LEFT_S = 40 * HOUR_S  # the vessels are filled before so long an absence
# Of what begins at one moment, which comes first.
_AT_ONCE = ("buy", "water", "treat", "set", "light")


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """One thing to do or to expect: its kind, and from when to when, Unix s."""

    kind: str
    began: int
    ended: int


def fortnight(
    station: Station, ground: StartGround, option: StartOption, lesson: Span, now: int
) -> list[PlannedDay]:
    """All of them in time order, from `now` on; the lesson's own entry among them.

    Where water cannot stand a day before it is used, it is treated ("treat") as the cysts are set.
    """
    set_at = option.set_at
    stands = water_visit(station, now, set_at)
    setting = _while_there(station, set_at, SETTING_S)
    wrap_up = visit(station, max(set_at + WRAP_UP_S, int(option.t50.p90) + AFTER_HATCH_S), None)
    found = [
        PlannedDay("buy", *visit(station, max(now, set_at - BUY_S), set_at)),
        PlannedDay("treat", set_at, setting) if stands is None else PlannedDay("water", *stands),
        PlannedDay("set", set_at, setting),
        PlannedDay("light", set_at, _while_there(station, set_at, LIGHT_S)),
        PlannedDay("hatch", round(option.t50.p10), round(option.t50.p90)),
        PlannedDay("lesson", *lesson),
        *_feeds(station, ground, option, wrap_up[0]),
        *_leavings(station, set_at, wrap_up[0], unfed(station, ground, option)),
        PlannedDay("wrap-up", *wrap_up),
    ]
    order = {kind: place for place, kind in enumerate(_AT_ONCE)}
    return sorted(found, key=lambda one: (one.began, order.get(one.kind, len(order))))


def feed_due(ground: StartGround, option: StartOption) -> int:
    """When the animals are best fed first, Unix s, whether somebody is there or not."""
    set_at = option.set_at
    days = range(set_at, set_at + 4 * DAY_S, HOUR_S)
    water_c = sum(map(ground.middle_c, days)) / len(days)
    early, late = first_feed_days(min(HOTTEST_C, max(COLDEST_C, water_c)))
    return max(set_at + round(0.5 * (early + late) * DAY_S), int(option.t50.p50))


def unfed(station: Station, ground: StartGround, option: StartOption) -> Span | None:
    """From when the animals are to be fed first until somebody comes (Unix s), where that is too long."""
    due = feed_due(ground, option)
    fed, _ = visit(station, due, None)
    return (due, fed) if fed - due > UNFED_S else None


def _while_there(station: Station, at: int, length_s: int) -> int:
    """When something that begins at a moment ends: as people leave at the latest, but after ten minutes."""
    spans = attended_spans(station, at, at + length_s)
    return max(at + round(ENOUGH_MINUTES * MINUTE_S), spans[0][1] if spans else at)


def _feeds(station: Station, ground: StartGround, option: StartOption, wrap_up: int) -> Iterator[PlannedDay]:
    """None on the last day before wrap-up."""
    first = visit(station, feed_due(ground, option), None)
    if first[0] >= wrap_up - DAY_S:
        return
    yield PlannedDay("first-feed", *first)
    last = first
    while (last := visit(station, last[0] + FEEDS_S, None))[0] < wrap_up - DAY_S:
        yield PlannedDay("feed", *last)


def _leavings(station: Station, set_at: int, wrap_up: int, hungry: Span | None) -> Iterator[PlannedDay]:
    """Before each longer absence, that before wrap-up too: water that nobody sees goes on evaporating. Before
    one in which nobody gives the first feed ("leave") the batch may be ended as well."""
    spans = attended_spans(station, set_at, wrap_up + VISIT_S)
    for (began, leaves), (returns, _) in pairwise(spans):
        fill = max(began, leaves - BEFORE_LEAVING_S)
        if hungry is not None and leaves <= hungry[0] < returns:
            yield PlannedDay("leave", fill, leaves)
        elif returns - leaves >= LEFT_S and leaves - set_at >= JUST_SET_S:
            yield PlannedDay("fill", fill, leaves)
