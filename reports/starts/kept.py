"""A planned start that was kept, in words: what is to be done before its cysts are set, and when they are."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times
from reports.language import in_its_language, say
from reports.letters.sentences import HYGIENE
from reports.records import Setting, Span
from reports.starts import words
from reports.words import clean


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A kept plan: its number, where, of which tin (empty: none was named), when, and for which lesson.

    `water_at` is when the water is to be let stand; None where that is over.
    """

    number: int
    vessel: str
    tin: str
    set_at: datetime
    good: Span
    lesson: Span
    water_at: datetime | None


@in_its_language
def lines(setting: Setting, plans: Sequence[KeptPlan]) -> list[tuple[int, str]]:
    """Each plan's number, and what it says in a line."""
    return [(one.number, _line(setting, one)) for one in plans]


def _line(setting: Setting, one: KeptPlan) -> str:
    return say(
        "{vessel}: set the cysts {when}, for the lesson {lesson}.",
        vessel=clean(one.vessel),
        when=times.on_moment(one.set_at, setting.written_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )


@in_its_language
def deed(setting: Setting, one: KeptPlan) -> str:
    """What is to be done today."""
    said = say(
        "Set the cysts at {clock} for the lesson {lesson}.",
        clock=times.clock(one.set_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )
    good = one.good
    if good.began == good.ended:
        return said
    span = times.between(good.began, good.ended)
    return " ".join([said, say("Any time from {span} is about as good.", span=span)])


@in_its_language
def water_deed(_setting: Setting, one: KeptPlan) -> str:
    """What is to be done the day before."""
    _, what = words.DAYS["water"]
    return " ".join([say(what), say("The cysts are set {when}.", when=times.short_moment(one.set_at))])


@in_its_language
def steps(_setting: Setting, one: KeptPlan) -> list[str]:
    """How it is done."""
    _, how = words.DAYS["set"]
    _, light = words.DAYS["light"]
    tin = [say("Cysts from {tin}.", tin=clean(one.tin))] if one.tin else []
    return [say(how), *tin, say(light)]


@in_its_language
def care(_setting: Setting) -> str:
    """What to mind with it."""
    return say(HYGIENE)
