"""What to do before nobody is in the room for a day or more: as its letter asks for it, and the page."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import isfinite
from typing import Protocol

from reports import amounts
from reports.language import say, to_say
from reports.letters.absence_warmth import Away, warmth_care, warmth_steps
from reports.letters.blocks import Action, Caution
from reports.letters.feed import feeding_care
from reports.letters.feeding import FeedDue, is_unseen, portion
from reports.letters.heaters import heated, pouring_care
from reports.letters.known import Fact
from reports.letters.pouring import LEAST_ML, Leaving, is_due, is_harvested, water_steps
from reports.letters.sentences import NO_HOT_LAMP, action, mains
from reports.records import BrineDue, Event, LampHours, Range, Setting

_ABOVE_ML = 3.0  # a level that an eye tells from the mark
_FEED = to_say("feed as listed below, if the water is clear")
_FEED_IF_ANY = to_say("feed as listed below, if animals swim and the water is clear")
_AT_MARK = to_say("look once whether the water stands at the mark")
_AS_LISTED = to_say("look once whether the water stands as high as listed below")


class Going(Leaving, Away, Protocol):
    """A vessel that people are about to leave alone.

    `fill_ml` is plain water to pour now, a cup, `above_mark_ml` how far over the mark that ends; `feed` is
    due before going (None: none is); `open_alarms` stand as they go.
    """

    @property
    def above_mark_ml(self) -> float: ...
    @property
    def lamp_hours(self) -> tuple[LampHours, ...]: ...
    @property
    def feed(self) -> FeedDue | None: ...
    @property
    def open_alarms(self) -> tuple[Event, ...]: ...


@dataclass(frozen=True, slots=True)
class VesselGoing:
    """The same from the store alone."""

    vessel: str
    count: int
    stage: str
    has_heater: bool
    fill_ml: float
    above_mark_ml: float
    fill_fails: str | None
    brine: BrineDue | None
    cold_c: float
    hot_c: float
    water_c_min_next_16h: Range | None
    water_c_min_away: Range | None
    water_c_max_away: Range | None
    lamp_hours: tuple[LampHours, ...]
    feed: FeedDue | None
    open_alarms: tuple[Event, ...] = ()


def going_deed(setting: Setting, vessels: Sequence[Going]) -> Action:
    """All that is to be done before going, the first thing first."""
    steps = [*warmth_steps(vessels), *water_steps(vessels)]
    if any(alarm.kind == "probe" for one in vessels for alarm in one.open_alarms):
        steps.append(say("see that the probes are plugged in and in their places"))
    if any(one.lamp_hours for one in vessels):
        steps.append(say("see that the lamp's timer is right"))
    if hungry := [one.feed for one in vessels if one.feed is not None]:
        steps.append(say(_FEED_IF_ANY if is_unseen(hungry) else _FEED))
    at_mark = all(one.above_mark_ml < _ABOVE_ML for one in vessels)
    steps = steps or [say(_AT_MARK if at_mark else _AS_LISTED)]
    what = reduce(lambda before, after: say("{before}. Then {after}", before=before, after=after), steps)
    return action(setting, say("before you go, {what}.", what=what), say("{what}.", what=what))


def going_care(vessels: Sequence[Going]) -> list[Caution]:
    """What to mind: near mains, while pouring, of what stays on, while feeding."""
    poured = [one for one in vessels if is_due(one) or one.fill_fails == "brim"]
    lit = [Caution(say(NO_HOT_LAMP))] if any(one.lamp_hours for one in vessels) else []
    live = [mains()] if heated(vessels) and not heated(poured) else []
    fed = [feeding_care()] if any(one.feed for one in vessels) else []
    return [*live, *pouring_care(poured, live), *warmth_care(vessels), *lit, *fed]


def to_pour(one: Going) -> Fact:
    """How much of what to pour, and where that ends."""
    label = say("Pour")
    if is_harvested(one):
        return Fact(label, say("nothing, if the batch is over"), say("see below"))
    if one.brine is not None:
        return Fact(label, say("brine, see below"), say("brine, see below"))
    if one.fill_ml < LEAST_ML:
        end = amounts.level(-one.above_mark_ml)
        return Fact(label, say("nothing: the water stands {level}, as calculated", level=end), say("nothing"))
    poured, end = amounts.volume_with_spoons(one.fill_ml), _ends(one.above_mark_ml)
    cell = amounts.volume(one.fill_ml)
    if one.count <= 1:
        return Fact(label, say("{amount} of plain water, ending {level}", amount=poured, level=end), cell)
    each_ml = round(one.fill_ml, 1 if one.fill_ml < 10.0 else 0)  # as it is written, so that the sum agrees
    total = amounts.volume(each_ml * one.count)
    each = say(
        "{amount} of plain water a cup, {total} in all, ending {level}",
        amount=poured,
        total=total,
        level=end,
    )
    return Fact(label, each, say("{amount} a cup", amount=cell))


def to_feed(due: FeedDue) -> Fact:
    """How much food to give: half of what is usual, since nobody looks for a day or more."""
    given = portion(due, small=True)
    return Fact(say("Feed"), given, given)


def _ends(above_mark_ml: float) -> str:
    if above_mark_ml < 0.5 or not isfinite(above_mark_ml):
        return amounts.level(-above_mark_ml)
    spoons = amounts.spoons(above_mark_ml)
    if spoons is None:
        return amounts.level(-above_mark_ml)
    return say("{amount} mL ({spoons}) above the mark", amount=amounts.number(above_mark_ml), spoons=spoons)
