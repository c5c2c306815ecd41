"""A planned start that was kept, in words: what is to be done before its cysts are set, and when they are."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import times
from reports.language import in_its_language, say
from reports.letters.sentences import HYGIENE
from reports.records import Setting, Span
from reports.starts import words
from reports.words import clean

_LATE = timedelta(hours=1)  # a set time that is just over is still one


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A kept plan: its number, where, of which tin (empty: none was named), when, and for which lesson.

    `water_at` is when the water is to be let stand; None where it cannot, and is treated. `nobody_there` (to
    set them) and `lesson_away` are by the station file as it is now; `runs`: a batch runs there still.
    `swimming`: animals are to swim in the lesson already.
    """

    number: int
    vessel: str
    tin: str
    set_at: datetime
    good: Span
    lesson: Span
    water_at: datetime | None
    nobody_there: bool = False
    lesson_away: bool = False
    runs: bool = False
    swimming: bool = False


@in_its_language
def lines(setting: Setting, plans: Sequence[KeptPlan]) -> list[tuple[int, str]]:
    """Each plan's number, and what it says in a line."""
    return [(one.number, _line(setting, one)) for one in plans]


def is_missed(setting: Setting, one: KeptPlan) -> bool:
    """Whether the time to set is over, and nothing was noted."""
    return one.good.ended + _LATE < setting.written_at


@in_its_language
def doubts(_setting: Setting, one: KeptPlan) -> list[str]:
    """What speaks against it by now, without a moment that only today would call so."""
    found = []
    if one.nobody_there:
        found.append(say("By the station's file nobody is there to set them then."))
        found.append(say("Plan it anew, or take the plan back."))
    if one.lesson_away:
        found.append(say("By the station's file the lesson lies on a day away: see whether it is held."))
    if one.runs and not one.nobody_there:
        found.append(say("A batch runs in {vessel} still: note its end before.", vessel=clean(one.vessel)))
    return found


@in_its_language
def against(setting: Setting, one: KeptPlan) -> list[str]:
    """The same for a list that has its moments beside it; of a time that is over, what is left to do."""
    return [_whats_left()] if is_missed(setting, one) else doubts(setting, one)


@in_its_language
def met(setting: Setting, vessel: str, stands: KeptPlan | None, *, runs: bool) -> list[str]:
    """What somebody who plans for a vessel should know before keeping it."""
    found = []
    if runs:
        found.append(say("A batch runs in {vessel} still: note its end before.", vessel=clean(vessel)))
    if stands is not None:
        found.append(
            say(
                "Kept, this plan takes the place of the one that stands for {vessel}: set {when}, for the "
                "lesson {lesson}.",
                vessel=clean(vessel),
                when=times.on_moment(stands.set_at, setting.written_at),
                lesson=times.on_moment(stands.lesson.began, setting.written_at),
            )
        )
    return found


def _line(setting: Setting, one: KeptPlan) -> str:
    if is_missed(setting, one):
        return f"{clean(one.vessel)}: {_missed(setting, one)}"
    return " ".join([_to_do(setting, one), *doubts(setting, one)])


def _missed(setting: Setting, one: KeptPlan) -> str:
    was = say(
        "The cysts were to be set {when}, for the lesson {lesson}, and no setting is noted.",
        when=times.on_moment(one.set_at, setting.written_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )
    return " ".join([was, *aim(one), _whats_left()])


def aim(one: KeptPlan) -> list[str]:
    """What is to be seen in the lesson, where that is not the hatch."""
    return [say("Animals are to swim in the lesson already.")] if one.swimming else []


def _whats_left() -> str:
    return say("If they were set, note it. Else plan anew, or take the plan back.")


def _to_do(setting: Setting, one: KeptPlan) -> str:
    said = say(
        "{vessel}: set the cysts {when}, for the lesson {lesson}.",
        vessel=clean(one.vessel),
        when=times.on_moment(one.set_at, setting.written_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )
    if one.nobody_there or one.water_at is None or one.water_at <= setting.written_at:
        return " ".join([said, *aim(one)])
    when = times.on_moment(one.water_at, setting.written_at)
    return " ".join([said, *aim(one), say("Put tap water up to stand {when}.", when=when)])


@in_its_language
def deed(setting: Setting, one: KeptPlan) -> str:
    """What is to be done today; of a time that is over, what is left to do."""
    if is_missed(setting, one):
        return _missed(setting, one)
    if one.nobody_there:
        return _void(setting, one)
    said = say(
        "Set the cysts at {clock} for the lesson {lesson}.",
        clock=times.clock(one.set_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )
    good, found = one.good, [said, *aim(one)]
    if good.began != good.ended:
        span = times.between(good.began, good.ended)
        found.append(say("Any time from {span} is about as good.", span=span))
    return " ".join([*found, *doubts(setting, one)])


def _void(setting: Setting, one: KeptPlan) -> str:
    """What is left to do of one that cannot go as planned."""
    was = say(
        "The plan was to set the cysts {when}, for the lesson {lesson}.",
        when=times.on_moment(one.set_at, setting.written_at),
        lesson=times.on_moment(one.lesson.began, setting.written_at),
    )
    return " ".join([was, *aim(one), *doubts(setting, one)])


@in_its_language
def water_deed(setting: Setting, one: KeptPlan) -> str:
    """What is to be done the day before."""
    if one.nobody_there:
        return _void(setting, one)
    _, what = words.DAYS["water"]
    when = say("The cysts are set {when}.", when=times.short_moment(one.set_at))
    return " ".join([say(what), when, *doubts(setting, one)])


@in_its_language
def steps(setting: Setting, one: KeptPlan) -> list[str]:
    """How it is done; nothing where its time is over, or it cannot go as planned."""
    if is_missed(setting, one) or one.nobody_there:
        return []
    _, how = words.DAYS["set"]
    _, light = words.DAYS["light"]
    tin = [say("Cysts from {tin}.", tin=clean(one.tin))] if one.tin else []
    return [*treated(one), say(how), *tin, say(light)]


def treated(one: KeptPlan) -> list[str]:
    """What is done with water that cannot stand before."""
    return [words.text_of("treat")] if one.water_at is None else []


@in_its_language
def care(_setting: Setting) -> str:
    """What to mind with it."""
    return say(HYGIENE)
