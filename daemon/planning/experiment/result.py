"""What an experiment's counts show: shares with intervals, a test, a slope, what lateness may do."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from daemon.errors import InputError
from daemon.planning.experiment.chosen_test import MadeTest, are_single, judged
from daemon.planning.experiment.counts import Counts, numbers_of
from daemon.planning.experiment.equal_development import Equal, equal_counts
from daemon.planning.experiment.lateness import Lateness, lateness_of
from daemon.science.confidence_intervals import wilson
from daemon.science.quasi_binomial import DoseSlope, TreatmentsTest, dose_slope, treatments_test
from daemon.science.replicate_cups import Cup, share_over_cups


@dataclass(frozen=True, slots=True)
class LevelShare:
    """A level's share hatched with its 95 % interval, and its cups, each (hatched, of).

    Of several cups the interval is of the level, with the cup as unit; of one cup it is of that cup alone.
    """

    level: str
    share: float
    low: float
    high: float
    cups: tuple[Cup, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """Levels side by side, and the test that their design gets."""

    levels: tuple[LevelShare, ...]
    tested: MadeTest


@dataclass(frozen=True, slots=True)
class Result:
    """What the counts show.

    `hours` is the hour after setting that was compared, where known. `model` is the quasi-binomial test,
    whatever the chosen one was, None where it cannot be had; `slope` the change of log odds with a numbered
    level. `equal` says which counts are of equal development, and `at_equal` what they show.
    """

    levels: tuple[LevelShare, ...]
    tested: MadeTest
    hours: float | None = None
    model: TreatmentsTest | None = None
    slope: DoseSlope | None = None
    lateness: Lateness | None = None
    equal: Equal | None = None
    at_equal: Compared | None = None


def result_of(counts: Counts, hours: float | None = None) -> Result:
    """What the counts of an hour show; of the last hour at which every level was counted when not given.

    Counts without hours may all be given one. Raises InputError for an hour at which a level was not counted.
    """
    counts, now = _at_hour(counts, hours)
    compared = compared_of(now)
    cups = [level.cups for level in compared.levels]
    equal = equal_counts(counts)
    hour = now.cups[0].hours
    return Result(
        compared.levels,
        compared.tested,
        hour,
        model=_model(cups),
        slope=_slope(compared.levels),
        lateness=lateness_of(counts, now, {level.level: level for level in compared.levels}),
        equal=equal,
        at_equal=compared_of(equal.counts) if equal else None,
    )


def compared_of(counts: Counts) -> Compared:
    """Shares and test of counts of which there is one a cup."""
    levels = [
        (level, tuple((cup.hatched, cup.of) for cup in counts.of_level(level))) for level in counts.levels
    ]
    single = are_single([cups for _, cups in levels])
    shares = tuple(_level_share(level, cups, single=single) for level, cups in levels)
    return Compared(shares, judged([cups for _, cups in levels]))


def _level_share(level: str, cups: tuple[Cup, ...], *, single: bool) -> LevelShare:
    hatched, of = sum(y for y, _ in cups), sum(n for _, n in cups)
    if len(cups) == 1 or single:
        return LevelShare(level, hatched / of, *wilson(hatched, of), cups)
    found = share_over_cups(cups)
    return LevelShare(level, found.share, found.low, found.high, cups)


def _model(levels: Sequence[Sequence[Cup]]) -> TreatmentsTest | None:
    if len(levels) < 2 or min(map(len, levels)) < 2 or are_single(levels):
        return None
    return treatments_test(levels)


def _slope(levels: Sequence[LevelShare]) -> DoseSlope | None:
    """Of numbered levels, three or more, with two cups or more each."""
    doses = numbers_of([level.level for level in levels])
    if doses is None or len(doses) < 3 or min(len(level.cups) for level in levels) < 2:
        return None
    dosed = zip(doses, levels, strict=True)
    return dose_slope([(dose, *cup) for dose, level in dosed for cup in level.cups])


def _at_hour(counts: Counts, hours: float | None) -> tuple[Counts, Counts]:
    """All counts with their hours, and those of the hour asked for."""
    if not counts.hours:
        if hours is None:
            return counts, counts
        given = Counts(tuple(replace(cup, hours=hours) for cup in counts.cups))
        return given, given
    full = [hour for hour in counts.hours if counts.at_hour(hour).levels == counts.levels]
    allowed = ", ".join(f"{hour:g}" for hour in full) or "none, for no hour has counts of all levels"
    if not full or (hours is not None and hours not in full):
        found = "none" if hours is None else f"{hours:g}"
        raise InputError(f"hours: found {found}; allowed: an hour with counts of every level: {allowed}")
    return counts, counts.at_hour(full[-1] if hours is None else hours)
