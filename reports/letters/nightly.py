"""The nightly letter: the last day and night in words, complete without its chart."""

from collections.abc import Sequence
from dataclasses import replace

from reports import amounts, night, times, words
from reports.chart.alt_text import alt_text
from reports.language import in_its_language, say, say_many
from reports.letters.alarms_of_night import not_well
from reports.letters.blocks import Action, Block, Body, Facts, Picture
from reports.letters.kinds import LETTERS
from reports.letters.known import Fact, Known, known, listed
from reports.letters.night_deed import NightDeed, night_deed
from reports.letters.night_findings import findings
from reports.letters.page import letter, subject
from reports.letters.pouring import LEAST_ML, due_lines, due_record, is_harvested, is_to_fill, takes_brine
from reports.letters.record import few
from reports.letters.sentences import CALCULATED, WIDE, action, ending, name, readings_came
from reports.letters.vessel_night import events, vessel_known, warmth_notes
from reports.records import Event, LetterText, NightRecord, Setting, VesselNight

CHART_CID = "night-chart@naupliad"
# The subject has room for temperatures beside a finding of so many letters.
_VALUES_BESIDE = 21
_MOST_LETTERS = 6
_MOST_FINDINGS = 3


@in_its_language
def nightly_letter(setting: Setting, record: NightRecord, with_chart: bool) -> LetterText:
    """The night's letter; with the chart it shows the picture whose Content-ID is `CHART_CID`."""
    deed = night_deed(setting, record)
    vessels = [_with_alarm_and_pour(setting, record, vessel) for vessel in record.vessels]
    body = Body(
        action=action(setting, deed.what) if deed.asks else Action(deed.what),
        care=deed.care,
        record=few(deed.record),
        known=[*not_well(record, setting.written_at), *known(vessels, say("Vessel")), *_due(record, deed)],
        picture=Picture(CHART_CID, alt_text(record)) if with_chart else None,
        aside=_station(setting, record, in_rows=len({one.facts for one in vessels}) > 1),
        notes=_notes(setting, record),
        ending=ending(setting, silence=True),
    )
    lead = f"{times.short_day(record.span.ended)}: {words.joined(_few(findings(setting, record)))}."
    return letter("nightly", _subject(setting, record), lead, body, setting)


def _few(found: Sequence[str]) -> list[str]:
    """The gravest; how many more there are stands last."""
    left = len(found) - _MOST_FINDINGS
    more = [say_many("{count} thing more", "{count} things more", left)] if left > 0 else []
    return [*found[:_MOST_FINDINGS], *more]


def _due(record: NightRecord, deed: NightDeed) -> list[Block]:
    """How to mix brine where it is due; after a harvest whether the batch is over, where nothing asks it."""
    brine = {name(one): due_lines(one) for one in record.vessels if takes_brine(one)}
    drawn = {
        name(one): (due_lines(one)[0], due_record(one)[0]) for one in record.vessels if is_harvested(one)
    }
    asked = {vessel: lines for vessel, lines in drawn.items() if lines[1] not in deed.record}
    return [
        *(Facts(vessel, lines, lines) for vessel, lines in brine.items()),
        *(Facts(vessel, lines) for vessel, lines in asked.items()),
    ]


def _with_alarm_and_pour(setting: Setting, record: NightRecord, vessel: VesselNight) -> Known:
    """The vessel's facts; in a table its alarms and what to pour come first."""
    plain = vessel_known(setting, record, vessel)
    first = []
    if vessel.open_alarms:
        alarms = dict.fromkeys(words.clean(alarm.text) for alarm in vessel.open_alarms)
        first.append(Fact(say("Alarm"), None, "; ".join(alarms)))
    if is_to_fill(setting, vessel):
        first.append(_pour(vessel))
    return Known(plain.about, (*first, *plain.facts))


def _pour(vessel: VesselNight) -> Fact:
    if vessel.fill_ml < LEAST_ML:
        return Fact(say("Pour"), None, say("brine, see below"))
    amount = amounts.volume(vessel.fill_ml)
    into = words.into_each(vessel.count)
    poured = amounts.volume_with_spoons(vessel.fill_ml)
    return Fact(say("Pour"), say("{amount} of plain water into {where}", amount=poured, where=into), amount)


def _notes(setting: Setting, record: NightRecord) -> list[str]:
    """What is said once for all vessels."""
    return warmth_notes(setting, record.vessels)


def _wide(vessel: VesselNight) -> bool:
    return vessel.batch_set_at is not None and bool(vessel.loss_ml) and vessel.learned_top_ups == 0


def _station(setting: Setting, record: NightRecord, *, in_rows: bool) -> list[Block]:
    """The letters since the last night's; deeds, where vessels stand in rows; readings, where all came."""
    sent = [event for event in record.letters if event.kind != "nightly"]
    named = [replace(event, text=_letter_name(event)) for event in sent]
    letters = "; ".join(events(named, setting.written_at, most=_MOST_LETTERS))
    deeds = [_deeds(setting, record)] if in_rows and any(vessel.deeds for vessel in record.vessels) else []
    spare = [say("Letters: {letters}.", letters=letters)] if letters else []
    if any(map(_wide, record.vessels)) and say(WIDE) not in setting.said_last:
        spare.append(say(WIDE))
    if night.share_read(record) >= night.KNOWN_SHARE:
        spare.append(readings_came(record.readings_good, record.readings_expected))
    batch = any(vessel.batch_set_at is not None for vessel in record.vessels)
    calculated = [say(CALCULATED)] if batch else []
    lines = (*calculated, *deeds, *spare)
    return [Facts("", lines, (*reversed(spare), *calculated))] if lines else []


def _letter_name(event: Event) -> str:
    return say(LETTERS[event.kind].name) if event.kind in LETTERS else words.clean(event.text)


def _deeds(setting: Setting, record: NightRecord) -> str:
    """What was done, each once with the vessels it was done in."""
    where: dict[Event, list[str]] = {}
    for vessel in record.vessels:
        for deed in vessel.deeds:
            where.setdefault(deed, []).append(words.clean(vessel.vessel))
    named = [replace(deed, text=f"{listed(vessels)}: {deed.text}") for deed, vessels in where.items()]
    return say("Done: {deeds}.", deeds="; ".join(events(named, setting.written_at)))


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
