"""What came of the last lesson that was planned for, and the same offered for the next class."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from shlex import quote

from reports import times
from reports.language import in_its_language, say
from reports.records import Setting, Span, TimeRange
from reports.words import clean


@dataclass(frozen=True, slots=True)
class LastTime:
    """A plan whose lesson is over. `set_at` is when its cysts were set (None: nothing was set by it).

    `expected` is when half were to hatch, as believed when they were set, and `came` as believed last; None
    where records do not say. `again` is a lesson to come on the same weekday and at the same hours; None
    where there is none. `swimming`: animals were to swim in the lesson already.
    """

    vessel: str
    tin: str
    lesson: Span
    set_at: datetime | None
    expected: TimeRange | None
    came: TimeRange | None
    again: Span | None
    swimming: bool = False


@in_its_language
def told(setting: Setting, one: LastTime) -> list[str]:
    """What was planned, what came of it, and which lesson it would be the next time."""
    aim = [say("Animals were to swim in the lesson already.")] if one.swimming else []
    return [_planned(setting, one), *aim, *_came(setting, one), _again(setting, one)]


@in_its_language
def next_class_lines(setting: Setting, last: Sequence[LastTime]) -> list[str]:
    """The same for whoever types commands."""
    return [line for one in last for line in (*told(setting, one), *command(one))]


def command(one: LastTime) -> list[str]:
    """What plans it anew; nothing where there is no such lesson."""
    if one.again is None:
        return []
    began, ended = (f"{at:%Y-%m-%dT%H:%M}" for at in (one.again.began, one.again.ended))
    tin = f" --lot {quote(one.tin)}" if one.tin else ""
    swim = " --swimmers" if one.swimming else ""
    return [f"naupliad plan start --for {began}/{ended} --vessel {quote(one.vessel)}{tin}{swim}"]


def _planned(setting: Setting, one: LastTime) -> str:
    now, vessel = setting.written_at, clean(one.vessel)
    lesson = f"{times.dated(one.lesson.began.date(), now.date())}, {_hours(one.lesson)}"
    if one.set_at is None:
        return say(
            "{vessel}, last time: planned for a lesson on {lesson}. In the care log nothing was set for it.",
            vessel=vessel,
            lesson=lesson,
        )
    return say(
        "{vessel}, last time: for a lesson on {lesson}, the cysts were set {when}.",
        vessel=vessel,
        lesson=lesson,
        when=times.on_moment(one.set_at, now),
    )


def _came(setting: Setting, one: LastTime) -> list[str]:
    """How what was promised compares with what came."""
    now, found = setting.written_at, []
    if one.expected is not None and one.expected.p50 is not None:
        expected = times.moment_range(one.expected, now)
        found.append(say("Half hatched, as expected when they were set: {when}.", when=expected))
    if one.came is None or one.came.p50 is None:
        return found
    found.append(
        say("Half hatched, by all that is known now: {when}.", when=times.moment_range(one.came, now))
    )
    against = _swum if one.swimming else _against_lesson
    return [*found, against(one.lesson, one.came.p50)]


def _swum(lesson: Span, half_at: datetime) -> str:
    if half_at > lesson.began:
        return say("So fewer than half of them swam as the lesson began.")
    length = times.short_length(times.elapsed(half_at, lesson.began))
    return say("That is {length} before the lesson began, as was planned: half and more swam.", length=length)


def _against_lesson(lesson: Span, half_at: datetime) -> str:
    if half_at < lesson.began:
        length = times.short_length(times.elapsed(half_at, lesson.began))
        return say("That is {length} before the lesson began.", length=length)
    if half_at > lesson.ended:
        length = times.short_length(times.elapsed(lesson.ended, half_at))
        return say("That is {length} after the lesson ended.", length=length)
    return say("That is within the lesson.")


def _again(setting: Setting, one: LastTime) -> str:
    if one.again is None:
        return say("No such lesson is to come in the next half year on a day on which somebody is there.")
    day = times.dated(one.again.began.date(), setting.written_at.date())
    return say("The next at the same hours is {lesson}.", lesson=f"{day}, {_hours(one.again)}")


def _hours(span: Span) -> str:
    return times.between(span.began, span.ended)
