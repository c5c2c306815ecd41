"""What a chart shows of one vessel or of several alike, in a few words; and which of them is worst."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from reports import amounts, night, times
from reports.language import say
from reports.letters.stages import is_emptied
from reports.records import NightRecord, Range, VesselNight

# Shorter than an alarm's delay it is not worth a word.
_WORTH_A_WORD = timedelta(minutes=10)
_LONG_UNREAD = timedelta(hours=1)


def worst_first(record: NightRecord) -> list[VesselNight]:
    """Those with an open alarm first, then the longest too cold or too hot, then the lowest water."""

    def badness(vessel: VesselNight) -> tuple[bool, float, float]:
        beyond = night.beyond(vessel, record.span)
        return (
            not vessel.open_alarms,
            -(beyond.cold + beyond.hot).total_seconds(),
            to_low_mark_ml(vessel) or 0.0,
        )

    return sorted(record.vessels, key=badness)


@dataclass(frozen=True, slots=True)
class WarmthSeen:
    """The water of some vessels: how cold and warm it was at the worst, °C, and how long beyond the limits.

    What is too short for a word is none.
    """

    coldest_c: float
    warmest_c: float
    cold: timedelta
    hot: timedelta


def warmth_of(vessels: Sequence[VesselNight], record: NightRecord) -> WarmthSeen | None:
    """Of several the worst; None where nothing was read."""
    seen = [extremes for vessel in vessels if (extremes := night.extremes(vessel.water_c)) is not None]
    if not seen:
        return None
    beyond = [night.beyond(vessel, record.span) for vessel in vessels]
    cold, hot = max(one.cold for one in beyond), max(one.hot for one in beyond)
    return WarmthSeen(
        min(one.coldest.value or 0.0 for one in seen),
        max(one.warmest.value or 0.0 for one in seen),
        cold if cold >= _WORTH_A_WORD else timedelta(0),
        hot if hot >= _WORTH_A_WORD else timedelta(0),
    )


def warmth(vessels: Sequence[VesselNight], record: NightRecord) -> tuple[str, ...]:
    """ "15 h too cold, coldest 10.8 °C"; "20.1 to 25.3 °C" where all is well; of several the worst."""
    seen = warmth_of(vessels, record)
    if seen is None:
        return (say("no readings of the water"),)
    low, high = (amounts.temperature(water_c, record.unit) for water_c in (seen.coldest_c, seen.warmest_c))
    said = []
    if seen.cold:
        said.append(
            say("{length} too cold, coldest {water}", length=times.short_length(seen.cold), water=low)
        )
    if seen.hot:
        said.append(say("{length} too hot, warmest {water}", length=times.short_length(seen.hot), water=high))
    if not said:
        bare_low = amounts.number(amounts.in_unit(seen.coldest_c, record.unit), 1)
        said.append(say("{low} to {high}", low=bare_low, high=high))
    if missing := unread(vessels, record):
        said.append(say("{length} not read", length=times.short_length(missing)))
    return tuple(said)


def unread(vessels: Sequence[VesselNight], record: NightRecord) -> timedelta:
    """How long the water was not read while the station was on; of several the longest, none where short."""
    off = [(night.moment_utc(span.began), night.moment_utc(span.ended)) for span in record.outages]
    longest = max(
        sum((b - a for a, b in night.without(night.gaps(vessel.water_c, record.span), off)), timedelta(0))
        for vessel in vessels
    )
    return longest if longest >= _LONG_UNREAD else timedelta(0)


def to_low_mark_ml(vessel: VesselNight) -> float | None:
    """How far the water stands above the low mark at the end, mL; None where it is not known or drawn off."""
    if vessel.batch_set_at is None or not vessel.loss_ml or is_emptied(vessel):
        return None
    return vessel.low_ml - vessel.loss_ml[-1].range.p50


def hatched(vessels: Sequence[VesselNight]) -> Range | None:
    """What is believed to have hatched at the end, as a share: of several from the least to the most."""
    last = [
        vessel.hatched_fraction[-1].range
        for vessel in vessels
        if vessel.batch_set_at is not None and vessel.hatched_fraction and not is_emptied(vessel)
    ]
    if not last:
        return None
    middles = sorted(one.p50 for one in last)
    return Range(min(one.p10 for one in last), middles[len(middles) // 2], max(one.p90 for one in last))
