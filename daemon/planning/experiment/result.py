"""What an experiment's counts show: shares with intervals, a test, a slope, what lateness may do."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from daemon.errors import InputError
from daemon.planning.experiment.chosen_test import RARE, MadeTest, are_single, judged
from daemon.planning.experiment.counts import Counts, numbers_of
from daemon.planning.experiment.development import circumstances_of
from daemon.planning.experiment.equal_development import Equal, equal_counts, wanting
from daemon.planning.experiment.lateness import Lateness, lateness_is_open, lateness_of
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


# Where chance makes cups as different more often than that, there is no difference to explain [P].
OFTEN = 0.2

WhyNoSlope = Literal["", "no doses", "bent", "not shown"]


@dataclass(frozen=True, slots=True)
class Result:
    """What the counts show.

    `hours` is the hour after setting that was compared, where known. `model` is the quasi-binomial test,
    whatever the chosen one was, None where it cannot be had; `slope` the change of log odds with a numbered
    level, None where `why_no_slope` says why. `equal` says which counts are of equal development, and
    `at_equal` what they show: the levels and their test are those too, unless an hour was asked for.
    `lateness` is empty where there is no difference to explain, or where equal development was compared;
    `lateness_open` says that warmth or salt may be the reason and that too little is known of them.
    """

    levels: tuple[LevelShare, ...]
    tested: MadeTest
    hours: float | None = None
    model: TreatmentsTest | None = None
    slope: DoseSlope | None = None
    why_no_slope: WhyNoSlope = "no doses"
    lateness: tuple[Lateness, ...] = ()
    lateness_open: bool = False
    equal: Equal | None = None
    at_equal: Compared | None = None


def result_of(counts: Counts, hours: float | None = None) -> Result:
    """What the counts of an hour show, or those of equal development where no hour is asked for.

    Where there are none of equal development, of the last hour at which every level was counted. Counts
    without hours may all be given one. Raises InputError for an hour at which a level was not counted, and
    where no counts can be compared.
    """
    counts, full = _with_hours(counts, hours)
    equal = equal_counts(counts, by_hours_alone=not full)
    at_equal = compared_of(equal.counts) if equal else None
    if equal and at_equal and hours is None:
        is_open = equal.by_hours_alone and _differ(at_equal)
        return _result(at_equal, None, equal=equal, at_equal=at_equal, lateness_open=is_open)
    now = _at_hour(counts, full, hours)
    compared = compared_of(now)
    settled = bool(equal) or not _differ(compared)
    shares = {level.level: level for level in compared.levels}
    lateness = () if settled else lateness_of(counts, now, shares)
    is_open = not settled and not lateness and lateness_is_open(now)
    found = _result(compared, now.cups[0].hours, equal=equal, at_equal=at_equal, lateness_open=is_open)
    return replace(found, lateness=tuple(late for late in lateness if _is_borne_out(late, compared)))


def _result(
    compared: Compared,
    hours: float | None,
    *,
    equal: Equal | None,
    at_equal: Compared | None,
    lateness_open: bool,
) -> Result:
    slope, why_no_slope = _slope(compared)
    return Result(
        compared.levels,
        compared.tested,
        hours,
        model=_model([level.cups for level in compared.levels]),
        slope=slope,
        why_no_slope=why_no_slope,
        lateness_open=lateness_open,
        equal=equal,
        at_equal=at_equal,
    )


def _differ(compared: Compared) -> bool:
    """Whether there is a difference to explain: one that was seen, and that chance does not often make.

    Cups that are too few to tell, but lie as far apart as they can, look like one.
    """
    shares, tested = {level.share for level in compared.levels}, compared.tested
    if len(shares) < 2 or tested.p is None:
        return len(shares) > 1
    return tested.p <= OFTEN or tested.p == tested.smallest_p


def _is_borne_out(late: Lateness, compared: Compared) -> bool:
    """More than late is a difference that is sure: only the test may say so."""
    p = compared.tested.p
    return late.verdict != "more than late" or (p is not None and p <= RARE)


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


def _slope(compared: Compared) -> tuple[DoseSlope | None, WhyNoSlope]:
    """Of numbered levels, three or more, with two cups or more each, where a difference was shown."""
    levels, p = compared.levels, compared.tested.p
    doses = numbers_of([level.level for level in levels])
    if doses is None or len(doses) < 3 or min(len(level.cups) for level in levels) < 2:
        return None, "no doses"
    if p is None or p > RARE:
        return None, "not shown"
    shares = [level.share for level in levels]
    ends = shares[0], shares[-1]
    if max(shares) > max(ends) or min(shares) < min(ends):
        return None, "bent"
    dosed = zip(doses, levels, strict=True)
    slope = dose_slope([(dose, *cup) for dose, level in dosed for cup in level.cups])
    return slope, "" if slope else "no doses"


def _with_hours(counts: Counts, hours: float | None) -> tuple[Counts, list[float]]:
    """All counts with their hours, and the hours at which every level was counted."""
    if not counts.hours:
        if hours is None:
            return counts, []
        counts = Counts(tuple(replace(cup, hours=hours) for cup in counts.cups))
    return counts, [hour for hour in counts.hours if counts.at_hour(hour).levels == counts.levels]


def _at_hour(counts: Counts, full: Sequence[float], hours: float | None) -> Counts:
    """The counts of the hour asked for."""
    if not counts.hours:
        return counts
    if hours is not None and hours not in full:
        allowed = ", ".join(f"{hour:g}" for hour in full) or "none, for no hour has counts of all levels"
        raise InputError(f"hours: found {hours:g}; allowed: an hour with counts of every level: {allowed}")
    if not full:
        raise InputError(_not_comparable(counts))
    return counts.at_hour(full[-1] if hours is None else hours)


def _not_comparable(counts: Counts) -> str:
    """Which hours were found of which level, and what is missing."""
    found = "; ".join(
        f"{level} at {', '.join(f'{hour:g}' for hour in Counts(counts.of_level(level)).hours)}"
        for level in counts.levels
    )
    missing = ", ".join(f"{level} at hour {hour:.0f}" for level, hour in wanting(counts))
    how = f"; missing for that: {missing}" if missing else ""
    if circumstances_of(counts) is None:
        how = ", which takes water_c or salt_g_per_l of every cup"
    return f"hours: found {found}; allowed: counts of every level at one hour, or at equal development{how}"
