"""The letter on the morning of the first day back: how everything stands, in one glance."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from reports import amounts, night, times
from reports.dilution import LEAST_ML
from reports.language import in_its_language, say
from reports.letters.blocks import Body, Caution, Facts
from reports.letters.feed import feeding_care
from reports.letters.feeding import FeedDue, portion
from reports.letters.freshness import water_read
from reports.letters.known import Fact, Known, known
from reports.letters.page import letter, subject
from reports.letters.past_alarm import in_doubt, open_alarm, past_alarms, silenced
from reports.letters.pouring import how_to_mix, is_harvested, takes_brine
from reports.letters.record import few
from reports.letters.return_first import HATCHED, Chosen, ReturnVessel, feed_lines, first_of
from reports.letters.sentences import (
    CALCULATED,
    HYGIENE,
    action,
    ending,
    name,
    names,
    place,
    readings_came,
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
    """The end of an absence: the most useful thing first, then how every vessel stands."""
    first = first_of(news.vessels)
    vessels = [Known(name(one), _facts(setting, one)) for one in news.vessels]
    due = [Facts(name(one), how_to_mix(one)) for one in news.vessels if how_to_mix(one)]
    body = Body(
        action=action(setting, first.advice),
        care=[
            *first.care,
            feeding_care() if any(one.feed for one in news.vessels) else Caution(say(HYGIENE)),
        ],
        record=_record(news, first),
        known=[*(known(vessels, say("Vessel")) if vessels else []), *due],
        aside=[_seen(setting, news)],
        ending=ending(setting),
    )
    lead = say("Back after {length}: {what}.", length=_length(news), what=first.own or first.short)
    if first.about and first.own is None:
        lead = say(
            "Back after {length}: {what} in {names}.",
            length=_length(news),
            what=first.short,
            names=names(first.about),
        )
    subject_line = subject(say("Back: {what}", what=first.short), _place(first.about), setting.station)
    return letter("return", subject_line, lead, body, setting)


def _record(news: ReturnNews, first: Chosen) -> list[str]:
    """The lines for the care log: of what comes first, and of the feeds that are due."""
    feeds = feed_lines(news.vessels)
    return [*few(first.record), *(few(feeds) if feeds != first.record else ())]


def _length(news: ReturnNews) -> str:
    return times.duration_after(times.elapsed(news.absence.leaves_at, news.absence.returns_at))


def _place(about: Sequence[ReturnVessel]) -> str:
    return place(about) if about else ""


def _facts(setting: Setting, one: ReturnVessel) -> tuple[Fact, ...]:
    now = setting.written_at
    # Of a silent probe the deed speaks, and the water's last reading says since when.
    facts = [
        replace(open_alarm(alarm, now), spare=1 if alarm.kind == "probe" else 0) for alarm in one.open_alarms
    ]
    facts += [] if one.doubt is None else [_said(say("Probe"), in_doubt(one.doubt, now))]
    facts += [_said(say("Alarm"), silenced(alarm, now)) for alarm in one.silenced]
    facts += [Fact(say("Meanwhile"), _bare(text)) for text in past_alarms(one.past_alarms, now)]
    facts += [*_pour(one), *_water(setting, one)]
    if not is_emptied(one):
        shares, cell = amounts.percent_range(one.hatched_fraction), amounts.percent(one.hatched_fraction.p50)
        facts.append(Fact(say("Hatched, of those that will"), shares, cell, say("Hatched"), spare=3))
    if is_hatch_ahead(one) and not one.hatched_fraction.p10 > HATCHED:
        facts.append(Fact(say("Half hatched"), times.moment_range(one.hatch_t50, now), spare=4))
    if one.feed is not None:
        facts.append(_feed(one.feed))
    return tuple(facts)


def _said(label: str, sentence: str) -> Fact:
    return Fact(label, _bare(sentence), _bare(sentence))


def _bare(sentence: str) -> str:
    """Without its full stop, where a line sets one."""
    return sentence.removesuffix(".")


def _feed(due: FeedDue) -> Fact:
    given = portion(due, small=False)
    look = given if due.seen else say("{portion}, if some swim", portion=given)
    return Fact(say("Feed"), look, given)


def _pour(one: ReturnVessel) -> list[Fact]:
    """In a table only: the action says it of one."""
    if one.fill_ml >= LEAST_ML:
        return [Fact(say("Pour"), None, amounts.volume(one.fill_ml))]
    return [Fact(say("Pour"), None, say("brine, see below"))] if takes_brine(one) else []


def _water(setting: Setting, one: ReturnVessel) -> list[Fact]:
    unit = setting.unit
    facts = [water_read(setting, one.water_c)]
    if one.coldest_c is not None and one.hottest_c is not None:
        low, high = amounts.temperature(one.coldest_c, unit), amounts.temperature(one.hottest_c, unit)
        away = say("{low} to {high}", low=low, high=high)
        facts.append(Fact(say("While you were away"), away, away, spare=2))
    facts.append(Fact(amounts.water_in(one.count), amounts.level_range(one.loss_ml)))
    if one.salinity_g_per_kg is not None and not is_harvested(one):
        facts.append(Fact(amounts.salt_in(), amounts.salinity_range(one.salinity_g_per_kg), spare=5))
    return facts


def _who_was_there(news: ReturnNews, now: datetime) -> list[str]:
    """Whoever recorded a deed was there."""
    if not news.deeds:
        return [say("Nobody was there since {began}.", began=times.moment(news.absence.leaves_at, now))]
    return [say("In the care log meanwhile: {deeds}.", deeds="; ".join(events(news.deeds, now)))]


def _seen(setting: Setting, news: ReturnNews) -> Facts:
    """What was seen meanwhile, and who was there; what asks for nothing can be left out."""
    came = readings_came(news.readings_good, news.readings_expected)
    known_of = news.readings_expected > 0 and news.readings_good / news.readings_expected >= night.KNOWN_SHARE
    calculated = [say(CALCULATED)] if news.vessels else []
    nobody = _who_was_there(news, setting.written_at)
    unknown = [] if known_of else [say("What happened in between is not known.")]
    off = [station_off(one, setting.written_at) for one in news.outages]
    spare = [*([came] if known_of else []), *(nobody if not news.deeds else []), *calculated]
    return Facts("", (*calculated, *nobody, came, *unknown, *off), tuple(spare))
