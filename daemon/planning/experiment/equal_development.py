"""Cups at equal development: each level at the hour at which it was as far as the others.

Development is the dose of `daemon/science/hatching.py`: hours weighted by the pace at the water's
temperature, so hours as if at 25 °C.
"""

from dataclasses import dataclass
from math import log

from daemon.planning.experiment.counts import Counts, CupCount
from daemon.science.hatching import pace

# Doses that lie within this factor count as equal: half of the hatch takes a third of T50 [P].
EQUAL_WITHIN = 1.15


@dataclass(frozen=True, slots=True)
class Equal:
    """The counts nearest to one dose (hours as if at 25 °C), and each level's hour, in order of levels."""

    counts: Counts
    dose_h: float
    hours: tuple[tuple[str, float], ...]


def equal_counts(counts: Counts) -> Equal | None:
    """The counts of every level as far on as the least developed one came.

    None where hours or temperatures are missing, where one hour is that already, or where a level was not
    counted near that dose.
    """
    by_level = {level: doses_of(counts, level) for level in counts.levels}
    if len(by_level) < 2 or not all(by_level.values()):
        return None
    target = min(max(doses.values()) for doses in by_level.values())
    if target <= 0.0:
        return None
    hours = {
        level: min(doses, key=lambda hour: abs(log(max(doses[hour], 1e-9) / target)))
        for level, doses in by_level.items()
    }
    far = [by_level[level][hour] / target for level, hour in hours.items()]
    if len(set(hours.values())) == 1 or not all(1 / EQUAL_WITHIN <= ratio <= EQUAL_WITHIN for ratio in far):
        return None
    return Equal(counts.at(hours), target, tuple(hours.items()))


def doses_of(counts: Counts, level: str) -> dict[float, float]:
    """By hour, the mean dose of a level's cups; empty where an hour or a temperature is missing."""
    cups = counts.of_level(level)
    known = [
        (cup.hours, cup.hours * pace(cup.water_c)) for cup in cups if cup.hours and cup.water_c is not None
    ]
    if len(known) < len(cups):
        return {}
    by_hour: dict[float, list[float]] = {}
    for hour, dose in known:
        by_hour.setdefault(hour, []).append(dose)
    return {hour: sum(doses) / len(doses) for hour, doses in by_hour.items()}


def mean_water_c(cups: tuple[CupCount, ...]) -> float | None:
    """Mean temperature of the cups' water; None where it is not known of all."""
    known = [cup.water_c for cup in cups if cup.water_c is not None]
    return sum(known) / len(known) if known and len(known) == len(cups) else None
