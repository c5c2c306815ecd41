"""The station as it stands: what `naupliad now` says, in plain words."""

from collections.abc import Sequence

from reports import amounts, night, times, words
from reports.language import in_its_language, say
from reports.letters.known import Fact, fact, line_of
from reports.letters.past_alarm import silenced
from reports.letters.pouring import due_lines, due_record
from reports.letters.sentences import CALCULATED, WIDE
from reports.letters.vessel_night import batch, vessel_outlook
from reports.records import Event, NightRecord, Setting, VesselNight
from reports.vessel_line import vessel_line


@in_its_language
def state_text(setting: Setting, record: NightRecord, waiting: Sequence[Event]) -> str:
    """The state at `setting.written_at`; `record` ends then, `waiting` are letters not sent yet."""
    now = setting.written_at
    parts = [f"{setting.station}, {times.full_moment(now)}"]
    parts.append("\n".join(vessel_line(setting, vessel) for vessel in record.vessels))
    parts += [_vessel(setting, vessel) for vessel in record.vessels]
    if any(vessel.batch_set_at for vessel in record.vessels):
        parts.append(say(CALCULATED))
    if any(vessel.batch_set_at and vessel.learned_top_ups == 0 for vessel in record.vessels):
        parts.append(say(WIDE))
    parts += [
        say(
            "In doubt: {probe}, {text}, since {when}.",
            probe=doubt.kind,
            text=doubt.text,
            when=times.moment(doubt.at, now),
        )
        for doubt in record.doubts
    ]
    parts += [
        say("Waiting to be sent: {text}, {when}.", text=event.text, when=times.moment(event.at, now))
        for event in waiting
    ]
    if setting.next_letter_at is not None:
        parts.append(say("Next planned letter: {when}.", when=times.moment(setting.next_letter_at, now)))
    return "\n\n".join(parts)


def _vessel(setting: Setting, vessel: VesselNight) -> str:
    now = setting.written_at
    facts = [*batch(vessel, now), _water(setting, vessel), *vessel_outlook(setting, vessel)]
    lines = [*map(line_of, facts), *due_lines(vessel), *due_record(vessel)]
    lines += [
        say("ALARM: {text}, since {when}.", text=words.begun(event.text), when=times.moment(event.at, now))
        for event in vessel.open_alarms
    ]
    lines += [silenced(alarm, now) for alarm in vessel.silenced]
    return "\n".join([words.vessel_name(vessel.vessel, vessel.count), *(f"  {line}" for line in lines)])


def _water(setting: Setting, vessel: VesselNight) -> Fact:
    seen, now = night.extremes(vessel.water_c), setting.written_at
    if seen is None:
        return fact(say("Water"), say("no readings in the last day"))
    age = times.ago(times.elapsed(seen.latest.at, now))
    temperature = amounts.temperature(seen.latest.value or 0.0, setting.unit)
    return fact(say("Water"), say("{temperature}, read {ago}", temperature=temperature, ago=age))
