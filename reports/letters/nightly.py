"""The nightly letter: the last day and night in words, complete without its chart."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from reports import amounts, night, times, words
from reports.chart.alt_text import alt_text
from reports.language import in_its_language, say
from reports.letters.clock import put_right
from reports.letters.heaters import heated, pouring_care, unplugged_for
from reports.letters.night_findings import (
    by_vessel,
    findings,
    is_salt_off,
    is_to_fill,
    likely_cold,
    likely_hot,
    over_brim,
    warnings,
    was_cold,
    was_hot,
)
from reports.letters.page import Action, Block, Facts, Paragraph, Picture, letter, subject
from reports.letters.past_alarm import in_doubt, past_alarm, silenced
from reports.letters.pouring import end_or_go_on, fill_advice, is_harvested
from reports.letters.remedies import Advice, against_trouble
from reports.letters.sentences import (
    CALCULATED,
    WIDE,
    action,
    mains,
    next_letter,
    readings_came,
    silence,
    station_off,
)
from reports.letters.vessel_night import events, title, vessel_facts
from reports.records import LetterText, NightRecord, Setting, VesselNight

CHART_CID = "night-chart@naupliad"
# The subject has room for temperatures beside a finding of so many letters.
_VALUES_BESIDE = 21


@in_its_language
def nightly_letter(setting: Setting, record: NightRecord, with_chart: bool) -> LetterText:
    """The night's letter; with the chart it shows the picture whose Content-ID is `CHART_CID`."""
    now = setting.written_at
    chart: list[Block] = [Picture(CHART_CID, alt_text(record))] if with_chart else []
    blocks: list[Block] = [
        *_unknown(record, now),
        *_to_do(setting, record),
        *chart,
        *(Facts(title(vessel, now), vessel_facts(setting, record, vessel)) for vessel in record.vessels),
        *([Paragraph(say(CALCULATED))] if _any_batch(record) else []),
        *([Paragraph(say(WIDE))] if any(_wide(vessel) for vessel in record.vessels) else []),
        Facts(say("Letters sent"), tuple(events(record.letters, now)) or (say("No letters in this time."),)),
        Facts(
            say("The station"),
            (
                readings_came(record.readings_good, record.readings_expected),
                *(station_off(off, now) for off in record.outages),
            ),
        ),
        next_letter(setting),
        silence(setting),
    ]
    lead = f"{times.short_day(record.span.ended)}: {words.joined(findings(setting, record))}."
    return letter("nightly", _subject(setting, record), lead, blocks, setting)


def _any_batch(record: NightRecord) -> bool:
    return any(vessel.batch_set_at is not None for vessel in record.vessels)


def _wide(vessel: VesselNight) -> bool:
    return vessel.batch_set_at is not None and bool(vessel.loss_ml) and vessel.learned_top_ups == 0


def _subject(setting: Setting, record: NightRecord) -> str:
    found = findings(setting, record)
    short = found[0] if len(found) == 1 else say("{found} and more", found=found[0])
    values = [seen for vessel in record.vessels if (seen := night.extremes(vessel.water_c)) is not None]
    if values and len(short) <= _VALUES_BESIDE:
        low = min(seen.coldest.value or 0.0 for seen in values)
        high = max(seen.warmest.value or 0.0 for seen in values)
        short = say(
            "{found}, {low} to {high}",
            found=short,
            low=amounts.number(amounts.in_unit(low, record.unit), 1),
            high=amounts.temperature(high, record.unit),
        )
    return subject(f"{times.short_day(record.span.ended)}: {short}", "", record.station)


def _unknown(record: NightRecord, now: datetime) -> list[Block]:
    """What is not known of the night, where "all well" was not earned."""
    lines = [
        say(
            "{vessel}: {text}, since {when}. Still open.",
            vessel=names,
            text=words.begun(event.text),
            when=times.moment(event.at, now),
        )
        for names, event in by_vessel(record, lambda vessel: vessel.open_alarms)
    ]
    lines += [
        say("{vessel}: {text}", vessel=words.clean(vessel.vessel), text=silenced(alarm, now))
        for vessel in record.vessels
        for alarm in vessel.silenced
    ]
    lines += [
        say("{vessel}: {text}", vessel=names, text=words.begun(past_alarm(past, now)))
        for names, past in by_vessel(record, lambda vessel: vessel.past_alarms)
    ]
    lines += [in_doubt(doubt, now) for doubt in record.doubts]
    if night.share_read(record) < night.KNOWN_SHARE:
        lines.append(
            " ".join(
                [
                    readings_came(record.readings_good, record.readings_expected),
                    say("What happened in between is not known."),
                ]
            )
        )
    blind = [words.clean(vessel.vessel) for vessel in night.blind_vessels(record)]
    if blind:
        lines.append(
            say(
                "The water of {names} was not read all the time, so this is not the whole story.",
                names=words.joined(blind),
            )
        )
    if not record.clock_sure:
        lines.append(
            say("The station's clock was not known to be right, so the hours in this letter may be wrong.")
        )
    if record.clock_put_right is not None:
        lines.append(put_right(record.clock_put_right, now))
    lines.extend(station_off(off, now) for off in record.outages)
    return [Facts(say("What is not well, or not known"), tuple(lines))] if lines else []


def _to_do(setting: Setting, record: NightRecord) -> list[Block]:
    advice = _advice(setting, record)
    if advice is not None:
        return [action(setting, advice.what), *advice.care]
    if warnings(record) or any(was_cold(vessel) or was_hot(vessel) for vessel in record.vessels):
        return [Action(say("nothing now. What was not well is over, as far as the station can see."))]
    if not any(vessel.watched for vessel in record.vessels):
        return [Action(say("nothing. Nothing is set, and nothing is watched until something is."))]
    return [Action(say("nothing. All is well as far as the station can see."))]


def _advice(setting: Setting, record: NightRecord) -> Advice | None:
    """The one thing to do, the most pressing first; None where there is none."""
    if troubled := [words.clean(vessel.vessel) for vessel in record.vessels if vessel.open_alarms]:
        return against_trouble(record, troubled)
    if (look := _to_look_at(record)) is not None:
        return Advice(look)
    if thirsty := [one for one in record.vessels if is_to_fill(setting, one)]:
        return Advice(unplugged_for(fill_advice(thirsty), thirsty), pouring_care(thirsty))
    if (coming := _coming(setting, record)) is not None:
        return Advice(coming)
    if drawn := [vessel for vessel in record.vessels if is_harvested(vessel)]:
        return Advice(end_or_go_on(drawn), [mains()] if heated(drawn) else ())
    if setting.also:
        return Advice(say('read what stands under "Also" at the end of this letter.'))
    return None


def _to_look_at(record: NightRecord) -> str | None:
    """What to look at before anything is poured."""
    if names := _names(record, lambda vessel: bool(vessel.silenced)):
        return say("look at {names} yourself: an alarm is silenced there.", names=names)
    if not record.clock_sure and night.is_known(replace(record, clock_sure=True)):
        return say("look, with dry hands, whether the station's network works: it takes the time from there.")
    if not night.is_known(record):
        return say("look, with dry hands, whether the station's power and the probes' cables are firm.")
    if names := _names(record, over_brim):
        return say("look first at {names}: the water may stand higher than it safely may.", names=names)
    if names := _names(record, is_salt_off):
        return say("look first at {names}: measure the salt, and tell the care log.", names=names)
    return None


def _coming(setting: Setting, record: NightRecord) -> str | None:
    """What to do about cold or heat to come."""
    if names := _names(record, likely_cold):
        return _before_or_after(
            setting,
            say("look first at {names}: the coming night is likely to be too cold for it.", names=names),
            say(
                "look first how cold it became in {names}: cold is likely before you are there.", names=names
            ),
        )
    if names := _names(record, likely_hot):
        return _before_or_after(
            setting,
            say("look first at {names}: the coming hours are likely to be too warm for it.", names=names),
            say(
                "look first how warm it became in {names}: heat is likely before you are there.", names=names
            ),
        )
    return None


def _before_or_after(setting: Setting, before: str, after: str) -> str:
    """What to do about what is to come: while somebody is there before it, or when they are back after it."""
    return before if setting.attended_now else after


def _names(record: NightRecord, holds: Callable[[VesselNight], bool]) -> str:
    """The vessels of which it holds; empty where of none."""
    found = [words.clean(vessel.vessel) for vessel in record.vessels if holds(vessel)]
    return words.joined(found) if found else ""
