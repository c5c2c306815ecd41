"""A vessel as people find it when they come back, and what of several is to be done first."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reports import amounts, night, words
from reports.dilution import LEAST_ML
from reports.language import say, say_in
from reports.letters.blocks import Caution
from reports.letters.feeding import FeedDue, feed_advice, feed_record, is_unseen, portion_of_all
from reports.letters.heaters import heated, pouring_care, unplugged_for
from reports.letters.pouring import (
    POUR_BRINE,
    due_record,
    end_or_go_on,
    is_harvested,
    own_amounts,
    takes_brine,
)
from reports.letters.record import top_up
from reports.letters.remedies import remedy
from reports.letters.sentences import alarms_open, look_lines, mains, names, pour_short, poured_into_each
from reports.letters.stages import is_hatch_ahead
from reports.letters.vessel_kinds import look_into
from reports.records import BrineDue, Event, Measured, PastAlarm, Range, SilencedAlarm, TimeRange

# From here on somebody who looks most likely sees swimmers, or sees that nearly all have hatched.
_SWIMMERS, HATCHED = 0.05, 0.9
_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class ReturnVessel:
    """How a vessel stands when somebody comes back, and what happened to it meanwhile.

    `fill_ml` is plain water up to the mark, a cup, or `brine` what is due in its place; `feed` is
    due (None: nothing is); `seen` is the share of the hatch that somebody last saw (None: nobody looked);
    `stage` is one of `reports.letters.stages`; `probe_dead` says that its water probe gives
    nothing to believe, `doubt` what is strange about it: then little is known of it. `has_heater`: a heater
    holds its water.
    """

    vessel: str
    count: int
    water_c: Measured | None
    coldest_c: float | None
    hottest_c: float | None
    loss_ml: Range
    salinity_g_per_kg: Range | None
    fill_ml: float
    hatched_fraction: Range
    hatch_t50: TimeRange
    open_alarms: tuple[Event, ...]
    past_alarms: tuple[PastAlarm, ...]
    feed: FeedDue | None
    vessel_kind: str
    stage: str
    seen: float | None = None
    brine: BrineDue | None = None
    silenced: tuple[SilencedAlarm, ...] = ()
    probe_dead: bool = False
    doubt: Event | None = None
    has_heater: bool = False


@dataclass(frozen=True, slots=True)
class Chosen:
    """What to do first: in a few words, about which vessels, in a sentence; `own` is for a lead, with each
    vessel's amount where one is not true of all; `care` is what to mind while doing it, `record` the lines
    for the care log."""

    short: str
    about: Sequence[ReturnVessel]
    advice: str
    own: str | None = None
    care: Sequence[Caution] = ()
    record: Sequence[str] = ()


def first_of(vessels: Sequence[ReturnVessel]) -> Chosen:
    """What to do first: in a few words, about which vessels, and in a sentence."""
    choices: tuple[Callable[[Sequence[ReturnVessel]], Chosen | None], ...] = (
        _heat,
        _probe,
        _fill,
        _brine,
        _harvested,
        _other_alarms,
        _swimmers,
        _feed,
    )
    for choice in choices:
        chosen = choice(vessels)
        if chosen is not None:
            return chosen
    where = look_into(vessels) if vessels else say_in("look into", "each vessel")
    return Chosen(
        say("nothing urgent"), (), say("look into {where} once, with a torch from the side.", where=where)
    )


def is_worth_a_look(hatched: Range, seen: float | None) -> bool:
    """Whether a look at a hatch would tell more than is known: most likely there is something to see, and
    nothing that was seen (a share; None: nobody looked) makes it sure that all but a few hatched.
    """
    if hatched.p50 < _SWIMMERS or seen is None:
        return hatched.p50 >= _SWIMMERS
    return seen < HATCHED and not (seen > 0.0 and hatched.p10 >= HATCHED)


def _heat(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    hot = [one for one in vessels if any(alarm.kind == "hot" for alarm in one.open_alarms)]
    if not hot:
        return None
    helps = remedy("hot", hot)
    return Chosen(say("too warm"), hot, helps.what, care=helps.care)


def _probe(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    """What is believed of a vessel whose probe says nothing is worth little: it comes before any pouring."""
    unsure = [one for one in vessels if one.probe_dead or one.doubt is not None]
    if not unsure:
        return None
    advice = say(
        "look, with dry hands, whether the probe in {names} hangs in the water, its cable firm. Put right "
        "what is not.",
        names=names(unsure),
    )
    short, then = say("see to the probe"), _fill(vessels) or _brine(vessels)
    if then is None:
        return Chosen(short, unsure, advice)
    advice = say("{before} Then {after}", before=advice, after=then.advice)
    return Chosen(short, unsure, advice, care=then.care, record=then.record)


def _fill(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    dry = [one for one in vessels if one.fill_ml >= LEAST_ML]
    if not dry:
        return None
    advice = say("pour plain water, not salt water, up to the mark. It takes {pour}.", pour=_poured(dry))
    amounts_ml = [one.fill_ml for one in dry]
    advice, own = unplugged_for(advice, dry), own_amounts(amounts_ml, dry)
    lines = [top_up(one.vessel, one.fill_ml) for one in dry]
    return Chosen(pour_short(amounts_ml, dry), dry, advice, own, pouring_care(dry), lines)


def _poured(dry: Sequence[ReturnVessel]) -> str:
    """What goes where, of a few; of many the table says it."""
    if len(dry) > _MOST_NAMED:
        return say("as listed below")
    return words.joined([poured_into_each(one.fill_ml, one) for one in dry])


def _brine(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    fresh = [one for one in vessels if takes_brine(one)]
    if not fresh:
        return None
    advice, lines = unplugged_for(say(POUR_BRINE), fresh), [line for one in fresh for line in due_record(one)]
    return Chosen(say("pour brine"), fresh, advice, care=pouring_care(fresh), record=lines)


def _harvested(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    drawn = [one for one in vessels if is_harvested(one)]
    if not drawn:
        return None
    care = [mains()] if heated(drawn) else ()
    lines = [line for one in drawn for line in due_record(one)]
    return Chosen(say("end or fill up the batch"), drawn, end_or_go_on(drawn), care=care, record=lines)


def _other_alarms(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    troubled = [one for one in vessels if one.open_alarms]
    if not troubled:
        return None
    count = night.alarm_count((one.vessel, alarm) for one in troubled for alarm in one.open_alarms)
    alarms = alarms_open(count)
    return Chosen(
        alarms,
        troubled,
        say("look first at {names}: the alarm is named below.", names=names(troubled)),
    )


def _swimmers(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    new = [
        one
        for one in vessels
        if not one.feed and is_hatch_ahead(one) and is_worth_a_look(one.hatched_fraction, one.seen)
    ]
    if not new:
        return None
    share = amounts.about_percent(max(one.hatched_fraction.p50 for one in new))
    advice = say("look for swimmers with a torch from the side, and write in the care log what you see.")
    lines = [line for one in new[:1] for line in look_lines(one.vessel, begun=True)]
    return Chosen(say("{share} hatched", share=share), new, advice, record=lines)


def _feed(vessels: Sequence[ReturnVessel]) -> Chosen | None:
    hungry = [one for one in vessels if one.feed is not None]
    feeds = [one.feed for one in hungry if one.feed is not None]
    if not feeds:
        return None
    given = portion_of_all(feeds, small=False)
    if is_unseen(feeds):
        short = say("look, then feed")
    else:
        short = say("feed as listed") if given is None else say("feed {portion}", portion=given)
    return Chosen(short, hungry, feed_advice(feeds, small=False), record=feed_lines(hungry))


def feed_lines(vessels: Sequence[ReturnVessel]) -> list[str]:
    """The lines for the care log after the feeds that are due in these."""
    return [line for one in vessels if one.feed for line in feed_record(one.feed, small=False)]
