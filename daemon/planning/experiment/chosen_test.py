"""Which test an experiment gets, chosen by its design and never by its result, and what it finds.

- One level: none, there is nothing to compare.
- One cup in any level: none, nobody could tell the level from that cup (Hurlbert 1984, pseudoreplication).
- Two levels, one animal in every cup: Fisher's exact test.
- Fewer than five cups in any level, or one animal a cup at three levels and more: the rank test of Kruskal &
  Wallis; exact, or by dealings drawn at random where all are over a million.
- Five cups or more in every level, or cups of one level that hold over twice as many cysts as those of
  another: quasi-binomial, F between the levels with the cup as unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from typing import Literal

from daemon.science.distributions import f_survival
from daemon.science.quasi_binomial import treatments_test
from daemon.science.replicate_cups import Cup
from daemon.science.significance import (
    MOST_ARRANGEMENTS_EXACT,
    arrangements,
    fisher_exact_p,
    kruskal_wallis,
    p_by_drawn_dealings,
    smallest_rank_p,
)

# The customary border of what chance rarely does (common practice, no source).
RARE = 0.05
# With fewer cups nobody can see whether the F test's assumptions hold; the rank test makes none. As many as
# are commonly asked for before ranks are judged by chi-squared (common practice, no source).
CUPS_FOR_THE_MODEL = 5
# Ranks of shares are fair only where cups are alike but for their level. Up to twice as many cysts they
# rejected at most 6 of 100 simulated experiments without effect, of ten times as many 23 [C]; F at most 5.
MOST_TIMES_THE_CYSTS = 2.0
SEED = 20_270_212  # of the dealings drawn: the same counts always give the same p

Test = Literal[
    "none", "Fisher exact", "Kruskal-Wallis exact", "Kruskal-Wallis by drawn dealings", "quasi-binomial F"
]
WhyNone = Literal["", "one level", "one cup"]


@dataclass(frozen=True, slots=True)
class MadeTest:
    """What the chosen test found. Without a test: why, and no figures.

    `smallest_p` is the smallest p that these cups could have given, however far apart the levels lie (of the
    F test a bound below it).
    `p_chi_squared` is the rank test's by chi-squared, which is meant for five cups a level and more.
    """

    test: Test
    statistic: float | None = None
    p: float | None = None
    smallest_p: float | None = None
    why_none: WhyNone = ""
    degrees: tuple[int, int] | None = None
    p_chi_squared: float | None = None


def chosen_for(cups_a_level: Sequence[int], *, single_animals: bool = False, uneven: bool = False) -> Test:
    """The test of a design: cups in each level, one animal a cup, `uneven`: one level's hold far more."""
    if len(cups_a_level) < 2 or min(cups_a_level) < 2:
        return "none"
    if single_animals and len(cups_a_level) == 2:
        return "Fisher exact"
    if uneven or (not single_animals and min(cups_a_level) >= CUPS_FOR_THE_MODEL):
        return "quasi-binomial F"
    if arrangements(cups_a_level) > MOST_ARRANGEMENTS_EXACT:
        return "Kruskal-Wallis by drawn dealings"
    return "Kruskal-Wallis exact"


def judged(levels: Sequence[Sequence[Cup]]) -> MadeTest:
    """The chosen test of some levels' cups, each (hatched, of)."""
    sizes = [len(cups) for cups in levels]
    match chosen_for(sizes, single_animals=are_single(levels), uneven=_are_uneven(levels)):
        case "none":
            return MadeTest("none", why_none="one level" if len(levels) < 2 else "one cup")
        case "Fisher exact":
            return _fisher(levels)
        case "quasi-binomial F":
            found = treatments_test(levels)
            degrees = found.degrees, found.within_degrees
            return MadeTest("quasi-binomial F", found.f, found.p, _least_p(levels, *degrees), degrees=degrees)
        case ranked:
            return _ranked(levels, ranked)


def are_single(levels: Sequence[Sequence[Cup]]) -> bool:
    """Whether every cup holds one animal."""
    return all(of == 1 for cups in levels for _, of in cups)


def _are_uneven(levels: Sequence[Sequence[Cup]]) -> bool:
    held = [sum(of for _, of in cups) / len(cups) for cups in levels]
    return max(held) > MOST_TIMES_THE_CYSTS * min(held)


def _fisher(levels: Sequence[Sequence[Cup]]) -> MadeTest:
    (one, of), (other, other_of) = ((sum(y for y, _ in cups), len(cups)) for cups in levels)
    p = fisher_exact_p(one, of - one, other, other_of - other)
    return MadeTest("Fisher exact", None, p, fisher_exact_p(of, 0, 0, other_of))


def _ranked(levels: Sequence[Sequence[Cup]], test: Test) -> MadeTest:
    shares = [[y / of for y, of in cups] for cups in levels]
    found, smallest = kruskal_wallis(shares), smallest_rank_p([len(cups) for cups in levels])
    p = p_by_drawn_dealings(shares, SEED) if found.p_exact is None else found.p_exact
    return MadeTest(test, found.h, p, smallest, p_chi_squared=found.p_chi_squared)


def _least_p(levels: Sequence[Sequence[Cup]], degrees: int, within_degrees: int) -> float:
    """The model's p, were all deviance there can be (2·ln 2 a cyst) between the levels and none within."""
    most = 2.0 * log(2.0) * sum(of for cups in levels for _, of in cups)
    return f_survival(most / degrees, degrees, within_degrees)
