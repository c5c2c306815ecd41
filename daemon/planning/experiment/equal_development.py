"""Cups at equal development: each level at the hour at which it was as far as the others."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, log

from daemon.planning.experiment.counts import Counts
from daemon.planning.experiment.development import Circumstances, circumstances_of, pace_of

# Development within this factor counts as equal: half of the hatch takes a third of T50 [P].
EQUAL_WITHIN = 1.15
# Where neither warmth nor salt is known of every cup, all are taken to have one pace: hours alone count.
_HOURS_ALONE = Circumstances(warmth=False, salt=False)


@dataclass(frozen=True, slots=True)
class Equal:
    """The counts nearest to one development, and each level's hour, in the order of levels.

    `by_hours_alone` where nothing is known of warmth and salt, so that they were taken to be alike.
    """

    counts: Counts
    hours: tuple[tuple[str, float], ...]
    by_hours_alone: bool = False


def equal_counts(counts: Counts, *, by_hours_alone: bool = False) -> Equal | None:
    """The counts of every level as far on as the least developed one came.

    None where hours are missing, or both warmth and salt (unless `by_hours_alone`), where one hour is that
    already, or where a level, or a cup of it, was not counted near that development.
    """
    known = circumstances_of(counts)
    circumstances = known or (_HOURS_ALONE if by_hours_alone else None)
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
    near = counts.at(hours)
    if {(cup.level, cup.cup) for cup in near.cups} != {(cup.level, cup.cup) for cup in counts.cups}:
        return None
    return Equal(near, tuple(hours.items()), by_hours_alone=known is None)


def wanting(counts: Counts) -> list[tuple[str, float]]:
    """Which levels are to be counted at which hour for equal development of all; none where not known."""
    circumstances = circumstances_of(counts)
    if circumstances is None:
        return []
    by_level = {level: _doses(counts, level, circumstances) for level in counts.levels}
    target = max(min(doses.values()) for doses in by_level.values())
    paces = {level: pace_of(counts.of_level(level), circumstances) for level in counts.levels}
    if min(paces.values()) <= 0.0 or not isfinite(target):
        return []
    return [
        (level, target / paces[level])
        for level, doses in by_level.items()
        if not any(target / EQUAL_WITHIN <= dose <= target * EQUAL_WITHIN for dose in doses.values())
    ]


def _doses(counts: Counts, level: str, circumstances: Circumstances) -> Mapping[float, float]:
    """By hour, how far a level's cups were."""
    cups = counts.of_level(level)
    hours = sorted({cup.hours for cup in cups if cup.hours is not None})
    return {hour: hour * pace_of([cup for cup in cups if cup.hours == hour], circumstances) for hour in hours}
