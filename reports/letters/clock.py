"""The clock letter: the station's clock is not sure, or was put right."""

from datetime import datetime, timedelta

from reports import times
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_STATION,
    action,
    next_letter,
    nobody_must_come,
    since,
)
from reports.records import ClockTrouble, LetterText, Setting

_PUT_FORWARD = to_say(
    "The station's clock was wrong from {when} on, and was put forward by {length}. The hours in this letter "
    "are the right ones."
)
_PUT_BACK = to_say(
    "The station's clock was wrong from {when} on, and was put back by {length}. The hours in this letter "
    "are the right ones."
)
_FORWARD = to_say("Put forward by {length}.")
_BACK = to_say("Put back by {length}.")
# A clock without a battery may wake decades behind; more is not worth saying to the hour.
_LONGEST_S = 100 * 366 * 86_400


@in_its_language
def clock_letter(setting: Setting, trouble: ClockTrouble) -> LetterText:
    """A clock that is not known to be right, or that was put right by a step."""
    right = trouble.step_s is not None
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station's clock"), _facts(setting, trouble)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "This changes nothing in the vessels. But times told in letters, lamp hours and the hours "
                "of letters all come from the clock, so they may be wrong for that while. How warm the "
                "water was is not in doubt."
            )
        ),
        _advice(setting, right),
        *(() if right else nobody_must_come(setting, ASK_ABOUT_STATION)),
        next_letter(setting),
    ]
    moment = times.moment(trouble.since, setting.written_at)
    if trouble.step_s is None:
        lead = say(
            "The clock of {station} is not known to be right, since {when}.",
            station=setting.station,
            when=moment,
        )
        short = say("Clock not sure since {when}", when=times.short_moment(trouble.since))
    else:
        step = _length(trouble.step_s)
        lead = say(
            "The clock of {station} was wrong by {step} and has been put right.",
            station=setting.station,
            step=step,
        )
        short = say("Clock was wrong by {step}", step=step)
    return letter("clock", subject(short, "", setting.station), lead, blocks, setting)


def _length(step_s: int) -> str:
    if abs(step_s) < 60:
        return say_many("{count} second", "{count} seconds", abs(step_s))
    return times.duration(timedelta(seconds=min(abs(step_s), _LONGEST_S)))


def put_right(trouble: ClockTrouble, now: datetime) -> str:
    """One line for a letter about more than the clock."""
    sentence = _PUT_FORWARD if (trouble.step_s or 0) > 0 else _PUT_BACK
    return say(sentence, when=times.moment(trouble.since, now), length=_length(trouble.step_s or 0))


def _facts(setting: Setting, trouble: ClockTrouble) -> tuple[str, ...]:
    lines = [say("Not sure since {since}.", since=since(trouble.since, setting.written_at))]
    if trouble.step_s is not None:
        lines = [
            say(
                "Not sure from {when} on, until it was put right.",
                when=times.moment(trouble.since, setting.written_at),
            ),
            say(_FORWARD if trouble.step_s > 0 else _BACK, length=_length(trouble.step_s)),
        ]
    if trouble.restamped > 0:
        lines.append(
            say_many(
                "{count} reading from that time got the right time afterwards.",
                "{count} readings from that time got the right time afterwards.",
                trouble.restamped,
            )
        )
    return tuple(lines)


def _advice(setting: Setting, right: bool) -> Action:
    if right:
        advice = say(
            "look in the care log whether what was told in that time has the right time, and correct "
            "what has not."
        )
    else:
        advice = say(
            "look, with dry hands, whether the station's network works: it takes the time from there."
        )
    return action(setting, advice)
