"""The station as it stands: what `naupliad now` says, in plain words."""

from collections.abc import Sequence

from reports import night, words
from reports.letter_parts import CALCULATED, WIDE
from reports.letter_vessel import vessel_outlook
from reports.records import Event, NightRecord, Setting, VesselNight


def state_text(setting: Setting, record: NightRecord, waiting: Sequence[Event]) -> str:
    """The state at `setting.written_at`; `record` ends then, `waiting` are letters not sent yet."""
    now = setting.written_at
    parts = [f"{setting.station}, {words.full_moment(now)}"]
    parts += [_vessel(setting, vessel) for vessel in record.vessels]
    if any(vessel.batch_set_at for vessel in record.vessels):
        parts.append(f"Water, salt and hatch are {CALCULATED}.")
    if any(vessel.batch_set_at and vessel.learned_top_ups == 0 for vessel in record.vessels):
        parts.append(WIDE)
    parts += [
        f"In doubt: {doubt.kind}, {doubt.text}, since {words.moment(doubt.at, now)}."
        for doubt in record.doubts
    ]
    parts += [f"Waiting to be sent: {event.text}, {words.moment(event.at, now)}." for event in waiting]
    if setting.next_letter_at is not None:
        parts.append(f"Next planned letter: {words.moment(setting.next_letter_at, now)}.")
    return "\n\n".join(parts)


def _vessel(setting: Setting, vessel: VesselNight) -> str:
    now = setting.written_at
    began = vessel.batch_set_at
    title = words.vessel_name(vessel.vessel, vessel.count)
    batch = "no batch running" if began is None else f"set {words.moment(began, now)}"
    lines = [f"{title}, {batch}", *_water(setting, vessel), *vessel_outlook(setting, vessel)]
    lines += [f"ALARM: {event.text}, since {words.moment(event.at, now)}." for event in vessel.open_alarms]
    return "\n".join([lines[0], *(f"  {line}" for line in lines[1:])])


def _water(setting: Setting, vessel: VesselNight) -> list[str]:
    seen, now = night.extremes(vessel.water_c), setting.written_at
    if seen is None:
        return ["Water: no readings in the last day."]
    age = words.duration(words.elapsed(seen.latest.at, now))
    return [f"Water: {words.temperature(seen.latest.value or 0.0, setting.unit)}, read {age} ago."]
