"""Alarms on the page: those that stand, those that somebody silenced, and until when one may be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say, say_many, spoken
from reports.letters.known import listed
from reports.letters.past_alarm import silenced
from reports.page.alarms import name_of_alarm
from reports.records import Setting, SilencedAlarm

# Above this no silence keeps a letter back (`urgent` of the daemon's alarms).
_URGENT_C = 33.0


@dataclass(frozen=True, slots=True)
class AlarmStand:
    """An alarm that stands; `vessel` is its id (empty: the station's own), `condition` what it is about."""

    vessel: str
    condition: str
    text: str
    since: datetime


@dataclass(frozen=True, slots=True)
class AlarmsNow:
    """All of a station's: that stand, that are silenced (each with its vessel), how many are over and were
    seen by nobody, whether any can be marked as seen, and until when all letters wait (None: they go)."""

    standing: tuple[AlarmStand, ...]
    silenced: tuple[tuple[str, SilencedAlarm], ...]
    over: int
    unseen: bool
    quiet_until: datetime | None


@dataclass(frozen=True, slots=True)
class AlarmLine:
    """Alarms that are alike in a line; `keys` are what a form calls them."""

    keys: tuple[str, ...]
    line: str


@in_its_language
def standing_lines(setting: Setting, now: AlarmsNow) -> list[AlarmLine]:
    """Those that stand, alike ones together."""
    return _alike(
        (
            one.condition,
            one.vessel,
            say(
                "{text}, since {when}.",
                text=words.begun(words.clean(one.text)),
                when=times.moment(one.since, setting.written_at),
            ),
        )
        for one in now.standing
    )


@in_its_language
def silenced_lines(setting: Setting, now: AlarmsNow) -> list[AlarmLine]:
    """Those that somebody put off, alike ones together."""
    return _alike(
        (one.kind, vessel, words.begun(silenced(one, setting.written_at))) for vessel, one in now.silenced
    )


def _alike(alarms: Iterable[tuple[str, str, str]]) -> list[AlarmLine]:
    """A line for all of a condition of which the same is said: condition, vessel and words of each."""
    groups: dict[tuple[str, str], list[str]] = {}
    for condition, vessel, text in alarms:
        groups.setdefault((condition, text), []).append(vessel)
    return [
        AlarmLine(
            tuple(key(condition, vessel) for vessel in vessels),
            say("{where}: {text}", where=_where(listed(vessels)), text=text),
        )
        for (condition, text), vessels in groups.items()
    ]


def over_line(language: str, now: AlarmsNow) -> str:
    """How many came and went unseen; empty where none did."""
    with spoken(language):
        return (
            ""
            if not now.over
            else say_many(
                "{count} alarm is over, and nobody has marked it as seen.",
                "{count} alarms are over, and nobody has marked them as seen.",
                now.over,
            )
        )


@in_its_language
def quiet_line(setting: Setting, now: AlarmsNow) -> str:
    """Whether letters go."""
    if now.quiet_until is None:
        return say("Letters go as usual.")
    when = times.moment(now.quiet_until, setting.written_at)
    hot = amounts.both_units(_URGENT_C, setting.unit)
    return say("No letters until {when}, but for water above {hot}.", when=when, hot=hot)


@in_its_language
def ends(setting: Setting, moments: Sequence[datetime]) -> list[tuple[int, str]]:
    """Until when something may be put off: Unix seconds, and in words."""
    return [
        (int(at.timestamp()), say("until {when}", when=times.moment(at, setting.written_at)))
        for at in moments
    ]


def alarm_names(language: str, known: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Every alarm there can be, by condition and vessel: what a form calls it, and its name."""
    with spoken(language):
        return [
            (
                key(condition, vessel),
                say("{where}: {text}", where=_where(vessel), text=name_of_alarm(condition)),
            )
            for condition, vessel in known
        ]


def key(condition: str, vessel: str) -> str:
    """What a form calls an alarm."""
    return f"{condition}:{vessel}"


def _where(vessel: str) -> str:
    return words.clean(vessel) or say("The station")
