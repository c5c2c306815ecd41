"""The harvest letter: when to harvest a cone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Action, Body, Caution, Paragraph
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import HYGIENE, action, ending, mains, names, place
from reports.records import LetterText, Range, Setting, TimeRange

_HOLD_BELOW_C = 10.0
_WORTH_DRAWING = 0.05  # nobody draws off a cone for less, common practice, no source
# Common practice, no source. A heater is bared as the cone is drawn down: what is live comes first.
_DRAW_OFF = to_say(
    "turn the air off. Let the empty shells float to the top. Hold a torch low at one side and draw the "
    "animals off there. Then turn the air on again."
)
_DRAW_OFF_HEATED = to_say(
    "switch off and unplug the heater, and wait until it is cool. Then turn the air off. Let the empty "
    "shells float to the top. Hold a torch low at one side and draw the animals off there. Air and heater go "
    "on again only when the cone is full again."
)
_ONCE_MANY = to_say("look whether many swim. Once they do, {draw_off}")
_THEN = to_say("look whether many swim. Then {draw_off}")
_CHOOSE = to_say(
    "look whether many swim. Choose before {until}: draw off early, or when you are back. To draw off, "
    "{draw_off}"
)
_OR_KEEP = to_say(
    "draw the animals off, or keep them here and feed them: they can eat by now. To draw off, {draw_off}"
)
_AFTER = to_say("{when}, or when you are next there after that, {draw_off}")
# Course notes of Ghent University. How fast their yolk goes stands in the docs, for room.
_KEEP_COLD = to_say("Under {cold} with some air they keep 24 hours.")
_OPENS = to_say("The harvest of {names} opens most likely {when}.")
_CLOSES = to_say("The harvest of {names} closes most likely {when}.")
_OPENS_LATE = to_say("The harvest of {names} opens later; the hour is not known yet.")
_CLOSES_LATE = to_say("The harvest of {names} closes later; the hour is not known yet.")


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
    heated = any(one.has_heater for one in news)
    cold = amounts.temperature(_HOLD_BELOW_C, setting.unit, 0)
    body = Body(
        action=_to_harvest(setting, first, heated=heated),
        care=[mains(), Caution(say(HYGIENE))],
        record=record.of_each([[_record_line(one)] for one in news]),
        besides=_choices(setting, first.unseen) if first.unseen else _closes_unseen(setting, first),
        known=known([Known(one.vessel, _facts(setting, one)) for one in news], say("Vessel")),
        spare=[Paragraph(say(_KEEP_COLD, cold=cold))],
        ending=ending(setting),
    )
    subject_line = subject(_short(setting, first), place(news), setting.station)
    return letter("harvest", subject_line, _lead(setting, first, names(news)), body, setting)


def _choices(setting: Setting, unseen: UnseenWindow) -> tuple[str, ...]:
    now = setting.written_at
    if not _is_choice(unseen):
        none_yet = say(
            "By {until} hardly any will have hatched: to draw off early is of no use.",
            until=times.moment(unseen.until, now),
        )
        return (none_yet,)
    early = say(
        "By then {share} have hatched; the others are still in the egg.",
        share=amounts.percent_range(unseen.hatched_then),
    )
    if unseen.back_at is None:
        late = say("When you are next there, all have hatched, with less yolk left.")
    else:
        back = times.moment(unseen.back_at, now)
        late = say("By {when} all have hatched, with less yolk left.", when=back)
    return (say("{early} {late}", early=early, late=late),)


def _is_choice(unseen: UnseenWindow) -> bool:
    return unseen.hatched_then.p90 >= _WORTH_DRAWING


def _closes_unseen(setting: Setting, one: HarvestNews) -> tuple[str, ...]:
    closes, back = one.closes_at.p50, setting.returns_at
    if setting.attended_now or closes is None or back is None or back <= closes:
        return ()
    return (
        say(
            "It most likely closes before somebody is back. Nobody has to come in: what you draw off then "
            "has less yolk."
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
        if one.closes_at.p50 is None:
            return say("The harvest of {names} is most likely open.", names=named)
        closes = _moment(one.closes_at.p50, now)
        return say("The harvest of {names} is most likely open until {when}.", names=named, when=closes)
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


def _facts(setting: Setting, one: HarvestNews) -> tuple[Fact, ...]:
    now, opens, closes = setting.written_at, one.opens_at, one.closes_at
    if opens.p50 is None or closes.p50 is None:
        return (
            fact(say("Best from (calculated)"), times.short_range(opens, now)),
            fact(say("Best until (calculated)"), times.short_range(closes, now)),
        )
    began, ended = (times.short_dated(times.believed_moment(at), now) for at in (opens.p50, closes.p50))
    return (fact(say("Best (calculated)"), say("from {began} until {ended}", began=began, ended=ended)),)


def likely_drawn_ml(mark_ml: float) -> float:
    """What stands for the amount that was drawn off: a quarter of the vessel."""
    return max(round(mark_ml / 4.0, -1), 10.0)


def _record_line(one: HarvestNews) -> str:
    """The line for the care log."""
    drawn_ml = likely_drawn_ml(one.mark_ml)
    return say(
        "In mL, here {amount}: {command}",
        amount=amounts.number(drawn_ml),
        command=record.line(one.vessel, "harvest", amounts.plain_number(drawn_ml)),
    )


def harvest_advice(setting: Setting, one: HarvestNews) -> str:
    """What to do about a harvest that is near or open, as an action."""
    return _to_harvest(setting, one, heated=one.has_heater).text


def _to_harvest(setting: Setting, one: HarvestNews, *, heated: bool) -> Action:
    opens, now = one.opens_at.p50, setting.written_at
    draw_off = say(_DRAW_OFF_HEATED if heated else _DRAW_OFF)
    if one.unseen is not None and _is_choice(one.unseen):
        until = times.moment(one.unseen.until, now)
        return action(setting, say(_CHOOSE, until=until, draw_off=draw_off))
    if opens is None:
        return action(setting, say(_ONCE_MANY, draw_off=draw_off), say(_THEN, draw_off=draw_off))
    there = now if setting.attended_now or setting.returns_at is None else setting.returns_at
    if opens.timestamp() > there.timestamp():  # the later of both
        return Action(say(_AFTER, when=_moment(opens, now), draw_off=draw_off))
    return action(setting, say(_OR_KEEP, draw_off=draw_off) if one.growing else draw_off)
