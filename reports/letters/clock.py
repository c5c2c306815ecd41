"""The clock letter: the station's clock is not sure, or was put right."""

from datetime import datetime, timedelta

from reports import times
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.blocks import Action, Body, Facts
from reports.letters.page import letter, subject
from reports.letters.sentences import ASK_ABOUT_STATION, action, ending, nobody_must_come
from reports.records import ClockTrouble, LetterText, Setting

_PUT_FORWARD = to_say(
    "The clock was wrong from {when} on, and was put forward by {length}. Hours in this letter are right."
)
_PUT_BACK = to_say(
    "The clock was wrong from {when} on, and was put back by {length}. Hours in this letter are right."
)
_WAS_BEHIND = to_say("The clock of {station} was {step} behind and has been put right.")
_WAS_AHEAD = to_say("The clock of {station} was {step} ahead and has been put right.")
# A clock without a battery may wake decades behind; more is not worth saying to the hour.
_LONGEST_S = 100 * 366 * 86_400


@in_its_language
def clock_letter(setting: Setting, trouble: ClockTrouble) -> LetterText:
    """A clock that is not known to be right, or that was put right by a step."""
    right = trouble.step_s is not None
    facts = _facts(setting, trouble)
    body = Body(
        _advice(setting, right),
        besides=() if right else nobody_must_come(setting, ASK_ABOUT_STATION),
        known=[Facts(say("The station's clock"), facts)] if facts else (),
        means=(
            say(
                "This changes nothing in the vessels, and the temperatures are right. But the times of "
                "letters, lamp hours and deeds may be wrong for that while."
            ),
        ),
        ending=ending(setting),
    )
    short, lead = _said(setting, trouble)
    return letter("clock", subject(short, "", setting.station), lead, body, setting)


def _said(setting: Setting, trouble: ClockTrouble) -> tuple[str, str]:
    """What it is, for the subject and as the lead."""
    if trouble.step_s is None:
        moment = times.moment(trouble.since, setting.written_at)
        return say("Clock not sure since {when}", when=times.short_moment(trouble.since)), say(
            "The clock of {station} is not known to be right, since {when}.",
            station=setting.station,
            when=moment,
        )
    step = _length(trouble.step_s)
    lead = _WAS_BEHIND if trouble.step_s > 0 else _WAS_AHEAD
    return say("Clock was wrong by {step}", step=step), say(lead, station=setting.station, step=step)


def _length(step_s: int) -> str:
    if abs(step_s) < 60:
        return say_many("{count} second", "{count} seconds", abs(step_s))
    return times.duration(timedelta(seconds=min(abs(step_s), _LONGEST_S)))


def put_right(trouble: ClockTrouble, now: datetime) -> str:
    """One line for a letter about more than the clock."""
    sentence = _PUT_FORWARD if (trouble.step_s or 0) > 0 else _PUT_BACK
    return say(sentence, when=times.moment(trouble.since, now), length=_length(trouble.step_s or 0))


def _facts(setting: Setting, trouble: ClockTrouble) -> tuple[str, ...]:
    lines = []
    if trouble.step_s is not None:
        when = times.moment(trouble.since, setting.written_at)
        lines.append(say("Not sure from {when} on, until it was put right.", when=when))
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
            "look in the care log whether the deeds of that time have the right time. Correct what has not."
        )
    else:
        advice = say(
            "look, with dry hands, whether the station's network works: it takes the time from there."
        )
    return action(setting, advice)
