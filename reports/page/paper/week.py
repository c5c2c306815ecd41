"""The care sheet for a week: who is there when, and in each vessel on each day what is expected, to tick."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, to_say
from reports.letters.feeding import Hungry, portion_of_all
from reports.letters.pouring import due_lines
from reports.page.paper.sheets import SheetChoice
from reports.records import Setting, Span, VesselNight
from reports.vessel_line import STAGES

LOOK, SWIMMERS, FILL, FEED, HARVEST = "look", "swimmers", "fill", "feed", "harvest"
BRINE, WARM, COOL = "brine", "warm", "cool"
# In the order in which they are done: nobody stirs up what is to be looked at.
_BOXES: Mapping[str, str] = {
    LOOK: to_say("Look"),
    SWIMMERS: to_say("Hatch?"),
    HARVEST: to_say("Harvest"),
    FEED: to_say("Feed"),
    FILL: to_say("Fill"),
    BRINE: to_say("Brine"),
    WARM: to_say("Keep warm"),
    COOL: to_say("Keep cool"),
}
_MEANS: Mapping[str, str] = {
    LOOK: to_say("Look: is the water at its mark, clear and without smell? Is the lamp as it should be?"),
    SWIMMERS: to_say("Hatch? Look with a torch from the side: about then half of them may swim."),
    HARVEST: to_say("Harvest: about then the animals of a cone are drawn off."),
    FEED: to_say("Feed: only where animals swim and the water is clear, and no more than beside the name."),
    FILL: to_say("Fill: plain water up to the mark, no salt water. Before a weekend too."),
    BRINE: to_say(
        "Brine: up to the mark, no plain water, which leaves too little salt. The page says how to mix it."
    ),
    WARM: to_say("Keep warm: too cold is likely before somebody is back. Heating on, or a warmer place."),
    COOL: to_say("Keep cool: too warm is likely before somebody is back. Blind down, or out of the sun."),
}
TODAY, MONDAY = "today", "monday"
_FROM: Mapping[str, str] = {TODAY: to_say("today"), MONDAY: to_say("next Monday")}


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A local day: a moment in it, when somebody is in the room, and whether it is one of the days away."""

    at: datetime
    attended: tuple[Span, ...]
    away: bool


@dataclass(frozen=True, slots=True)
class WeekVessel:
    """A vessel's week: its stage now, by name, and for each day what is to be ticked (None: nobody comes).

    `hungry` says how much it is fed; None where it is not in this week. `halved` are the days of the week on
    which it is half of that, since nobody looks for a day or more after. `fresh` is the vessel as it stands
    where brine is to be poured into it today.
    """

    vessel: str
    count: int
    stage: str
    boxes: tuple[frozenset[str] | None, ...]
    hungry: Hungry | None
    halved: frozenset[int] = frozenset()
    fresh: VesselNight | None = None


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days from `days[0]` on."""

    days: tuple[WeekDay, ...]
    vessels: tuple[WeekVessel, ...]


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A vessel's row: its name, its stage, its food (empty: none), and for each day its boxes; a day on
    which nobody comes has None."""

    name: str
    stage: str
    food: str
    cells: tuple[tuple[str, ...] | None, ...]


@in_its_language
def day_heads(_setting: Setting, week: Week) -> list[tuple[str, str]]:
    """Each day, and who is there when."""
    return [(times.short_day(day.at), _presence(day)) for day in week.days]


def _presence(day: WeekDay) -> str:
    if day.away:
        return say("away")
    if not day.attended:
        return say("nobody there")
    spans = day.attended
    if len(spans) == 1 and times.elapsed(spans[0].began, spans[0].ended).total_seconds() >= 23 * 3600:
        return say("all day")
    return ", ".join(times.between(span.began, span.ended) for span in spans)


@in_its_language
def rows(_setting: Setting, week: Week) -> list[WeekRow]:
    """A row a vessel, in the station's order."""
    return [_row(one) for one in week.vessels]


def _row(one: WeekVessel) -> WeekRow:
    food = "" if one.hungry is None else _food(one, one.hungry)
    return WeekRow(
        words.vessel_name(one.vessel, one.count),
        say(STAGES[one.stage]),
        food,
        tuple(None if boxes is None else _in_words(boxes) for boxes in one.boxes),
    )


def _food(one: WeekVessel, hungry: Hungry) -> str:
    whole, half = (portion_of_all([hungry], small=small) or "" for small in (False, True))
    fed = {day for day, boxes in enumerate(one.boxes) if boxes is not None and FEED in boxes}
    if not fed & one.halved:
        return say("Food: {portion}", portion=whole)
    if fed <= one.halved:
        return say("Food: {portion}", portion=half)
    return say("Food: {portion}, and {half} before a day without anybody", portion=whole, half=half)


def _in_words(boxes: frozenset[str]) -> tuple[str, ...]:
    return tuple(say(name) for box, name in _BOXES.items() if box in boxes)


@in_its_language
def legend(_setting: Setting, week: Week) -> list[str]:
    """What each box that stands on the sheet means, and how sure it is."""
    shown = _shown(week.vessels)
    return [
        *(say(means) for box, means in _MEANS.items() if box in shown),
        *(_mixed(one.fresh) for one in week.vessels if one.fresh is not None),
        say("What is expected is calculated from what is known now: the page knows better each day."),
    ]


def _mixed(fresh: VesselNight) -> str:
    """How much brine a vessel takes today, and how it is mixed."""
    name = words.vessel_name(fresh.vessel, fresh.count)
    return say("{name}, today: {lines}", name=name, lines=" ".join(due_lines(fresh)))


def _shown(vessels: Sequence[WeekVessel]) -> frozenset[str]:
    return frozenset(box for one in vessels for boxes in one.boxes if boxes is not None for box in boxes)


@in_its_language
def choice(_setting: Setting, chosen: str) -> SheetChoice:
    """On which day the week begins."""
    return SheetChoice("from", say("Begins"), chosen, tuple((key, say(one)) for key, one in _FROM.items()))
