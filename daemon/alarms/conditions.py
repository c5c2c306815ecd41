"""What counts as trouble: each condition judges one sample, with its deadband and delays."""

from dataclasses import dataclass
from math import ceil

from daemon.alarms.lifecycle import Delays
from daemon.station import Vessel
from sensors.reading import Measure, Reading

# Handbook, Alarms: deadband 0.5 K, on- and off-delay 10 min of good samples, cold 60 min on. The others
# are judgement: a lamp timer may be a quarter of an hour off, a probe may miss a few reads.
DEADBAND_K = 0.5
_DELAY_MIN = {"cold": (60, 10), "hot": (10, 10), "lamp": (30, 10), "probe": (15, 10), "water": (0, 0)}

# Above this the animals may not recover (New 2002, FAO Fisheries Technical Paper 428, annex 4).
URGENT_C = 33.0


@dataclass(frozen=True, slots=True, order=True)
class Concern:
    """What an alarm is about; `probe` is set where a probe is the matter."""

    vessel: str
    condition: str
    probe: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """One sample's verdict: beyond the limit, within it, or (None) not to be judged."""

    beyond: bool | None
    value: float | None


def delays(condition: str, sample_every_s: int) -> Delays:
    """The condition's delays in samples: as many as lie in the time, with the one that begins it."""
    on_min, off_min = _DELAY_MIN[condition]
    return Delays(1 + ceil(on_min * 60 / sample_every_s), 1 + ceil(off_min * 60 / sample_every_s))


def temperature(condition: str, vessel: Vessel, reading: Reading, *, active: bool) -> Judgement:
    """Cold or hot; a standing alarm clears only beyond the deadband."""
    if not reading.good or reading.value is None:
        return Judgement(None, None)
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
        return Judgement(None, None)
    return Judgement(reading.value < low_light(vessel, measures), reading.value)


def probe(reading: Reading) -> Judgement:
    """A reading that cannot be believed, whatever the reason."""
    return Judgement(not reading.good, reading.value)


def water(loss_p50_ml: float, low_mark_p50: float, low_ml: float, somebody_comes: int | None) -> Judgement:
    """The water at the low mark, or there before somebody comes (Unix seconds; None: not known)."""
    before = somebody_comes is not None and low_mark_p50 < somebody_comes
    return Judgement(loss_p50_ml >= low_ml or before, loss_p50_ml)
