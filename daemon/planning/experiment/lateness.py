"""Could a difference be lateness? A cold cup is late before it is poor, and so is a salty one.

Two ways to know: the water's warmth or salt by level and the hours since setting (with the hatching times of
published lots), or two counts some hours apart (whether the lower level still rose).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import exp, sqrt
from typing import Literal, Protocol

from daemon.planning.experiment.counts import Counts
from daemon.planning.experiment.development import Circumstances, circumstances_of, pace_of, pairs
from daemon.planning.experiment.equal_development import EQUAL_WITHIN
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
    """Whether lateness could be why a level hatched less than another.

    `late` is the level least far on and `early` the one farthest on; by two counts, lowest and highest.
    By warmth or salt, `count_again_h` is the hour after setting at which `late` is as far as `early` was when
    they were counted.
    """

    late: str
    early: str
    verdict: Verdict
    count_again_h: float | None = None


def lateness_of(all_counts: Counts, now: Counts, shares: Mapping[str, Share]) -> Lateness | None:
    """By warmth or salt and hours where they are known of every cup, else by two counts; else None.

    None too where all levels were equally far on, within 15 %.
    """
    hours, circumstances = now.cups[0].hours, circumstances_of(now)
    if len(shares) < 2 or hours is None:
        return None
    if circumstances is None:
        return _by_two_counts(all_counts, now, shares)
    return _by_pace(hours, now, circumstances, shares)


def _by_pace(
    hours: float, now: Counts, circumstances: Circumstances, shares: Mapping[str, Share]
) -> Lateness | None:
    paces = {level: pace_of(now.of_level(level), circumstances) for level in shares}
    early, late = max(paces, key=lambda level: paces[level]), min(paces, key=lambda level: paces[level])
    if paces[early] <= EQUAL_WITHIN * paces[late]:
        return None
    if paces[late] == 0.0:
        return Lateness(late, early, "stands still")
    again = hours * paces[early] / paces[late]
    one, other = shares[late], shares[early]
    if one.share >= other.share:
        return Lateness(late, early, "not behind", again)
    open_paces = list(pairs(now.of_level(late), now.of_level(early), circumstances))
    least = min(_ratios(hours, open_paces, other.low), default=0.0)
    if least >= 1.0 - NEAR:
        return Lateness(late, early, "had time", again)
    # The two shares' intervals together, so that "more than late" is said only where no reading of them fits.
    at_most = one.high / other.low if other.low > 0.0 else 1.0
    return Lateness(late, early, "could be late" if at_most >= least else "more than late", again)


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


def _by_two_counts(all_counts: Counts, now: Counts, shares: Mapping[str, Share]) -> Lateness | None:
    hour = now.cups[0].hours
    before = [each for each in all_counts.hours if hour is not None and each < hour]
    late, early = (
        min(shares, key=lambda level: shares[level].share),
        max(shares, key=lambda level: shares[level].share),
    )
    if not before or shares[late].share == shares[early].share:
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
