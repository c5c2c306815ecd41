"""The harvest letter: when to harvest a cone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, to_say
from reports.letters.page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    HYGIENE,
    action,
    mains,
    name,
    names,
    next_letter,
    place,
)
from reports.records import LetterText, Range, Setting, TimeRange

# Course notes of Ghent University: under 10 °C, slight air, up to 24 h.
_HOLD_BELOW_C = 10.0
_WORTH_DRAWING = 0.05  # nobody draws off a cone for less, common practice, no source
# Common practice, no source. A heater is bared as the cone is drawn down.
_DRAW_OFF = to_say(
    "turn the air off with dry hands, let the cone settle until the empty shells float on top, hold a light "
    "low at one side, and draw the animals off there. Then turn the air on again for what stays."
)
_DRAW_OFF_HEATED = to_say(
    "switch off and unplug the heater with dry hands, and wait until it is cool. Then turn the air off, let "
    "the cone settle until the empty shells float on top, hold a light low at one side, and draw the animals "
    "off there. Air and heater go on again only when the cone is full again."
)
_HOW_ONCE_MANY = to_say("look whether many swim; once they do, {draw_off}")
_HOW_THEN = to_say("look whether many swim; then {draw_off}")
_CHOOSE = to_say(
    "look whether many swim, and choose before {until}: to draw off early, or when you are back. To draw "
    "off, {draw_off}"
)
_OR_KEEP = to_say(
    "By now what has hatched can eat, so there is a choice: to draw it off, or to keep it here and feed it."
)
_UNLESS_KEPT = to_say("unless you keep them here, {draw_off}")
_HOW_AFTER = to_say("{when}, or when you are next there after that, {draw_off}")
_OPENS = to_say("The harvest of {names} opens most likely {when}.")
_CLOSES = to_say("The harvest of {names} closes most likely {when}.")
_OPENS_LATE = to_say("The harvest of {names} opens later than can be told.")
_CLOSES_LATE = to_say("The harvest of {names} closes later than can be told.")


@dataclass(frozen=True, slots=True)
class UnseenWindow:
    """A window in which nobody is in the room: until when somebody is before it, what share of those that
    will has hatched by then, and when somebody is there after it (None: not known)."""

    until: datetime
    hatched_then: Range
    back_at: datetime | None


@dataclass(frozen=True, slots=True)
class HarvestNews:
    """A cone whose harvest opens soon or has opened; `closing` says that it closes soon.

    `mark_ml` is what the cone holds at its mark. `growing`: by now the animals can eat, so they can be kept.
    `unseen` is set while there is a choice: somebody is there before it opens, and nobody while it is open.
    `has_heater`: a heater holds its water.
    """

    vessel: str
    count: int
    opens_at: TimeRange
    closes_at: TimeRange
    hatched_fraction: Range
    closing: bool
    mark_ml: float
    growing: bool
    unseen: UnseenWindow | None = None
    has_heater: bool = False


@in_its_language
def harvest_letter(setting: Setting, news: Sequence[HarvestNews]) -> LetterText:
    """A cone's harvest that opens soon, is open, or closes soon; `news` holds at least one."""
    first = min(news, key=_edge_s)
    cold = amounts.temperature(_HOLD_BELOW_C, setting.unit, 0)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(one), _facts(setting, one)) for one in news),
        Paragraph(say("The times and shares are calculated from what was told, not measured.")),
        Heading(say("What it means")),
        Paragraph(
            say(
                "Fresh from the egg the animals live on their yolk, and it does not last: in their first "
                "day they use up {share} of their energy (Vanhaecke and others 1983). Too early, many are "
                "still in the egg; too late, they have little yolk left.",
                share=say("{low} to {high}", low="22", high="37 %"),
            )
        ),
        *(_choices(setting, first.unseen) if first.unseen else _closes_unseen(setting, first)),
        *([Paragraph(say(_OR_KEEP))] if first.growing else []),
        _to_harvest(setting, first, heated=any(one.has_heater for one in news)),
        Paragraph(
            say(
                "How to draw off a cone is common practice, no source. If you do not need the animals at "
                "once: under {cold} with a little air they keep for up to 24 hours (course notes of "
                "Ghent University).",
                cold=cold,
            )
        ),
        Caution(say(HYGIENE)),
        mains(),
        next_letter(setting),
    ]
    lead = _lead(setting, first, names(news))
    subject_line = subject(_short(setting, first), place(news), setting.station)
    return letter("harvest", subject_line, lead, blocks, setting)


def _choices(setting: Setting, unseen: UnseenWindow) -> tuple[Paragraph, ...]:
    now = setting.written_at
    if not _is_choice(unseen):
        none_yet = say(
            "Nobody is in the room while it is open, and by {until} hardly any will have hatched, so to draw "
            "off early is of no use. When you are next there, all have hatched, with less yolk left.",
            until=times.moment(unseen.until, now),
        )
        return (Paragraph(none_yet),)
    early = say(
        "Nobody is in the room while it is open, so there is a choice. You can draw off early: by {until}, "
        "of those that will hatch, this share has hatched: {share}. The others are still in the egg.",
        until=times.moment(unseen.until, now),
        share=amounts.percent_range(unseen.hatched_then),
    )
    if unseen.back_at is None:
        late = say("Or you can draw off when you are next there: then all have hatched, with less yolk left.")
    else:
        late = say(
            "Or you can draw off when you are back, {when}: then all have hatched, with less yolk left.",
            when=times.moment(unseen.back_at, now),
        )
    return (Paragraph(f"{early} {late}"),)


def _is_choice(unseen: UnseenWindow) -> bool:
    return unseen.hatched_then.p90 >= _WORTH_DRAWING


def _closes_unseen(setting: Setting, one: HarvestNews) -> tuple[Paragraph, ...]:
    closes, back = one.closes_at.p50, setting.returns_at
    if setting.attended_now or closes is None or back is None or back <= closes:
        return ()
    return (
        Paragraph(
            say(
                "It most likely closes before somebody is back. Nobody has to come in for this: what you "
                "draw off then has less yolk."
            )
        ),
    )


def _edge(one: HarvestNews) -> datetime | None:
    return one.closes_at.p50 if one.closing else one.opens_at.p50


def _edge_s(one: HarvestNews) -> float:
    edge = _edge(one)
    return float("inf") if edge is None else edge.timestamp()


def _open(setting: Setting, one: HarvestNews) -> bool:
    return one.opens_at.p50 is not None and one.opens_at.p50 <= setting.written_at


def _closed(setting: Setting, one: HarvestNews) -> bool:
    return one.closes_at.p50 is not None and one.closes_at.p50 <= setting.written_at


def _lead(setting: Setting, one: HarvestNews, named: str) -> str:
    edge, now = _edge(one), setting.written_at
    if one.unseen is not None and edge is not None:
        return say(
            "The harvest of {names} opens while nobody is there: most likely {when}.",
            names=named,
            when=_moment(edge, now),
        )
    if one.closing and _closed(setting, one):
        return say("The harvest of {names} is most likely past its best time.", names=named)
    if not one.closing and _open(setting, one):
        return say("The harvest of {names} is most likely open.", names=named)
    if edge is None:
        return say(_CLOSES_LATE if one.closing else _OPENS_LATE, names=named)
    return say(_CLOSES if one.closing else _OPENS, names=named, when=_moment(edge, now))


def _moment(at: datetime, now: datetime) -> str:
    return times.moment(times.believed_moment(at), now)


def _short(setting: Setting, one: HarvestNews) -> str:
    edge = _edge(one)
    if edge is None:
        return say("Harvest: hour not known yet")
    at = times.short_moment(times.believed_moment(edge))
    if one.closing and _closed(setting, one):
        return say("Harvest past its best since {at}", at=at)
    if one.closing:
        return say("Harvest by {at}", at=at)
    return say("Harvest open since {at}", at=at) if _open(setting, one) else say("Harvest from {at}", at=at)


def _facts(setting: Setting, one: HarvestNews) -> tuple[str, ...]:
    now = setting.written_at
    return (
        say(
            "Hatched so far, of those that will: {share}.", share=amounts.percent_range(one.hatched_fraction)
        ),
        say("Best from: {when}.", when=times.moment_range(one.opens_at, now)),
        say("Best until: {when}.", when=times.moment_range(one.closes_at, now)),
        _tell_line(one),
    )


def _tell_line(one: HarvestNews) -> str:
    """The line for the care log, to copy: a quarter of the cone stands for what was drawn off."""
    drawn_ml = max(round(one.mark_ml / 4.0, -1), 10.0)
    return say(
        "Once drawn off, tell it how much that was, such as {amount}: {command}",
        amount=amounts.volume(drawn_ml),
        command=f"naupliad care add {words.clean(one.vessel)} harvest {amounts.plain_number(drawn_ml)}",
    )


def _to_harvest(setting: Setting, one: HarvestNews, *, heated: bool) -> Action:
    opens, now = one.opens_at.p50, setting.written_at
    draw_off = say(_DRAW_OFF_HEATED if heated else _DRAW_OFF)
    if one.unseen is not None and _is_choice(one.unseen):
        until = times.moment(one.unseen.until, now)
        return action(setting, say(_CHOOSE, until=until, draw_off=draw_off))
    if opens is None:
        return action(setting, say(_HOW_ONCE_MANY, draw_off=draw_off), say(_HOW_THEN, draw_off=draw_off))
    there = now if setting.attended_now or setting.returns_at is None else setting.returns_at
    if opens.timestamp() > there.timestamp():  # the later of both
        return Action(say(_HOW_AFTER, when=_moment(opens, now), draw_off=draw_off))
    return action(setting, say(_UNLESS_KEPT, draw_off=draw_off) if one.growing else draw_off)
