"""The letter before an unattended stretch: what to fill, what to check, what to expect."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, to_say
from reports.letters.absence_warmth import (
    if_cold,
    if_hot,
    past_limits,
    warmth_lines,
)
from reports.letters.before_going import going_care, going_deed, to_feed, to_pour
from reports.letters.blocks import Body, Facts, Paragraph, paragraphs
from reports.letters.feeding import FeedDue, feed_record
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
)
from reports.letters.record import of_each, top_up
from reports.letters.sentences import WIDE, ending, name, names, place
from reports.letters.stages import is_emptied, is_hatch_ahead
from reports.records import Absence, BrineDue, Event, LampHours, LetterText, Range, Setting, TimeRange

_LASTS = to_say("With nine chances in ten this water lasts until you are back.")
_OVER_BRIM = to_say(
    "The water may stand over the brim. Look, and take some out, down to the mark; write in the care log how "
    "much."
)
_MAY_NOT_LAST = to_say(
    "That may not last until you are back. If somebody can look in, ask them to fill to the mark."
)


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
        action=going_deed(setting, outlooks),
        care=going_care(outlooks),
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


def _record(one: VesselOutlook) -> tuple[str, ...]:
    """The lines for the care log once it is done."""
    poured = due_record(one)
    if not poured and one.fill_ml >= LEAST_ML:
        poured = (top_up(one.vessel, one.fill_ml, one.above_mark_ml),)
    return (*poured, *(feed_record(one.feed, small=True) if one.feed else ()))


def _wide(one: VesselOutlook) -> bool:
    """Whether a range of its water stands in the letter and is wide."""
    return one.learned_top_ups == 0 and not is_harvested(one)


def _facts(setting: Setting, absence: Absence, one: VesselOutlook) -> tuple[Fact, ...]:
    """What to pour and what to expect."""
    lamp = [Fact(say("Lamp on"), times.hours(one.lamp_hours))] if one.lamp_hours else []
    return (
        *(open_alarm(alarm, setting.written_at) for alarm in one.open_alarms),
        to_pour(one),
        *lamp,
        *([to_feed(one.feed)] if one.feed else []),
        *_at_return(one),
        *_hatch(setting.written_at, absence, one),
        *warmth_lines(setting, one),
    )


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
