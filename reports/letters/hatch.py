"""The hatch letter: a hatch that is near or has come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Action, Body, Caution, Paragraph
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import HYGIENE, action, ending, look_lines, names, place
from reports.letters.vessel_kinds import look_into
from reports.records import LetterText, Range, Setting, TimeRange

_EASY_TO_MISS = to_say("First swimmers are easy to miss: orange dots that jerk along towards the light.")
_SHARES = to_say("Shares are of the eggs (cysts) that can hatch. No food is needed before day three or four.")
_LOOK = to_say("look into {where} with a torch from the side. {see}")
# From here on a hatch is put in words by its share, before by its hour.
_UNDER_WAY = 0.1


@dataclass(frozen=True, slots=True)
class HatchNews:
    """A hatch that is near, or has come."""

    vessel: str
    count: int
    set_at: datetime
    hatched_fraction: Range
    hatch_t10: TimeRange
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    vessel_kind: str


@in_its_language
def hatch_letter(setting: Setting, news: Sequence[HatchNews]) -> LetterText:
    """A hatch that is near or has come; `news` holds at least one."""
    first = max(news, key=lambda one: one.hatched_fraction.p50)
    body = Body(
        action=_to_look(setting, news, first),
        care=[Caution(say(HYGIENE))],
        record=record.of_each([look_lines(one.vessel, begun=_is_under_way(one)) for one in news]),
        known=known(
            [Known(one.vessel, _facts(setting, one, alone=len(news) == 1)) for one in news], say("Vessel")
        ),
        spare=[Paragraph(say(_EASY_TO_MISS)), Paragraph(say(_SHARES))],
        ending=ending(setting),
    )
    half = first.hatch_t50.p50
    coming = half is not None and half > setting.written_at and not _is_under_way(first)
    short = (
        say("Hatch: half by {when}", when=times.short_moment(times.believed_moment(half)))
        if coming and half
        else say("Hatch: {share}", share=amounts.about_percent(first.hatched_fraction.p50))
    )
    subject_line = subject(short, place(news), setting.station)
    return letter("hatch", subject_line, _lead(setting, news, first), body, setting)


def _is_under_way(one: HatchNews) -> bool:
    return one.hatched_fraction.p50 >= _UNDER_WAY


def _to_look(setting: Setting, news: Sequence[HatchNews], first: HatchNews) -> Action:
    see = say("See how many swim.") if _is_under_way(first) else say("See whether any swim.")
    later = say("What you see then still counts.")
    return action(
        setting,
        say(_LOOK, where=look_into(news), see=see),
        say(_LOOK, where=look_into(news), see=later),
    )


def _lead(setting: Setting, news: Sequence[HatchNews], first: HatchNews) -> str:
    named, share = names(news), amounts.percent(first.hatched_fraction.p50)
    if len(news) == 1:
        share = amounts.percent_range(first.hatched_fraction)
    elif _is_under_way(first):
        share = say("most likely {share}", share=share)
    if first.hatched_fraction.p50 >= 0.9:
        return say("The hatch in {names} is nearly done: {share}.", names=named, share=share)
    if _is_under_way(first):
        return say("The hatch in {names} is under way: {share}.", names=named, share=share)
    half = first.hatch_t50.p50
    if half is None:
        return say("The hatch in {names} is near.", names=named)
    when = times.moment(times.believed_moment(half), setting.written_at)
    return say("The hatch in {names} is near: half of it most likely {when}.", names=named, when=when)


def _facts(setting: Setting, one: HatchNews, *, alone: bool) -> tuple[Fact, ...]:
    """When it begins, where it is near; else when half of it comes, or most where half is passed."""
    now, half = setting.written_at, one.hatch_t50.p50
    share = one.hatched_fraction
    hatched = Fact(say("Hatched"), amounts.percent_range(share), amounts.percent(share.p50))
    # The lead says how much of one vessel has hatched.
    shares = () if alone and _is_under_way(one) else (hatched,)
    if not _is_under_way(one):
        begins = (_when(say("The first tenth"), one.hatch_t10, now),) if setting.attended_now else ()
        return (*shares, *begins, _when(say("Half of what can hatch"), one.hatch_t50, now))
    if half is not None and half <= now:
        return *shares, _when(say("Nine in ten of what can hatch"), one.hatch_t90, now)
    return *shares, _when(say("Half of what can hatch"), one.hatch_t50, now)


def _when(label: str, at: TimeRange, now: datetime) -> Fact:
    return fact(say("{label} (calculated)", label=label), times.short_range(at, now))
