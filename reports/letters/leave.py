"""The letter before an unattended stretch: what to fill, what to check, what to expect."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from math import isfinite

from reports import amounts, times, words
from reports.language import in_its_language, say, to_say
from reports.letters.absence_warmth import (
    if_cold,
    if_hot,
    past_limits,
    warmth_care,
    warmth_lines,
    warmth_steps,
)
from reports.letters.blocks import Action, Body, Caution, Facts, Paragraph, paragraphs
from reports.letters.feed import feeding_care
from reports.letters.feeding import FeedDue, feed_record, is_unseen, portion
from reports.letters.heaters import heated, pouring_care
from reports.letters.known import Fact, Known, known, listed
from reports.letters.page import letter, subject
from reports.letters.past_alarm import open_alarm
from reports.letters.pouring import (
    LEAST_ML,
    before_leaving,
    due_record,
    how_to_mix,
    is_due,
    is_harvested,
    water_steps,
)
from reports.letters.record import of_each, top_up
from reports.letters.sentences import NO_HOT_LAMP, WIDE, action, ending, mains, name, names, place
from reports.letters.stages import is_emptied, is_hatch_ahead
from reports.records import Absence, BrineDue, Event, LampHours, LetterText, Range, Setting, TimeRange

_ABOVE_ML = 3.0  # a level that an eye tells from the mark
_FEED = to_say("feed as listed below, if the water is clear")
_FEED_IF_ANY = to_say("feed as listed below, if animals swim and the water is clear")
_LASTS = to_say("With nine chances in ten this water lasts until you are back.")
_OVER_BRIM = to_say(
    "The water may stand over the brim. Look, and take some out, down to the mark; write in the care log how "
    "much."
)
_MAY_NOT_LAST = to_say(
    "That may not last until you are back. If somebody can look in, ask them to fill to the mark."
)
_AT_MARK = to_say("look once whether the water stands at the mark")
_AS_LISTED = to_say("look once whether the water stands as high as listed below")


@dataclass(frozen=True, slots=True)
class VesselOutlook:
    """A vessel over the coming absence. `fill_ml` is plain water to pour now, a cup; `above_mark_ml` how
    far over the mark that ends; `fill_holds` whether that much is believed (9 in 10) to stay between the
    brim and the low mark until the return; where it is not, `fill_fails` is the side that fails, `low` or
    `brim`. `stage` is one of `reports.letters.stages`. `brine` is due where plain water is not. `feed`
    is due before going; the coldest and hottest water of the whole absence are a forecast,
    None where there is none. `open_alarms` stand as they go; `has_heater` says that a heater is to hold it.
    """

    vessel: str
    count: int
    batch_set_at: datetime
    fill_ml: float
    above_mark_ml: float
    fill_holds: bool
    loss_ml_at_return: Range
    salinity_at_return: Range | None
    low_ml: float
    cold_c: float
    hot_c: float
    water_c_min_next_16h: Range | None
    lamp_hours: tuple[LampHours, ...]
    hatched_fraction: Range
    hatch_t10: TimeRange
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    learned_top_ups: int
    stage: str
    feed: FeedDue | None = None
    water_c_min_away: Range | None = None
    water_c_max_away: Range | None = None
    fill_fails: str | None = None
    brine: BrineDue | None = None
    open_alarms: tuple[Event, ...] = ()
    has_heater: bool = False


@in_its_language
def leave_letter(setting: Setting, absence: Absence, outlooks: Sequence[VesselOutlook]) -> LetterText:
    """Before nobody is in the room: fill, check, go. `outlooks` holds at least one vessel."""
    due = [Facts(name(one), how_to_mix(one)) for one in outlooks if how_to_mix(one)]
    body = Body(
        action=_to_do(setting, outlooks),
        care=_care(outlooks),
        record=of_each([_record(one) for one in outlooks]),
        known=[
            Paragraph(_nobody(setting, absence)),
            *known([Known(name(one), _facts(setting, absence, one)) for one in outlooks], say("Vessel")),
            *due,
            *paragraphs(*_lasts(outlooks)),
        ],
        means=if_hot(setting, outlooks),
        notes=[
            say("Calculated and forecast, not measured."),
        ],
        spare=paragraphs(*if_cold(setting, outlooks), say(WIDE) if any(map(_wide, outlooks)) else ""),
        ending=ending(setting, silence=True),
    )
    short, about, own = before_leaving(outlooks)
    likely = past_limits(outlooks)
    lead = say("Before you go: {what} in {names}.", what=short, names=names(about))
    if own is not None or (likely and len(outlooks) == 1):
        lead = say("Before you go: {what}.", what=own or short)
    if likely:
        lead = f"{likely.sentence} {lead}"
        poured = any(is_due(one) for one in outlooks)
        short = say("{found} and more", found=likely.short) if poured else likely.short
    subject_line = subject(say("Before you go: {what}", what=short), place(about), setting.station)
    return letter("leave", subject_line, lead, body, setting)


def _nobody(setting: Setting, absence: Absence) -> str:
    return say(
        "Nobody is in the room from {began} until {ended}.",
        began=times.moment(absence.leaves_at, setting.written_at),
        ended=times.moment(absence.returns_at, setting.written_at),
    )


def _care(outlooks: Sequence[VesselOutlook]) -> list[Caution]:
    """What to mind: near mains, while pouring, of what stays on, while feeding."""
    poured = [one for one in outlooks if is_due(one) or one.fill_fails == "brim"]
    lit = [Caution(say(NO_HOT_LAMP))] if any(one.lamp_hours for one in outlooks) else []
    live = [mains()] if heated(outlooks) and not heated(poured) else []
    fed = [feeding_care()] if any(one.feed for one in outlooks) else []
    return [*live, *pouring_care(poured, live), *warmth_care(outlooks), *lit, *fed]


def _record(one: VesselOutlook) -> tuple[str, ...]:
    """The lines for the care log once it is done."""
    poured = due_record(one)
    if not poured and one.fill_ml >= LEAST_ML:
        poured = (top_up(one.vessel, one.fill_ml, one.above_mark_ml),)
    return (*poured, *(feed_record(one.feed, small=True) if one.feed else ()))


def _wide(one: VesselOutlook) -> bool:
    """Whether a range of its water stands in the letter and is wide."""
    return one.learned_top_ups == 0 and not is_harvested(one)


def _to_do(setting: Setting, outlooks: Sequence[VesselOutlook]) -> Action:
    steps = [*warmth_steps(outlooks), *water_steps(outlooks)]
    if any(alarm.kind == "probe" for one in outlooks for alarm in one.open_alarms):
        steps.append(say("see that the probes are plugged in and in their places"))
    if any(one.lamp_hours for one in outlooks):
        steps.append(say("see that the lamp's timer is right"))
    if hungry := [one.feed for one in outlooks if one.feed is not None]:
        steps.append(say(_FEED_IF_ANY if is_unseen(hungry) else _FEED))
    at_mark = all(one.above_mark_ml < _ABOVE_ML for one in outlooks)
    steps = steps or [say(_AT_MARK if at_mark else _AS_LISTED)]
    what = reduce(lambda before, after: say("{before}. Then {after}", before=before, after=after), steps)
    return action(setting, say("before you go, {what}.", what=what), say("{what}.", what=what))


def _facts(setting: Setting, absence: Absence, one: VesselOutlook) -> tuple[Fact, ...]:
    """What to pour and what to expect."""
    lamp = [Fact(say("Lamp on"), times.hours(one.lamp_hours))] if one.lamp_hours else []
    return (
        *(open_alarm(alarm, setting.written_at) for alarm in one.open_alarms),
        _fill(one),
        *lamp,
        *([_feed(one.feed)] if one.feed else []),
        *_at_return(one),
        *_hatch(setting.written_at, absence, one),
        *warmth_lines(setting, one),
    )


def _fill(one: VesselOutlook) -> Fact:
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


def _feed(due: FeedDue) -> Fact:
    given = portion(due, small=True)
    return Fact(say("Feed"), given, given)


def _ends(above_mark_ml: float) -> str:
    if above_mark_ml < 0.5 or not isfinite(above_mark_ml):
        return amounts.level(-above_mark_ml)
    spoons = amounts.spoons(above_mark_ml)
    if spoons is None:
        return amounts.level(-above_mark_ml)
    return say("{amount} mL ({spoons}) above the mark", amount=amounts.number(above_mark_ml), spoons=spoons)


def _lasts(outlooks: Sequence[VesselOutlook]) -> list[str]:
    """Whether the water lasts, once for all for which the same is to be said."""
    kept = [one for one in outlooks if not is_harvested(one)]
    groups = {
        say(_LASTS): [one for one in kept if one.fill_holds],
        say(_OVER_BRIM): [one for one in kept if not one.fill_holds and one.fill_fails == "brim"],
        say(_MAY_NOT_LAST): [one for one in kept if not one.fill_holds and one.fill_fails != "brim"],
    }
    told = {sentence: about for sentence, about in groups.items() if about}
    if len(told) <= 1:
        return list(told)
    return [
        say("{names}: {text}", names=listed([words.clean(one.vessel) for one in about]), text=sentence)
        for sentence, about in told.items()
    ]


def _at_return(one: VesselOutlook) -> list[Fact]:
    if is_harvested(one):
        return []
    level = amounts.level_range(one.loss_ml_at_return)
    if not one.fill_holds:
        level = say("{level}; the low mark is at {low}", level=level, low=amounts.volume(one.low_ml))
    return [Fact(say("Water at your return"), level, amounts.level(one.loss_ml_at_return.p50))]


def _hatch(now: datetime, absence: Absence, one: VesselOutlook) -> list[Fact]:
    if is_emptied(one):
        return []
    shares, cell = amounts.percent_range(one.hatched_fraction), amounts.percent(one.hatched_fraction.p50)
    hatched = Fact(say("Hatched, of those that will"), shares, cell, say("Hatched"), spare=2)
    if one.hatched_fraction.p10 > 0.5 or not is_hatch_ahead(one):
        return [hatched]
    half, when = one.hatch_t50.p50, times.moment_range(one.hatch_t50, now)
    unseen = half is not None and absence.leaves_at < half < absence.returns_at
    return [
        hatched,
        Fact(say("Half hatched"), say("{when}, while nobody is here", when=when))
        if unseen
        else Fact(say("Half hatched"), when, spare=1),
    ]
