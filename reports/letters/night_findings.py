"""What a night came to, in a few words each: the headline and the subject of the nightly letter."""

from collections.abc import Callable

from reports import amounts, night
from reports.language import say, say_many
from reports.letters.kinds import LETTERS
from reports.letters.pouring import is_harvested, is_to_fill
from reports.letters.sentences import alarms_open
from reports.records import NightRecord, Setting, VesselNight

# How exactly a person fills to a mark, mL: a level within it is at the mark. Our own choice, no source.
FILL_ERROR_ML = 5.0


def findings(setting: Setting, record: NightRecord) -> list[str]:
    """The night in a few words each, the gravest first; "all well" only where nothing else is to be said."""
    found = [alarms_open(count)] if (count := _alarms(record)) else []
    if silenced := sum(len(vessel.silenced) for vessel in record.vessels):
        found.append(say_many("{count} alarm silenced", "{count} alarms silenced", silenced))
    found += [] if any(vessel.watched for vessel in record.vessels) else [say("nothing watched")]
    found += [_times_off(len(record.outages))] if record.outages else []
    if record.doubts:
        found.append(say_many("{count} probe in doubt", "{count} probes in doubt", len(record.doubts)))
    found += [] if record.clock_sure else [say("clock not sure")]
    if record.readings_expected <= 0:
        found.append(say("no readings were due"))
    elif night.share_read(record) < night.KNOWN_SHARE:
        found += _unread(record)
    elif night.blind_vessels(record):
        found.append(say("not all vessels were read"))
    found += _of_vessels(setting, record)
    if setting.also:
        found.append(say_many("{count} thing to mind", "{count} things to mind", len(setting.also)))
    if found:
        return found
    had = alarms_had(record)
    if had:
        return [say_many("well now, {count} alarm before", "well now, {count} alarms before", had)]
    return [say("all well")]


def alarms_had(record: NightRecord) -> int:
    """How many alarms came and went, with a letter or without."""
    written = sum(1 for letter in record.letters if letter.kind in LETTERS and LETTERS[letter.kind].warns)
    past = night.alarm_count((one.vessel, alarm) for one in record.vessels for alarm in one.past_alarms)
    return max(written, past)


def likely_cold(vessel: VesselNight) -> bool:
    """Whether the coming water is more likely than not to pass the limit."""
    coming = vessel.water_c_min_next_16h
    return vessel.watched and coming is not None and coming.p50 < vessel.cold_c


def likely_hot(vessel: VesselNight) -> bool:
    """The same of heat."""
    coming = vessel.water_c_max_next_16h
    return vessel.watched and coming is not None and coming.p50 > vessel.hot_c


def was_cold(vessel: VesselNight) -> bool:
    """Whether water was read below its limit, for however short a time, while it was watched."""
    seen = while_watched(vessel)
    return vessel.watched and seen is not None and (seen.coldest.value or 0.0) < vessel.cold_c


def was_hot(vessel: VesselNight) -> bool:
    """The same of heat."""
    seen = while_watched(vessel)
    return vessel.watched and seen is not None and (seen.warmest.value or 0.0) > vessel.hot_c


def while_watched(vessel: VesselNight) -> night.Extremes | None:
    """The coldest, warmest and latest water while it was watched; None where none was read."""
    return night.extremes([point for point in vessel.water_c if point.at >= vessel.watched_from])


def over_brim(vessel: VesselNight) -> bool:
    """Whether the water most likely stands higher than it safely may."""
    return _keeps_water(vessel) and vessel.loss_ml[-1].range.p50 < -vessel.brim_ml - FILL_ERROR_ML


def is_low(vessel: VesselNight) -> bool:
    """Whether the water most likely stands at the low mark."""
    return _keeps_water(vessel) and vessel.loss_ml[-1].range.p50 >= vessel.low_ml


def is_salt_off(vessel: VesselNight) -> bool:
    """Whether the salt is most likely out of its range."""
    salt = vessel.salinity_g_per_kg[-1].range.p50 if vessel.salinity_g_per_kg else None
    low, high = vessel.salinity_low_g_per_kg, vessel.salinity_high_g_per_kg
    return _keeps_water(vessel) and salt is not None and not low <= salt <= high


def _keeps_water(vessel: VesselNight) -> bool:
    return vessel.batch_set_at is not None and bool(vessel.loss_ml) and not is_harvested(vessel)


def _of_vessels(setting: Setting, record: NightRecord) -> list[str]:
    """What an open alarm has not said already."""
    said: tuple[tuple[Callable[[VesselNight], bool], tuple[str, ...], str], ...] = (
        (likely_cold, ("cold", "cold-ahead"), say("cold likely")),
        (likely_hot, ("hot", "hot-ahead"), say("heat likely")),
        (is_low, ("water",), say("water low")),
        (lambda one: is_to_fill(setting, one) and not is_low(one), ("water",), say("water to fill up")),
        (over_brim, (), say("water over the brim")),
        (is_salt_off, ("salinity",), say("salt out of range")),
        (was_cold, ("cold",), say("too cold for a time")),
        (was_hot, ("hot",), say("too warm for a time")),
        (is_harvested, (), say("a harvest to close")),
    )
    return [
        found
        for holds, conditions, found in said
        if any(holds(vessel) and not _stands(vessel, conditions) for vessel in record.vessels)
    ]


def _stands(vessel: VesselNight, conditions: tuple[str, ...]) -> bool:
    return any(alarm.kind in conditions for alarm in vessel.open_alarms)


def _alarms(record: NightRecord) -> int:
    return night.alarm_count((one.vessel, alarm) for one in record.vessels for alarm in one.open_alarms)


def _unread(record: NightRecord) -> list[str]:
    """The share of readings that did not come, and of those that came and are not trusted, from 1 % on."""
    missing = 1 - min(night.share_read(record), 1.0)
    found = [say("{share} of readings missing", share=amounts.percent(missing))]
    doubtful = (record.readings_came - record.readings_good) / record.readings_expected
    if round(100 * doubtful) >= 1:
        found.append(say("{share} not believed", share=amounts.percent(doubtful)))
    return found


def _times_off(count: int) -> str:
    if count == 1:
        return say("station off once")
    return say("station off twice") if count == 2 else say("station off {count} times", count=count)
