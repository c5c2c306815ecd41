"""Could a difference be lateness? A cold cup is late before it is poor, and so is a salty one.

Each level that hatched less than the best one is held against it. Two ways to know: the water's warmth or
salt by level and the hours since setting (with the hatching times of published lots), or two counts some
hours apart (whether the lower level still rose).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import exp, sqrt
from typing import Literal, Protocol

from daemon.planning.experiment.counts import Counts
from daemon.planning.experiment.development import Circumstances, circumstances_of, pace_of, pairs
from daemon.planning.experiment.equal_development import EQUAL_WITHIN, equal_counts
from daemon.planning.experiment.level import unit_of
from daemon.science.distributions import student_t_quantile
from daemon.science.hatching import (
    SYNCHRONY_LN_SD,
    SYNCHRONY_MEDIAN,
    T50_LN_SD,
    T50_MEDIAN_H,
    UNEVEN_MEDIAN,
    hatched_share,
)

# A share that lies this near counts as had: five in a hundred [P].
NEAR = 0.05
# Lots from the quickest to the slowest tenth, even and uneven ones.
_T50_H = tuple(
    T50_MEDIAN_H * exp(T50_LN_SD * z) for z in (-1.28, -0.84, -0.52, -0.25, 0.0, 0.25, 0.52, 0.84, 1.28)
)
_SYNCHRONIES = (
    *(SYNCHRONY_MEDIAN * exp(SYNCHRONY_LN_SD * z) for z in (-1.28, 0.0, 1.28)),
    UNEVEN_MEDIAN,
)

Verdict = Literal[
    "not behind",
    "caught up",
    "had time",
    "could be late",
    "more than late",
    "stands still",
    "still rose",
    "at rest",
    "not known",
]


class Share(Protocol):
    """A level's share and its interval."""

    @property
    def share(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Lateness:
    """Whether lateness could be why a level hatched less than the best one.

    `late` is the level that hatched less and `early` the best. By warmth or salt, `count_again_h` is the hour
    after setting at which `late` is as far as `early` was when they were counted. Where it was counted when
    about so far, `caught_up` has the hour and the share of either, `late` first.
    """

    late: str
    early: str
    verdict: Verdict
    count_again_h: float | None = None
    caught_up: tuple[tuple[float, float], ...] = ()


def lateness_of(all_counts: Counts, now: Counts, shares: Mapping[str, Share]) -> tuple[Lateness, ...]:
    """Of each level that hatched less than the best, in the order of levels, where something is known of it.

    By warmth or salt and hours where they are known of every cup, else by two counts. Nothing where it and
    the best were equally far on, within 15 %.
    """
    hours, circumstances = now.cups[0].hours, circumstances_of(now)
    if len(shares) < 2 or hours is None:
        return ()
    # Of several best the one least far on: what lags behind that one lags behind all.
    most = max(share.share for share in shares.values())
    best = [level for level in shares if shares[level].share == most]
    lower = [level for level in shares if shares[level].share < most]
    if circumstances is None:
        found = [_by_two_counts(all_counts, now, level, best[0]) for level in lower]
    else:
        early = min(best, key=lambda level: pace_of(now.of_level(level), circumstances))
        found = [_by_pace(all_counts, now, circumstances, shares, (level, early)) for level in lower]
    return tuple(each for each in found if each is not None)


def lateness_is_open(counts: Counts) -> bool:
    """Whether lateness may be the reason of a difference, for all that these counts say of warmth and salt.

    Not where the water was alike in what could be the factor: warmth always, salt where levels seem to be of
    it (a number, or a word such as "salty").
    """
    warmth, salt = ([getattr(cup, name) for cup in counts.cups] for name in ("water_c", "salt_g_per_l"))
    if any(value is None for value in warmth):
        return True
    seems_salt = any(unit_of(level) is not None or "sal" in level.casefold() for level in counts.levels)
    return seems_salt and any(value is None for value in salt)


def _by_pace(
    all_counts: Counts,
    now: Counts,
    circumstances: Circumstances,
    shares: Mapping[str, Share],
    pair: tuple[str, str],
) -> Lateness | None:
    late, early = pair
    behind, ahead = now.of_level(late), now.of_level(early)
    pace, best_pace = pace_of(behind, circumstances), pace_of(ahead, circumstances)
    if pace == 0.0:
        return Lateness(late, early, "stands still") if best_pace > 0.0 else None
    if pace > EQUAL_WITHIN * best_pace:
        return Lateness(late, early, "not behind")
    if best_pace <= EQUAL_WITHIN * pace:
        return None
    hours = now.cups[0].hours or 0.0
    again = hours * best_pace / pace
    if caught_up := _caught_up(all_counts, pair):
        return Lateness(late, early, "caught up", again, caught_up)
    one, other = shares[late], shares[early]
    least = min(_ratios(hours, list(pairs(behind, ahead, circumstances)), other.low), default=0.0)
    if least >= 1.0 - NEAR:
        return Lateness(late, early, "had time", again)
    # The two shares' intervals together, so that "more than late" is said only where no reading of them fits.
    at_most = one.high / other.low if other.low > 0.0 else 1.0
    return Lateness(late, early, "could be late" if at_most >= least else "more than late", again)


def _caught_up(counts: Counts, levels: tuple[str, str]) -> tuple[tuple[float, float], ...]:
    """Hour and share of each where both were equally far on; nothing where they were not counted so."""
    equal = equal_counts(Counts(tuple(cup for cup in counts.cups if cup.level in levels)))
    if equal is None:
        return ()
    hours = dict(equal.hours)
    cups = [equal.counts.of_level(level) for level in levels]
    shares = [sum(cup.hatched for cup in each) / sum(cup.of for cup in each) for each in cups]
    return tuple((hours[level], share) for level, share in zip(levels, shares, strict=True))


def _ratios(hours: float, paces: Sequence[tuple[float, float]], least_hatched: float) -> Iterator[float]:
    """How much of what the early level has hatched the late one has, were they alike but for their pace.

    Over lots that can have hatched at least so much in the early level by then.
    """
    for t50_h in _T50_H:
        for synchrony in _SYNCHRONIES:
            for behind, ahead in paces:
                had = hatched_share(hours * ahead, t50_h, synchrony)
                if had >= max(least_hatched, 0.01):
                    yield hatched_share(hours * behind, t50_h, synchrony) / had


def _by_two_counts(all_counts: Counts, now: Counts, late: str, early: str) -> Lateness | None:
    hour = now.cups[0].hours
    before = [each for each in all_counts.hours if hour is not None and each < hour]
    if not before:
        return None
    earlier = {cup.cup: cup for cup in all_counts.at_hour(before[-1]).of_level(late)}
    rises = [cup.share - earlier[cup.cup].share for cup in now.of_level(late) if cup.cup in earlier]
    return Lateness(late, early, _rise_verdict(rises))


def _rise_verdict(rises: Sequence[float]) -> Verdict:
    """Whether cups rose by more than five in a hundred, by their mean and its 95 % interval over cups."""
    if len(rises) < 2:
        return "not known"
    mean = sum(rises) / len(rises)
    error = sqrt(sum((rise - mean) ** 2 for rise in rises) / (len(rises) - 1) / len(rises))
    reach = student_t_quantile(0.975, len(rises) - 1) * error
    if mean - reach > 0.0:
        return "still rose"
    return "at rest" if mean + reach < NEAR else "not known"
