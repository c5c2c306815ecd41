"""A calendar's entries in words: what is expected and how sure that is, what is due and what to mind.

A calendar is read on any day, so no moment is called by one: never "today".
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say
from reports.letters.heaters import pouring_care, unplugged_for
from reports.letters.kinds import LETTERS
from reports.letters.pouring import due_lines, is_due, poured_cell, takes_brine
from reports.letters.sentences import HYGIENE, MAINS, WASH, name, place
from reports.records import Setting, TimeRange, VesselNight


@dataclass(frozen=True, slots=True)
class EntryWords:
    """An entry's title and its text, a paragraph a line."""

    title: str
    text: str


@dataclass(frozen=True, slots=True)
class LowMark:
    """A vessel, and when its water is believed to be at the low mark."""

    vessel: VesselNight
    at: TimeRange


@in_its_language
def half_hatched(setting: Setting, vessels: Sequence[VesselNight], half: TimeRange) -> EntryWords:
    """Half of a hatch in vessels that are alike in it; the setting's moment is when it was calculated.

    `half` has a likely moment.
    """
    likely = _believed(half.p50)
    when = "" if likely is None else times.short_moment(likely)
    return EntryWords(
        say("{name}: half hatched, most likely {when}", name=_titled(vessels), when=when),
        _paragraphs(
            *_which(vessels),
            say("Half of what can hatch is out most likely {when}.", when=_full(half.p50)),
            _how_sure(half),
            *_as_of(setting),
        ),
    )


@in_its_language
def harvest_window(
    setting: Setting, vessel: VesselNight, opens: TimeRange, closes: TimeRange, *, seen: bool
) -> EntryWords:
    """When a cone is best harvested; `seen` says that somebody is in the room then."""
    unseen = [] if seen else [say("Nobody is there in that time. The harvest letter says what can be done.")]
    return EntryWords(
        say("{name}: best time to harvest", name=name(vessel)),
        _paragraphs(
            say(
                "The harvest of {names} opens most likely {when}.", names=name(vessel), when=_full(opens.p50)
            ),
            _how_sure(opens),
            say(
                "The harvest of {names} closes most likely {when}.",
                names=name(vessel),
                when=_full(closes.p50),
            ),
            _how_sure(closes),
            *unseen,
            *_as_of(setting),
        ),
    )


@in_its_language
def harvest_due(setting: Setting, vessel: VesselNight) -> EntryWords:
    """The harvest itself, while somebody is there."""
    draw_off = unplugged_for(say("draw the animals off as the harvest letter says."), [vessel])
    return EntryWords(
        say("Harvest {name}", name=name(vessel)),
        _paragraphs(
            words.capital(say("look whether many swim. Once they do, {draw_off}", draw_off=draw_off)),
            say(MAINS),
            say(HYGIENE),
            *_as_of(setting),
        ),
    )


@in_its_language
def filling_due(setting: Setting, low: Sequence[LowMark]) -> EntryWords:
    """Filling vessels before their water is low, all with plain water or all with brine; `low` holds at least
    one. The setting's moment is when that was calculated.
    """
    vessels = [one.vessel for one in low]
    brine = all(takes_brine(vessel) for vessel in vessels)
    pour = (
        say("pour brine, not plain water, up to the mark. Stop there.")
        if brine
        else say("pour plain water, not salt water, up to the mark. Stop there.")
    )
    named = _titled(vessels)
    return EntryWords(
        say("Pour brine into {name}", name=named) if brine else say("Fill {name}", name=named),
        _paragraphs(
            words.capital(unplugged_for(pour, vessels)),
            *_amounts(vessels),
            say("If the water stands at the mark, pour nothing."),
            _low_mark(setting, low),
            *(caution.text for caution in pouring_care(vessels)),
            say(WASH),
            *_as_of(setting),
        ),
    )


def _amounts(vessels: Sequence[VesselNight]) -> list[str]:
    """How much it would have been when it was calculated, and how brine is mixed; of each of several."""
    if len(vessels) > 1:
        lines = [(vessel, due_lines(vessel) or (poured_cell(vessel),)) for vessel in vessels]
        of_each = [f"{name(vessel)}: {' '.join(some)}" for vessel, some in lines]
        return [say("As calculated, and later more:"), *of_each]
    return [line for vessel in vessels if is_due(vessel) for line in due_lines(vessel) or (_amount(vessel),)]


def _amount(vessel: VesselNight) -> str:
    amount, where = amounts.volume_with_spoons(vessel.fill_ml), words.into_each(vessel.count)
    return say("As calculated: {amount} into {where}; later more.", amount=amount, where=where)


def _titled(vessels: Sequence[VesselNight]) -> str:
    return name(vessels[0]) if len(vessels) == 1 else place(vessels)


def _which(vessels: Sequence[VesselNight]) -> list[str]:
    """Which vessels, where the title may not name them all."""
    return [words.joined([name(vessel) for vessel in vessels])] if len(vessels) > 1 else []


@in_its_language
def letter_due(setting: Setting, kind: str) -> EntryWords:
    """The next planned letter of the setting."""
    none = say("If none comes, the station or its post is off.")
    batch = say("It comes if a batch runs then.")
    title = say("Expected: {letter}", letter=say(LETTERS[kind].name))
    return EntryWords(title, batch if setting.next_letter_if_batch else none)


@in_its_language
def nobody_there(_setting: Setting) -> EntryWords:
    """Days on which nobody is in the room."""
    return EntryWords(
        say("Nobody is at the vessels"), say("The station's file calls these days away. Letters go on.")
    )


def _low_mark(setting: Setting, low: Sequence[LowMark]) -> str:
    """Of the vessel that is first at its low mark."""
    first = min(low, key=lambda one: math.inf if one.at.p10 is None else one.at.p10.timestamp())
    said = _at_low_mark(setting, first.at)
    return said if len(low) == 1 else f"{name(first.vessel)}: {said}"


def _at_low_mark(setting: Setting, believed: TimeRange) -> str:
    likely = believed.p50
    if likely is None:
        return _how_sure(believed)
    if likely.timestamp() <= setting.written_at.timestamp():
        return say("The water most likely stands below the low mark already.")
    return " ".join(
        [say("The water is at the low mark most likely {when}.", when=_full(likely)), _how_sure(believed)]
    )


def _how_sure(believed: TimeRange) -> str:
    early, late = _full(believed.p10), _full(believed.p90)
    if believed.p90 is None:
        return say("It is hardly before {early}; how late it may be is not known yet.", early=early)
    return say("Four times in five it is between {early} and {late}.", early=early, late=late)


def _as_of(setting: Setting) -> tuple[str, ...]:
    """When it was calculated, and whether the clock that it goes by may be wrong."""
    calculated = say(
        "Calculated {when}; every reading and every entry in the care log may move it.",
        when=times.full_moment(setting.written_at),
    )
    if setting.clock_sure:
        return (calculated,)
    return calculated, say("The station's clock may be wrong, and so may the hours and dates here.")


def _full(at: datetime | None) -> str:
    believed = _believed(at)
    return say("not known yet") if believed is None else times.full_moment(believed)


def _believed(at: datetime | None) -> datetime | None:
    return None if at is None else times.believed_moment(at)


def _paragraphs(*lines: str) -> str:
    return "\n".join(lines)
