"""The nightly letter: the last day and night in words, complete without its chart."""

from dataclasses import replace
from datetime import datetime

from reports import night, words
from reports.letter_page import Action, Block, Facts, Paragraph, Picture, letter, subject
from reports.letter_parts import CALCULATED, WIDE, action, next_letter, silence
from reports.letter_station import put_right
from reports.letter_vessel import events, title, vessel_facts
from reports.records import LetterText, NightRecord, Setting, VesselNight

CHART_CID = "night-chart@naupliad"
# The subject has room for temperatures beside a finding of so many letters.
_VALUES_BESIDE = 21
_WARNINGS = frozenset({"cold", "hot", "lamp", "water", "probe", "outage", "clock", "storage", "swing"})


def nightly_letter(setting: Setting, record: NightRecord, with_chart: bool) -> LetterText:
    """The night's letter; with the chart it shows the picture whose Content-ID is `CHART_CID`."""
    now = setting.written_at
    chart: list[Block] = [Picture(CHART_CID, alt_text(record))] if with_chart else []
    blocks: list[Block] = [
        *_unknown(record, now),
        _to_do(setting, record),
        *chart,
        *(Facts(title(vessel, now), vessel_facts(setting, record, vessel)) for vessel in record.vessels),
        *([Paragraph(f"Water, salt and hatch are {CALCULATED}.")] if _any_batch(record) else []),
        *([Paragraph(WIDE)] if any(_wide(vessel) for vessel in record.vessels) else []),
        Facts("Letters sent", tuple(events(record.letters, now)) or ("No letters in this time.",)),
        Facts("The station", (_readings(record), *_outages(record, now))),
        next_letter(setting),
        silence(setting),
    ]
    lead = f"{words.short_day(record.span.ended)}: {_headline(setting, record)}."
    return letter("nightly", _subject(setting, record), lead, blocks, setting)


def alt_text(record: NightRecord) -> str:
    """What the chart shows, in words for those who cannot see it."""
    began, ended = record.span.began, record.span.ended
    shown = f"Chart of {record.station}, {words.short_moment(began)} to {words.short_moment(ended)}."
    told = [_alt_vessel(record, vessel) for vessel in record.vessels]
    return " ".join([shown, *told, "All figures stand in the words of this letter."])


def _alt_vessel(record: NightRecord, vessel: VesselNight) -> str:
    seen = night.extremes(vessel.water_c)
    if seen is None:
        return f"{words.clean(vessel.vessel)}: no readings of the water."
    low, high = (words.temperature(p.value or 0.0, record.unit) for p in (seen.coldest, seen.warmest))
    return f"{words.clean(vessel.vessel)}: water from {low} to {high}."


def _any_batch(record: NightRecord) -> bool:
    return any(vessel.batch_set_at is not None for vessel in record.vessels)


def _wide(vessel: VesselNight) -> bool:
    return vessel.batch_set_at is not None and bool(vessel.loss_ml) and vessel.learned_top_ups == 0


def _alarms(record: NightRecord) -> int:
    return sum(len(vessel.open_alarms) for vessel in record.vessels)


def _missing(record: NightRecord) -> str:
    return f"{words.percent(1 - min(night.share_read(record), 1.0))} of readings missing"


def _warned(record: NightRecord) -> int:
    """How much trouble came and went, told by letter or not."""
    told = sum(1 for letter in record.letters if letter.kind in _WARNINGS)
    return max(told, sum(len(vessel.past_alarms) for vessel in record.vessels))


def _headline(setting: Setting, record: NightRecord) -> str:
    return words.joined(_findings(setting, record))


def _findings(setting: Setting, record: NightRecord) -> list[str]:
    """The night in a few words each, the gravest first; "all well" only where nothing else is to be said."""
    if night.all_well(record):
        if setting.also:
            return [f"{words.many(len(setting.also), 'thing')} to mind"]
        warned = _warned(record)
        return [f"well now, {words.many(warned, 'warning')}"] if warned else ["all well"]
    found = [f"{words.many(_alarms(record), 'alarm')} open"] if _alarms(record) else []
    found += [f"station off {words.times(len(record.outages))}"] if record.outages else []
    found += [f"{words.many(len(record.doubts), 'probe')} in doubt"] if record.doubts else []
    found += [] if record.clock_sure else ["clock not sure"]
    if record.readings_expected <= 0:
        found.append("no readings were due")
    elif night.share_read(record) < night.KNOWN_SHARE:
        found.append(_missing(record))
    return found or ["not all vessels were read"]


def _subject(setting: Setting, record: NightRecord) -> str:
    found = _findings(setting, record)
    told = found[0] if len(found) == 1 else f"{found[0]} and more"
    values = [seen for vessel in record.vessels if (seen := night.extremes(vessel.water_c)) is not None]
    if values and len(told) <= _VALUES_BESIDE:
        low = min(seen.coldest.value or 0.0 for seen in values)
        high = max(seen.warmest.value or 0.0 for seen in values)
        told += f", {words.number(words.in_unit(low, record.unit), 1)} to "
        told += words.temperature(high, record.unit)
    return subject(f"{words.short_day(record.span.ended)}: {told}", "", record.station)


def _unknown(record: NightRecord, now: datetime) -> list[Block]:
    """What is not known of the night, where "all well" was not earned."""
    told = [
        f"{words.clean(vessel.vessel)}: {event.text}, since {words.moment(event.at, now)}. Still open."
        for vessel in record.vessels
        for event in vessel.open_alarms
    ]
    told += [
        f"{words.clean(vessel.vessel)}: {past.text}, from {words.moment(past.span.began, now)} to "
        f"{words.moment(past.span.ended, now)}. Over now."
        for vessel in record.vessels
        for past in vessel.past_alarms
    ]
    told += [
        f"The probe {words.clean(doubt.kind)}: {doubt.text}, since {words.moment(doubt.at, now)}. Its "
        "readings still count."
        for doubt in record.doubts
    ]
    if night.share_read(record) < night.KNOWN_SHARE:
        told.append(f"{_readings(record)} What happened in between is not known.")
    blind = [words.clean(vessel.vessel) for vessel in night.blind_vessels(record)]
    if blind:
        told.append(
            f"The water of {words.joined(blind)} was not read all the time, so this is not the whole story."
        )
    if not record.clock_sure:
        told.append(
            "The station's clock was not known to be right, so the hours in this letter may be wrong."
        )
    if record.clock_put_right is not None:
        told.append(put_right(record.clock_put_right, now))
    told.extend(_outages(record, now))
    return [Facts("What is not well, or not known", tuple(told))] if told else []


def _to_do(setting: Setting, record: NightRecord) -> Action:
    troubled = [words.clean(vessel.vessel) for vessel in record.vessels if vessel.open_alarms]
    if troubled:
        told = f"look first at {words.joined(troubled)}; the letter about each trouble says what helps."
        return action(setting, told, told)
    if not record.clock_sure and night.all_well(replace(record, clock_sure=True)):
        told = "look, with dry hands, whether the station's network works: it takes the time from there."
        return action(setting, told, told)
    if not night.all_well(record):
        told = "look, with dry hands, whether the station's power and the probes' cables are firm."
        return action(setting, told, told)
    thirsty = [words.clean(vessel.vessel) for vessel in record.vessels if _low_before_return(setting, vessel)]
    if thirsty:
        told = f"fill {words.joined(thirsty)} to the mark with plain water, and tell the care log."
        return action(setting, told, told)
    chilly = [words.clean(vessel.vessel) for vessel in record.vessels if _likely_cold(vessel)]
    if chilly:
        told = f"look first at {words.joined(chilly)}: the coming night is likely to be too cold for it."
        return action(setting, told, told)
    if setting.also:
        told = 'read what stands under "Also" at the end of this letter.'
        return action(setting, told, told)
    if _warned(record):
        return Action("nothing now. What was not well is over, as far as the station can see.")
    return Action("nothing. All is well as far as the station can see.")


def _likely_cold(vessel: VesselNight) -> bool:
    coming = vessel.water_c_min_next_16h
    return vessel.batch_set_at is not None and coming is not None and coming.p50 < vessel.cold_c


def _low_before_return(setting: Setting, vessel: VesselNight) -> bool:
    low = None if vessel.low_mark_at is None else vessel.low_mark_at.p10
    until = setting.returns_at if setting.returns_at and not setting.attended_now else setting.next_letter_at
    return low is not None and until is not None and low < until


def _readings(record: NightRecord) -> str:
    if record.readings_expected <= 0:
        return "No readings were due."
    good, expected = record.readings_good, record.readings_expected
    return f"Readings: {good} of {expected} came and are trusted ({words.percent(night.share_read(record))})."


def _outages(record: NightRecord, now: datetime) -> list[str]:
    return [
        f"The station was off from {words.moment(span.began, now)} to {words.moment(span.ended, now)}, "
        f"for {words.duration(words.elapsed(span.began, span.ended))}."
        for span in record.outages
    ]
