"""The letter on the morning of the first day back: how everything stands, in one glance."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, night, times, words
from reports.dilution import LEAST_ML
from reports.language import in_its_language, say, say_in
from reports.letters.freshness import water_read
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.past_alarm import past_alarm
from reports.letters.pouring import (
    POUR_BRINE,
    due_lines,
    end_or_go_on,
    is_harvested,
    own_amounts,
    takes_brine,
)
from reports.letters.sentences import (
    CALCULATED,
    HYGIENE,
    action,
    alarms_open,
    into_each,
    name,
    names,
    next_letter,
    place,
    pour_short,
    poured_into_each,
    readings_came,
    silence,
    silenced,
    station_off,
)
from reports.letters.vessel_kinds import look_into
from reports.letters.vessel_night import events
from reports.records import (
    Absence,
    BrineDue,
    Event,
    LetterText,
    Measured,
    PastAlarm,
    Range,
    Setting,
    SilencedAlarm,
    Span,
    TimeRange,
)

# From here on somebody who looks most likely sees swimmers, or sees that nearly all have hatched.
_SWIMMERS, _HATCHED = 0.05, 0.9


@dataclass(frozen=True, slots=True)
class ReturnVessel:
    """How a vessel stands when somebody comes back, and what happened to it meanwhile.

    `fill_ml` is plain water up to the mark, a cup, or `brine` what is due in its place; `feed` says that a
    feed is due; `seen` is the share of the hatch that somebody last saw (None: nobody looked).
    """

    vessel: str
    count: int
    water_c: Measured | None
    coldest_c: float | None
    hottest_c: float | None
    loss_ml: Range
    salinity_g_per_kg: Range | None
    fill_ml: float
    hatched_fraction: Range
    hatch_t50: TimeRange
    open_alarms: tuple[Event, ...]
    past_alarms: tuple[PastAlarm, ...]
    feed: bool
    vessel_kind: str
    seen: float | None = None
    brine: BrineDue | None = None
    silenced: tuple[SilencedAlarm, ...] = ()


@dataclass(frozen=True, slots=True)
class ReturnNews:
    """The end of an absence: who stands how, what was not seen, and what was recorded meanwhile (`deeds`)."""

    absence: Absence
    vessels: tuple[ReturnVessel, ...]
    deeds: tuple[Event, ...]
    outages: tuple[Span, ...]
    readings_expected: int
    readings_good: int


_Chosen = tuple[str, Sequence[ReturnVessel], str]


@in_its_language
def return_letter(setting: Setting, news: ReturnNews) -> LetterText:
    """The end of an absence: the most useful thing first, then a block for each vessel."""
    chosen = _first(news.vessels)
    short, about, advice = chosen
    blocks: list[Block] = [
        action(setting, advice),
        Heading(say("How they stand")),
        *(Facts(name(one), _facts(setting, one)) for one in news.vessels),
        *([Paragraph(say(CALCULATED))] if news.vessels else []),
        Heading(say("What was seen")),
        Facts("", _seen(setting, news)),
        Caution(say(HYGIENE)),
        next_letter(setting),
        silence(setting),
    ]
    lead = say("Back after {length}: {what}.", length=_length(news), what=short)
    own = own_amounts([one.fill_ml for one in about], about) if chosen == _fill(news.vessels) else None
    if own is not None:
        lead = say("Back after {length}: {what}.", length=_length(news), what=own)
    elif about:
        lead = say(
            "Back after {length}: {what} in {names}.", length=_length(news), what=short, names=names(about)
        )
    return letter(
        "return",
        subject(say("Back: {what}", what=short), _place(about), setting.station),
        lead,
        blocks,
        setting,
    )


def _length(news: ReturnNews) -> str:
    return times.duration_after(times.elapsed(news.absence.leaves_at, news.absence.returns_at))


def _place(about: Sequence[ReturnVessel]) -> str:
    return place(about) if about else ""


def _first(vessels: Sequence[ReturnVessel]) -> _Chosen:
    """What to do first: in a few words, about which vessels, and in a sentence."""
    choices: tuple[Callable[[Sequence[ReturnVessel]], _Chosen | None], ...] = (
        _heat,
        _fill,
        _brine,
        _harvested,
        _other_alarms,
        _swimmers,
        _feed,
    )
    for choice in choices:
        chosen = choice(vessels)
        if chosen is not None:
            return chosen
    return (
        say("nothing urgent"),
        (),
        say(
            "look into {where} once, with light from the side, and tell the care log what you see.",
            where=look_into(vessels) if vessels else say_in("look into", "each vessel"),
        ),
    )


def _heat(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    hot = [one for one in vessels if any(alarm.kind == "hot" for alarm in one.open_alarms)]
    advice = say(
        "look, with dry hands, whether the sun or a lamp makes the water hot, and take that "
        "away. Do not add ice."
    )
    return (say("too warm"), hot, advice) if hot else None


def _fill(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    dry = [one for one in vessels if one.fill_ml >= LEAST_ML]
    if not dry:
        return None
    advice = say(
        "pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell the care log.",
        pour=words.joined([poured_into_each(one.fill_ml, one) for one in dry]),
    )
    return pour_short([one.fill_ml for one in dry], dry), dry, advice


def _brine(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    fresh = [one for one in vessels if takes_brine(one)]
    return (say("pour brine"), fresh, say(POUR_BRINE)) if fresh else None


def _harvested(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    drawn = [one for one in vessels if is_harvested(one)]
    return (say("end or fill up the batch"), drawn, end_or_go_on(drawn)) if drawn else None


def _other_alarms(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    troubled = [one for one in vessels if one.open_alarms]
    if not troubled:
        return None
    count = night.alarm_count((one.vessel, alarm) for one in troubled for alarm in one.open_alarms)
    alarms = alarms_open(count)
    return (
        alarms,
        troubled,
        say("look first at {names}: what is not well there is told below.", names=names(troubled)),
    )


def _swimmers(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    due = [one for one in vessels if one.hatched_fraction.p50 >= _SWIMMERS and not one.feed]
    new = [one for one in due if one.seen is None or one.seen < _HATCHED]
    if not new:
        return None
    share = amounts.about_percent(max(one.hatched_fraction.p50 for one in new))
    advice = say("look for swimmers with light from the side, and tell the care log what you see.")
    return say("{share} hatched", share=share), new, advice


def _feed(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    hungry = [one for one in vessels if one.feed]
    advice = say(
        "if you can see through the water, give a pinch of food to {where}. If it is cloudy, do not feed.",
        where=words.joined([into_each(one) for one in hungry]),
    )
    return (say("feed a pinch"), hungry, advice) if hungry else None


def _facts(setting: Setting, one: ReturnVessel) -> tuple[str, ...]:
    now = setting.written_at
    lines = [
        say("Not well: {text}, since {when}.", text=words.clean(alarm.text), when=times.moment(alarm.at, now))
        for alarm in one.open_alarms
    ]
    lines += [silenced(alarm, now) for alarm in one.silenced]
    lines += [say("Meanwhile: {text}", text=past_alarm(past, now)) for past in one.past_alarms]
    lines += [*_water(setting, one), *due_lines(one)]
    lines += [say("Hatched, of those that will: {share}.", share=amounts.percent_range(one.hatched_fraction))]
    if not one.hatched_fraction.p10 > _HATCHED:
        lines.append(say("Half hatched: {when}.", when=times.moment_range(one.hatch_t50, now)))
    if one.feed:
        lines.append(say("A feed is due: a pinch, only if the water is clear."))
    return tuple(lines)


def _water(setting: Setting, one: ReturnVessel) -> list[str]:
    unit = setting.unit
    lines = [water_read(setting, one.water_c)]
    if one.coldest_c is not None and one.hottest_c is not None:
        low, high = amounts.temperature(one.coldest_c, unit), amounts.temperature(one.hottest_c, unit)
        lines.append(say("While you were away: from {low} to {high}.", low=low, high=high))
    lines.append(
        say(
            "Water in {where}: {level}.",
            where=words.in_each(one.count),
            level=amounts.level_range(one.loss_ml),
        )
    )
    if one.salinity_g_per_kg is not None and not is_harvested(one):
        lines.append(say("Salt: {salt}.", salt=amounts.salinity_range(one.salinity_g_per_kg)))
    return lines


def _who_was_there(news: ReturnNews, began: str, ended: str, now: datetime) -> str:
    """Whoever recorded a deed was there."""
    if not news.deeds:
        return say("Nobody was there from {began} to {ended}.", began=began, ended=ended)
    return say(
        "Not attended from {began} to {ended}; recorded meanwhile: {deeds}.",
        began=began,
        ended=ended,
        deeds="; ".join(events(news.deeds, now)),
    )


def _seen(setting: Setting, news: ReturnNews) -> tuple[str, ...]:
    now, away = setting.written_at, news.absence
    lines = [_who_was_there(news, times.moment(away.leaves_at, now), times.moment(away.returns_at, now), now)]
    lines.append(readings_came(news.readings_good, news.readings_expected))
    if news.readings_expected > 0 and news.readings_good / news.readings_expected < night.KNOWN_SHARE:
        lines.append(say("What happened in between is not known."))
    return (*lines, *(station_off(off, now) for off in news.outages))
