"""The hatch letter: a hatch that is near or has come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    HYGIENE,
    action,
    look_lines,
    name,
    names,
    next_letter,
    place,
)
from reports.letters.vessel_kinds import look_into
from reports.records import LetterText, Range, Setting, TimeRange

_SHARES = to_say(
    "The shares are of those cysts that will hatch at all, and are calculated from what was told, not "
    "measured."
)
_FIRST_ONES = to_say(
    "look into {where} with light from the side, and tell the care log what you see: first swimmers, or none "
    "yet."
)
_HOW_MANY = to_say(
    "look into {where} with light from the side, and tell the care log what you see: how many swim, or none "
    "yet."
)
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
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(one), _facts(setting, one)) for one in news),
        Paragraph(say(_SHARES)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The first swimmers are easy to miss: orange dots that jerk along and gather where it is "
                "bright. They live on their yolk at first; a first feed on day three or four is common "
                "practice."
            )
        ),
        action(
            setting,
            say(
                _HOW_MANY if first.hatched_fraction.p50 >= _UNDER_WAY else _FIRST_ONES,
                where=look_into(news),
            ),
            say(
                "look into {where} with light from the side, and tell the care log what you see. What you "
                "see "
                "then still counts.",
                where=look_into(news),
            ),
        ),
        Caution(say(HYGIENE)),
        next_letter(setting),
    ]
    lead = _lead(setting, news, first)
    half = first.hatch_t50.p50
    coming = half is not None and half > setting.written_at and first.hatched_fraction.p50 < _UNDER_WAY
    short = (
        say("Hatch: half by {when}", when=times.short_moment(times.believed_moment(half)))
        if coming and half
        else say("Hatch: {share}", share=amounts.about_percent(first.hatched_fraction.p50))
    )
    return letter("hatch", subject(short, place(news), setting.station), lead, blocks, setting)


def _lead(setting: Setting, news: Sequence[HatchNews], first: HatchNews) -> str:
    share = amounts.percent(first.hatched_fraction.p50)
    if first.hatched_fraction.p50 >= 0.9:
        return say(
            "The hatch in {names} is nearly done: most likely {share}.", names=names(news), share=share
        )
    if first.hatched_fraction.p50 >= _UNDER_WAY:
        return say("The hatch in {names} is under way: most likely {share}.", names=names(news), share=share)
    half = first.hatch_t50.p50
    if half is None:
        return say(
            "The hatch in {names} is near: most likely {share} so far.", names=names(news), share=share
        )
    return say(
        "The hatch in {names} is near: most likely {share} so far, half most likely {when}.",
        names=names(news),
        share=share,
        when=times.moment(times.believed_moment(half), setting.written_at),
    )


def _facts(setting: Setting, one: HatchNews) -> tuple[str, ...]:
    now = setting.written_at
    return (
        say(
            "Set {when}, {ago}.",
            when=times.moment(one.set_at, now),
            ago=times.ago(times.elapsed(one.set_at, now)),
        ),
        say("Hatched so far: {share}.", share=amounts.percent_range(one.hatched_fraction)),
        say("The first tenth: {when}.", when=times.moment_range(one.hatch_t10, now)),
        say("Half: {when}.", when=times.moment_range(one.hatch_t50, now)),
        say("Nine in ten: {when}.", when=times.moment_range(one.hatch_t90, now)),
        *look_lines(one.vessel, begun=one.hatched_fraction.p50 >= _UNDER_WAY),
    )
