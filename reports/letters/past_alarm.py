"""Trouble that stands, doubt that does, and trouble that came and went, in a sentence each."""

from datetime import datetime

from reports import times, words
from reports.language import say, to_say
from reports.records import Event, PastAlarm

_SINCE = {
    "over": to_say("{text}, from {began} to {ended}. Over now."),
    "again": to_say("{text}, from {began} to {ended}; past the limit again now."),
    "unjudged": to_say("{text}, from {began} to {ended}; not judged since then."),
}


def open_alarm(alarm: Event, now: datetime) -> str:
    """What it is, and since when."""
    return say(
        "Not well: {text}, since {when}.", text=words.clean(alarm.text), when=times.moment(alarm.at, now)
    )


def past_alarm(past: PastAlarm, now: datetime) -> str:
    """What it was, from when to when, and how it stands since."""
    return say(
        _SINCE[past.afterwards],
        text=words.clean(past.text),
        began=times.moment(past.span.began, now),
        ended=times.moment(past.span.ended, now),
    )


def in_doubt(doubt: Event, now: datetime) -> str:
    """What is strange about a probe that is still believed."""
    return say(
        "The probe {probe}: {text}, since {when}. Its readings still count.",
        probe=words.clean(doubt.kind),
        text=doubt.text,
        when=times.moment(doubt.at, now),
    )
