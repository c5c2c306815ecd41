"""Trouble that stands, that came and went, that somebody silenced, and doubt, in a sentence each."""

from datetime import datetime

from reports import times, words
from reports.language import say, to_say
from reports.letters.known import Fact
from reports.records import Event, PastAlarm, SilencedAlarm

_SINCE = {
    "over": to_say("{text}, from {began} to {ended}. Over now."),
    "again": to_say("{text}, from {began} to {ended}; past the limit again now."),
    "unjudged": to_say("{text}, from {began} to {ended}; not judged since then."),
}
_AT_TIMES = {
    "over": to_say("{text}, at times from {began} to {ended}. Over now."),
    "again": to_say("{text}, at times from {began} to {ended}; past the limit again now."),
    "unjudged": to_say("{text}, at times from {began} to {ended}; not judged since then."),
}


def open_alarm(alarm: Event, now: datetime) -> Fact:
    """What it is, and since when."""
    text = words.clean(alarm.text)
    value = say("{text}, since {when}", text=words.begun(text), when=times.moment(alarm.at, now))
    return Fact(say("Alarm"), value, text)


def past_alarm(past: PastAlarm, now: datetime, *, at_times: bool = False) -> str:
    """What it was, from when to when (or `at_times` between these), and how it stands since."""
    return say(
        (_AT_TIMES if at_times else _SINCE)[past.afterwards],
        text=words.clean(past.text),
        began=times.moment(past.span.began, now),
        ended=times.moment(past.span.ended, now),
    )


def in_doubt(doubt: Event, now: datetime) -> str:
    """What is strange about a probe that is still believed."""
    return say(
        "The probe {probe}: {text}, since {when}. Its readings still count.",
        probe=words.clean(doubt.kind),
        text=words.begun(doubt.text),
        when=times.moment(doubt.at, now),
    )


def silenced(alarm: SilencedAlarm, now: datetime) -> str:
    """An alarm that somebody put aside: who, where that is known, until when, and since when."""
    since = times.moment(alarm.since, now)
    who = None if alarm.by is None else words.clean(alarm.by)
    if alarm.until is None:
        if who is None:
            return say(
                "Silenced: {alarm}, out of service since {since} until somebody takes it back. Look "
                "yourself.",
                alarm=alarm.text,
                since=since,
            )
        return say(
            "Silenced by {who}: {alarm}, out of service since {since} until somebody takes it back. Look "
            "yourself.",
            who=who,
            alarm=alarm.text,
            since=since,
        )
    until = times.moment(alarm.until, now)
    if who is None:
        return say(
            "Silenced: {alarm}, put aside {since} until {until}. Look yourself.",
            alarm=alarm.text,
            since=since,
            until=until,
        )
    return say(
        "Silenced by {who}: {alarm}, put aside {since} until {until}. Look yourself.",
        who=who,
        alarm=alarm.text,
        since=since,
        until=until,
    )
