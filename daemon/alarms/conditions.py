"""What counts as trouble: each condition judges one sample, with its deadband and delays."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from daemon.alarms.lifecycle import Delays
from daemon.estimates.quantile import Estimate
from daemon.seconds import HOUR_S
from daemon.station import Vessel
from sensors.reading import Measure, Reading


@dataclass(frozen=True, slots=True)
class Condition:
    """How a condition is watched.

    `on_min` and `off_min` are minutes of samples in a row; `hourly` says that it is judged once an hour on
    what is believed, and not with each reading; `low` that lower values are the worse ones; `letter` is
    the kind of the letter that tells of it.
    """

    letter: str
    on_min: int = 0
    off_min: int = 0
    hourly: bool = False
    low: bool = False


# Handbook, Alarms: on- and off-delay 10 min of good samples, cold 60 min on. The others are judgement: a
# lamp timer may be a quarter of an hour off, a probe may miss a few reads.
CONDITIONS = {
    "cold": Condition("cold", 60, 10, low=True),
    "hot": Condition("hot", 10, 10),
    "lamp": Condition("lamp", 30, 10, low=True),
    "probe": Condition("probe", 15, 10),
    "water": Condition("water", hourly=True),
    "salinity": Condition("water", hourly=True),
    "swing": Condition("swing", hourly=True),
    "cold-ahead": Condition("cold", hourly=True, low=True),
    "hot-ahead": Condition("hot", hourly=True),
    "lamp-stays-on": Condition("lamp", hourly=True),
    "storage": Condition("storage", hourly=True, low=True),
    "clock": Condition("clock", 60, hourly=True),
}
OF_THE_STATION = ("storage", "clock")
# What slow readings may need to see a probe back in water that hung in the air of an emptied vessel [P].
HUNG_BACK_S = 12 * HOUR_S

DEADBAND_K = 0.5
SWING_DEADBAND_K = 1.0
# What stands is in every planned letter, so it rings once (ISA-18.2: one alarm, one call). Where no nightly
# letter says it, it rings again after a week [P].
AGAIN_MIN = 7 * 24 * 60
# Water so much further beyond the limit than when it rang is worth another word [P].
WORSE_BY = {"cold": 2.0, "hot": 2.0}

# Above this the animals may not recover (New 2002, FAO Fisheries Technical Paper 428, annex 4).
URGENT_C = 33.0

# A lamp's light is steady, daylight is not: within this share over the hours before and after it should
# have gone off, it has not [P].
STEADY_SHARE = 0.1
# Room for some weeks of readings, and for a chart and a backup of the store [P].
LEAST_FREE_BYTES = 200_000_000


@dataclass(frozen=True, slots=True, order=True)
class AlarmKey:
    """What an alarm is about; `vessel` is empty where it is the station, `probe` set where it is a probe."""

    vessel: str
    condition: str
    probe: str = ""

    @property
    def letter(self) -> str:
        """The kind of the letter that tells of it."""
        return CONDITIONS[self.condition].letter


@dataclass(frozen=True, slots=True)
class Judgement:
    """One sample's verdict: beyond the limit, within it, or (None) not to be judged."""

    beyond: bool | None
    value: float | None


NOT_JUDGED = Judgement(None, None)


def delays(condition: str, sample_every_s: int, *, said_nightly: bool) -> Delays:
    """The condition's delays in samples: as many as lie in the time, with the one that begins it.

    `said_nightly`: a letter of every night says what stands.
    """
    watched = CONDITIONS[condition]
    every_s = HOUR_S if watched.hourly else sample_every_s
    on, off = (1 + ceil(minutes * 60 / every_s) for minutes in (watched.on_min, watched.off_min))
    worse_by = WORSE_BY.get(condition)
    if said_nightly:
        return Delays(on, off, worse_by=worse_by)
    return Delays(on, off, ceil(AGAIN_MIN * 60 / every_s), worse_by)


def is_urgent(condition: str, value: float | None) -> bool:
    """Whether it cannot wait: water that was read past what the animals bear. A forecast can always wait."""
    return condition == "hot" and value is not None and value > URGENT_C


def temperature(condition: str, vessel: Vessel, reading: Reading, *, active: bool) -> Judgement:
    """Cold or hot; a standing alarm clears only beyond the deadband."""
    if not reading.good or reading.value is None:
        return NOT_JUDGED
    margin = DEADBAND_K if active else 0.0
    if condition == "cold":
        return Judgement(reading.value < vessel.cold_c + margin, reading.value)
    return Judgement(reading.value > vessel.hot_c - margin, reading.value)


def low_light(vessel: Vessel, measures: Measure) -> float:
    """The vessel's limit in the unit of its light probe."""
    return vessel.low_light_lux if measures is Measure.LIGHT_LUX else vessel.low_light_fraction


def lamp(vessel: Vessel, measures: Measure, reading: Reading, *, in_lamp_hours: bool) -> Judgement:
    """Dark in lamp hours. Outside them the lamp cannot be judged: daylight says nothing about it."""
    if not in_lamp_hours or not reading.good or reading.value is None:
        return NOT_JUDGED
    return Judgement(reading.value < low_light(vessel, measures), reading.value)


def lamp_stays_on(
    before: Sequence[float], soon_after: Sequence[float], later: Sequence[float], lit_from: float
) -> Judgement:
    """The lamp after it should have gone off: its steady light goes on, and it is never darker since.

    `before` is the light in the hour before that moment, `soon_after` in the first hour after it, both
    without the minutes a timer may be off, `later` after that: then day or people may add to the lamp's
    light, but do not darken it. Too few samples are not judged, but darkness is no lamp.
    """
    since = (*soon_after, *later)
    if since and since[-1] < lit_from:
        return Judgement(False, since[-1])
    if len(before) < 2 or len(soon_after) < 2:
        return NOT_JUDGED
    lowest, highest = min(*before, *soon_after), max(*before, *soon_after)
    steady = lowest >= lit_from and highest - lowest <= STEADY_SHARE * highest
    darker = min(later, default=highest) < (1 - STEADY_SHARE) * highest
    return Judgement(steady and not darker, since[-1])


def probe(reading: Reading) -> Judgement:
    """A reading that cannot be believed, whatever the reason."""
    return Judgement(not reading.good, reading.value)


def water(loss_p50_ml: float, low_mark_p50: float, low_ml: float, somebody_comes: int | None) -> Judgement:
    """The water at the low mark, or there before somebody comes (Unix seconds; None: not known)."""
    before = somebody_comes is not None and low_mark_p50 < somebody_comes
    return Judgement(loss_p50_ml >= low_ml or before, loss_p50_ml)


def salinity(believed: Estimate, vessel: Vessel) -> Judgement:
    """Salt out of range, nine in ten sure."""
    beyond = believed.p10 > vessel.salinity_high_g_per_kg or believed.p90 < vessel.salinity_low_g_per_kg
    return Judgement(beyond, believed.p50)


def swing(lowest_c: float, highest_c: float, vessel: Vessel, *, active: bool) -> Judgement:
    """The water's range over a day, as on a window sill."""
    range_k = highest_c - lowest_c
    return Judgement(range_k > vessel.swing_k - (SWING_DEADBAND_K if active else 0.0), range_k)


def cold_ahead(coldest: Estimate, vessel: Vessel) -> Judgement:
    """Cold to come before somebody is back, nine in ten sure."""
    return Judgement(coldest.p90 < vessel.cold_c, coldest.p50)


def hot_ahead(hottest: Estimate, vessel: Vessel, *, attended: bool) -> Judgement:
    """Heat to come: more likely than not, and hardly just at the limit.

    Where nobody is there, only heat past what the animals bear is worth a word.
    """
    limit_c = vessel.hot_c if attended else max(vessel.hot_c, URGENT_C)
    return Judgement(hottest.p50 > limit_c + DEADBAND_K and hottest.p10 > limit_c - 1.0, hottest.p50)


def storage(free_bytes: int) -> Judgement:
    """Too little room left on the card."""
    return Judgement(free_bytes < LEAST_FREE_BYTES, free_bytes / 1e6)


def clock(trusted: bool) -> Judgement:
    """A wall clock that nothing has set since the start."""
    return Judgement(not trusted, None)
