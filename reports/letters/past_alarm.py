"""Alarms that stand, that came and went, that somebody silenced, and doubts about probes: a sentence each."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from reports import times, words
from reports.language import say, to_say
from reports.letters.known import Fact
from reports.records import Event, PastAlarm, SilencedAlarm, Span

_SINCE = {
    "over": to_say("{text}, {span}. Over now."),
    "again": to_say("{text}, {span}; past the limit again now."),
    "unjudged": to_say("{text}, {span}; not judged since then."),
}
_SILENCED = {
    (False, False): to_say("Silenced until somebody takes it back: {alarm}. Look yourself."),
    (False, True): to_say("Silenced until {until}: {alarm}. Look yourself."),
    (True, False): to_say("Silenced by {who} until somebody takes it back: {alarm}. Look yourself."),
    (True, True): to_say("Silenced by {who} until {until}: {alarm}. Look yourself."),
}
_AT_TIMES = {
    "over": to_say("{text}, at times {span}. Over now."),
    "again": to_say("{text}, at times {span}; past the limit again now."),
    "unjudged": to_say("{text}, at times {span}; not judged since then."),
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
        span=times.short_span(past.span, now),
    )


def past_alarms(alarms: Sequence[PastAlarm], now: datetime) -> list[str]:
    """Each of them in a sentence, those that say the same in one."""
    alike: dict[tuple[str, str, str], list[PastAlarm]] = {}
    for alarm in alarms:
        alike.setdefault((alarm.kind, alarm.text, alarm.afterwards), []).append(alarm)
    return [_past_alike(ones, now) for ones in alike.values()]


def _past_alike(alarms: Sequence[PastAlarm], now: datetime) -> str:
    began = min((alarm.span.began for alarm in alarms), key=datetime.timestamp)
    ended = max((alarm.span.ended for alarm in alarms), key=datetime.timestamp)
    whole = replace(alarms[0], text=words.begun(alarms[0].text), span=Span(began, ended))
    return past_alarm(whole, now, at_times=len({alarm.span for alarm in alarms}) > 1)


def in_doubt(doubt: Event, now: datetime) -> str:
    """What is strange about a probe that is still believed."""
    return say(
        "The probe {probe}: {text}. Seen since {when}; its readings still count.",
        probe=words.clean(doubt.kind),
        text=words.begun(doubt.text),
        when=times.moment(doubt.at, now),
    )


def silenced(alarm: SilencedAlarm, now: datetime) -> str:
    """An alarm that somebody put aside: until when, and who did, where that is known."""
    values = {"alarm": alarm.text}
    if alarm.by is not None:
        values["who"] = words.clean(alarm.by)
    if alarm.until is not None:
        values["until"] = times.moment(alarm.until, now)
    return say(_SILENCED["who" in values, "until" in values], **values)
