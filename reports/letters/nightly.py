"""The nightly letter: the last day and night in words, complete without its chart."""

from dataclasses import replace
from datetime import datetime

from reports import amounts, night, times, words
from reports.language import in_its_language, say, say_many
from reports.letters.clock import put_right
from reports.letters.kinds import LETTERS
from reports.letters.page import Action, Block, Facts, Paragraph, Picture, letter, subject
from reports.letters.sentences import (
    CALCULATED,
    WIDE,
    action,
    alarms_open,
    next_letter,
    readings_came,
    silence,
    silenced,
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
        _to_do(setting, record),
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
    lead = f"{times.short_day(record.span.ended)}: {_headline(setting, record)}."
    return letter("nightly", _subject(setting, record), lead, blocks, setting)


def alt_text(record: NightRecord) -> str:
    """What the chart shows, in words for those who cannot see it."""
    began, ended = record.span.began, record.span.ended
    shown = say(
        "Chart of {station}, {began} to {ended}.",
        station=record.station,
        began=times.short_moment(began),
        ended=times.short_moment(ended),
    )
    vessels = [_alt_vessel(record, vessel) for vessel in record.vessels]
    return " ".join([shown, *vessels, say("All figures stand in the words of this letter.")])


def _alt_vessel(record: NightRecord, vessel: VesselNight) -> str:
    seen = night.extremes(vessel.water_c)
    if seen is None:
        return say("{vessel}: no readings of the water.", vessel=words.clean(vessel.vessel))
    low, high = (amounts.temperature(p.value or 0.0, record.unit) for p in (seen.coldest, seen.warmest))
    return say("{vessel}: water from {low} to {high}.", vessel=words.clean(vessel.vessel), low=low, high=high)


def _any_batch(record: NightRecord) -> bool:
    return any(vessel.batch_set_at is not None for vessel in record.vessels)


def _wide(vessel: VesselNight) -> bool:
    return vessel.batch_set_at is not None and bool(vessel.loss_ml) and vessel.learned_top_ups == 0


def _alarms(record: NightRecord) -> int:
    return night.alarm_count((one.vessel, alarm) for one in record.vessels for alarm in one.open_alarms)


def _silenced(record: NightRecord) -> int:
    return sum(len(vessel.silenced) for vessel in record.vessels)


def _missing(record: NightRecord) -> str:
    return say("{share} of readings missing", share=amounts.percent(1 - min(night.share_read(record), 1.0)))


def _warned(record: NightRecord) -> int:
    """How much trouble came and went, in a letter or not."""
    written = sum(1 for letter in record.letters if letter.kind in LETTERS and LETTERS[letter.kind].warns)
    past = night.alarm_count((one.vessel, alarm) for one in record.vessels for alarm in one.past_alarms)
    return max(written, past)


def _headline(setting: Setting, record: NightRecord) -> str:
    return words.joined(_findings(setting, record))


def _findings(setting: Setting, record: NightRecord) -> list[str]:
    """The night in a few words each, the gravest first; "all well" only where nothing else is to be said."""
    if night.all_well(record):
        if setting.also:
            return [say_many("{count} thing to mind", "{count} things to mind", len(setting.also))]
        warned = _warned(record)
        if warned:
            return [say_many("well now, {count} warning", "well now, {count} warnings", warned)]
        return [say("all well")]
    found = [alarms_open(_alarms(record))] if _alarms(record) else []
    if _silenced(record):
        found.append(say_many("{count} alarm silenced", "{count} alarms silenced", _silenced(record)))
    found += [_times_off(len(record.outages))] if record.outages else []
    if record.doubts:
        found.append(say_many("{count} probe in doubt", "{count} probes in doubt", len(record.doubts)))
    found += [] if record.clock_sure else [say("clock not sure")]
    if record.readings_expected <= 0:
        found.append(say("no readings were due"))
    elif night.share_read(record) < night.KNOWN_SHARE:
        found.append(_missing(record))
    return found or [say("not all vessels were read")]


def _times_off(count: int) -> str:
    if count == 1:
        return say("station off once")
    return say("station off twice") if count == 2 else say("station off {count} times", count=count)


def _subject(setting: Setting, record: NightRecord) -> str:
    found = _findings(setting, record)
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
            vessel=words.clean(vessel.vessel),
            text=event.text,
            when=times.moment(event.at, now),
        )
        for vessel in record.vessels
        for event in vessel.open_alarms
    ]
    lines += [
        say("{vessel}: {text}", vessel=words.clean(vessel.vessel), text=silenced(alarm, now))
        for vessel in record.vessels
        for alarm in vessel.silenced
    ]
    lines += [
        say(
            "{vessel}: {text}, from {began} to {ended}. Over now.",
            vessel=words.clean(vessel.vessel),
            text=past.text,
            began=times.moment(past.span.began, now),
            ended=times.moment(past.span.ended, now),
        )
        for vessel in record.vessels
        for past in vessel.past_alarms
    ]
    lines += [
        say(
            "The probe {probe}: {text}, since {when}. Its readings still count.",
            probe=words.clean(doubt.kind),
            text=doubt.text,
            when=times.moment(doubt.at, now),
        )
        for doubt in record.doubts
    ]
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


def _to_do(setting: Setting, record: NightRecord) -> Action:
    troubled = [words.clean(vessel.vessel) for vessel in record.vessels if vessel.open_alarms]
    if troubled:
        advice = say(
            "look first at {names}; the letter about each trouble says what helps.",
            names=words.joined(troubled),
        )
        return action(setting, advice)
    silent = [words.clean(vessel.vessel) for vessel in record.vessels if vessel.silenced]
    if silent and night.all_well(_without_silenced(record)):
        return action(
            setting,
            say("look at {names} yourself: an alarm is silenced there.", names=words.joined(silent)),
        )
    if not record.clock_sure and night.all_well(replace(record, clock_sure=True)):
        advice = say(
            "look, with dry hands, whether the station's network works: it takes the time from there."
        )
        return action(setting, advice)
    if not night.all_well(record):
        advice = say("look, with dry hands, whether the station's power and the probes' cables are firm.")
        return action(setting, advice)
    thirsty = [words.clean(vessel.vessel) for vessel in record.vessels if _low_before_return(setting, vessel)]
    if thirsty:
        advice = say(
            "fill {names} to the mark with plain water, and tell the care log.", names=words.joined(thirsty)
        )
        return action(setting, advice)
    chilly = [words.clean(vessel.vessel) for vessel in record.vessels if _likely_cold(vessel)]
    if chilly:
        advice = say(
            "look first at {names}: the coming night is likely to be too cold for it.",
            names=words.joined(chilly),
        )
        return action(setting, advice)
    if setting.also:
        advice = say('read what stands under "Also" at the end of this letter.')
        return action(setting, advice)
    if _warned(record):
        return Action(say("nothing now. What was not well is over, as far as the station can see."))
    return Action(say("nothing. All is well as far as the station can see."))


def _without_silenced(record: NightRecord) -> NightRecord:
    return replace(record, vessels=tuple(replace(vessel, silenced=()) for vessel in record.vessels))


def _likely_cold(vessel: VesselNight) -> bool:
    coming = vessel.water_c_min_next_16h
    return vessel.batch_set_at is not None and coming is not None and coming.p50 < vessel.cold_c


def _low_before_return(setting: Setting, vessel: VesselNight) -> bool:
    low = None if vessel.low_mark_at is None else vessel.low_mark_at.p10
    until = setting.returns_at if setting.returns_at and not setting.attended_now else setting.next_letter_at
    return low is not None and until is not None and low < until
