"""The letter on the morning of the first day back: how everything stands, in one glance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, night, times, words
from reports.language import in_its_language, say
from reports.letters.feed import feeding_care
from reports.letters.feeding import feed_lines
from reports.letters.freshness import water_read
from reports.letters.page import Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.past_alarm import in_doubt, open_alarm, past_alarm, silenced
from reports.letters.pouring import due_lines, is_harvested
from reports.letters.return_first import HATCHED, ReturnVessel, first_of
from reports.letters.sentences import (
    CALCULATED,
    HYGIENE,
    action,
    name,
    names,
    next_letter,
    place,
    readings_came,
    silence,
    station_off,
)
from reports.letters.stages import is_emptied, is_hatch_ahead
from reports.letters.vessel_night import events
from reports.records import (
    Absence,
    Event,
    LetterText,
    Setting,
    Span,
)


@dataclass(frozen=True, slots=True)
class ReturnNews:
    """The end of an absence: who stands how, what was not seen, and what was recorded meanwhile (`deeds`)."""

    absence: Absence
    vessels: tuple[ReturnVessel, ...]
    deeds: tuple[Event, ...]
    outages: tuple[Span, ...]
    readings_expected: int
    readings_good: int


@in_its_language
def return_letter(setting: Setting, news: ReturnNews) -> LetterText:
    """The end of an absence: the most useful thing first, then a block for each vessel."""
    first = first_of(news.vessels)
    blocks: list[Block] = [
        action(setting, first.advice),
        Heading(say("How they stand")),
        *(Facts(name(one), _facts(setting, one)) for one in news.vessels),
        *([Paragraph(say(CALCULATED))] if news.vessels else []),
        Heading(say("What was seen")),
        Facts("", _seen(setting, news)),
        *first.care,
        feeding_care() if any(one.feed for one in news.vessels) else Caution(say(HYGIENE)),
        next_letter(setting),
        silence(setting),
    ]
    lead = say("Back after {length}: {what}.", length=_length(news), what=first.own or first.short)
    if first.about and first.own is None:
        lead = say(
            "Back after {length}: {what} in {names}.",
            length=_length(news),
            what=first.short,
            names=names(first.about),
        )
    return letter(
        "return",
        subject(say("Back: {what}", what=first.short), _place(first.about), setting.station),
        lead,
        blocks,
        setting,
    )


def _length(news: ReturnNews) -> str:
    return times.duration_after(times.elapsed(news.absence.leaves_at, news.absence.returns_at))


def _place(about: Sequence[ReturnVessel]) -> str:
    return place(about) if about else ""


def _facts(setting: Setting, one: ReturnVessel) -> tuple[str, ...]:
    now = setting.written_at
    lines = [open_alarm(alarm, now) for alarm in one.open_alarms]
    lines += [] if one.doubt is None else [in_doubt(one.doubt, now)]
    lines += [silenced(alarm, now) for alarm in one.silenced]
    lines += [say("Meanwhile: {text}", text=words.begun(past_alarm(past, now))) for past in one.past_alarms]
    lines += [*_water(setting, one), *due_lines(one)]
    if not is_emptied(one):
        share = amounts.percent_range(one.hatched_fraction)
        lines.append(say("Hatched, of those that will: {share}.", share=share))
    if is_hatch_ahead(one) and not one.hatched_fraction.p10 > HATCHED:
        lines.append(say("Half hatched: {when}.", when=times.moment_range(one.hatch_t50, now)))
    if one.feed is not None:
        lines.extend(feed_lines(one.feed, small=False))
    return tuple(lines)


def _water(setting: Setting, one: ReturnVessel) -> list[str]:
    unit = setting.unit
    lines = [water_read(setting, one.water_c)]
    if one.coldest_c is not None and one.hottest_c is not None:
        low, high = amounts.temperature(one.coldest_c, unit), amounts.temperature(one.hottest_c, unit)
        lines.append(say("While you were away: from {low} to {high}.", low=low, high=high))
    lines.append(amounts.water_stands(one.loss_ml, one.count))
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
