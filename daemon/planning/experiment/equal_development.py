"""Cups at equal development: each level at the hour at which it was as far as the others."""

from dataclasses import dataclass
from math import log

from daemon.planning.experiment.counts import Counts
from daemon.planning.experiment.development import Circumstances, circumstances_of, pace_of

# Development within this factor counts as equal: half of the hatch takes a third of T50 [P].
EQUAL_WITHIN = 1.15


@dataclass(frozen=True, slots=True)
class Equal:
    """The counts nearest to one development, and each level's hour, in the order of levels."""

    counts: Counts
    hours: tuple[tuple[str, float], ...]


def equal_counts(counts: Counts) -> Equal | None:
    """The counts of every level as far on as the least developed one came.

    None where hours, or both warmth and salt, are missing, where one hour is that already, or where a level
    was not counted near that development.
    """
    circumstances = circumstances_of(counts)
    if circumstances is None or len(counts.levels) < 2 or not counts.hours:
        return None
    by_level = {level: _doses(counts, level, circumstances) for level in counts.levels}
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
    return Equal(counts.at(hours), tuple(hours.items()))


def _doses(counts: Counts, level: str, circumstances: Circumstances) -> dict[float, float]:
    """By hour, how far a level's cups were."""
    cups = counts.of_level(level)
    hours = sorted({cup.hours for cup in cups if cup.hours is not None})
    return {hour: hour * pace_of([cup for cup in cups if cup.hours == hour], circumstances) for hour in hours}
