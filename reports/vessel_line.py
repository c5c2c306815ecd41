"""A vessel in one line: how far it is, how warm, how full, whether the lamp burns, what is open."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from reports import amounts, night, times, words
from reports.language import say, to_say
from reports.letters.sentences import alarms_open
from reports.records import Setting, VesselNight

STAGES: Mapping[str, str] = {
    "nothing set": to_say("nothing set"),
    "set": to_say("set, not hatching yet"),
    "hatching": to_say("hatching"),
    "hatched": to_say("hatched"),
    "growing": to_say("growing"),
    "being harvested": to_say("being harvested"),
    "harvested": to_say("mostly harvested; is the batch over?"),
    "ended": to_say("batch over"),
}
# What was read longer ago is not said to be so now.
FRESH = timedelta(minutes=30)
LAMP: Mapping[str, str] = {
    "lit": to_say("lamp lit"),
    "dark": to_say("dark in its lamp hours"),
    "outside": to_say("outside its lamp hours"),
}


def vessel_line(setting: Setting, vessel: VesselNight) -> str:
    """The vessel in one line, at `setting.written_at`."""
    alarms = [alarms_open(len(vessel.open_alarms))] if vessel.open_alarms else []
    parts = [*vessel_parts(setting, vessel), *alarms]
    return f"{words.vessel_name(vessel.vessel, vessel.count)}: {'; '.join(parts)}"


def vessel_parts(setting: Setting, vessel: VesselNight) -> list[str]:
    """The same in pieces, without its name and its alarms."""
    return [
        _stage(vessel),
        _warmth(setting, vessel),
        *_light(setting, vessel),
        *_level(vessel),
        *harvest_window(setting, vessel),
    ]


def stage_and_level(vessel: VesselNight) -> list[str]:
    """How far it is and where its water stands, of all that is said of it."""
    return [_stage(vessel), *_level(vessel)]


def _stage(vessel: VesselNight) -> str:
    stage = say(STAGES[vessel.stage])
    if vessel.dry:
        return say("{stage}, probe in the air", stage=stage)
    if not vessel.watched:
        return say("{stage}, not watched", stage=stage)
    if vessel.stage == "hatching" and vessel.hatched_fraction:
        share = amounts.percent(vessel.hatched_fraction[-1].range.p50)
        return say("{stage}, about {share}", stage=stage, share=share)
    return stage


def _warmth(setting: Setting, vessel: VesselNight) -> str:
    seen = night.extremes(vessel.water_c)
    if seen is None:
        return say("no readings of the water in the last day")
    value = amounts.temperature(seen.latest.value or 0.0, setting.unit)
    age = times.elapsed(seen.latest.at, setting.written_at)
    return value if age <= FRESH else say("{temperature}, read {ago}", temperature=value, ago=times.ago(age))


def _light(setting: Setting, vessel: VesselNight) -> list[str]:
    """Whether the lamp burns, in its hours; outside them, only where its light stands."""
    seen = lamp_seen_now(vessel, setting.written_at)
    return [] if seen is None else [say(LAMP[seen])]


def lamp_seen_now(vessel: VesselNight, now: datetime) -> str | None:
    """One of "lit", "dark" in its hours, or "outside" of them; None where it has none or none is seen."""
    lit_now = next((point for point in reversed(vessel.light) if point.value is not None), None)
    if not vessel.lamp_hours or lit_now is None or times.elapsed(lit_now.at, now) > FRESH:
        return None
    at = now.timestamp()
    if not any(s.began.timestamp() <= at <= s.ended.timestamp() for s in vessel.lamp_hours):
        return "outside"
    return "lit" if (lit_now.value or 0.0) >= vessel.low_light else "dark"


def _level(vessel: VesselNight) -> list[str]:
    if vessel.batch_set_at is None or vessel.stage == "harvested" or not vessel.loss_ml:
        return []
    return [say("water {level}", level=amounts.level(vessel.loss_ml[-1].range.p50))]


def harvest_window(setting: Setting, vessel: VesselNight) -> list[str]:
    """When a cone is best harvested, or was; nothing where that is not known or no more of use."""
    opens, closes = vessel.harvest_opens_at, vessel.harvest_closes_at
    ahead = vessel.stage in ("set", "hatching", "hatched", "growing")
    if not ahead or opens is None or closes is None or opens.p50 is None or closes.p50 is None:
        return []
    now = setting.written_at
    closing = times.moment(times.believed_moment(closes.p50), now)
    if closes.p50.timestamp() <= now.timestamp():
        return [say("harvest window passed {when}", when=closing)]
    if opens.p50.timestamp() <= now.timestamp():
        return [say("harvest until about {when}", when=closing)]
    return [
        say(
            "harvest about {opens} to {closes}",
            opens=times.moment(times.believed_moment(opens.p50), now),
            closes=closing,
        )
    ]
