"""Which test an experiment gets, chosen by its design and never by its result, and what it finds.

- One level: none, there is nothing to compare.
- One cup in any level: none, nobody could tell the level from that cup (Hurlbert 1984, pseudoreplication).
- Two levels, one animal in every cup: Fisher's exact test.
- Fewer than five cups in any level, or one animal a cup at three levels and more: the rank test of Kruskal &
  Wallis; exact, or by dealings drawn at random where all are over a million.
- Five cups or more in every level: quasi-binomial, F between the levels with the cup as unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from daemon.science.quasi_binomial import TreatmentsTest, treatments_test
from daemon.science.replicate_cups import Cup
from daemon.science.significance import (
    fisher_exact_p,
    kruskal_wallis,
    p_by_drawn_dealings,
    smallest_rank_p,
)

# With fewer cups nobody can see whether the F test's assumptions hold; the rank test makes none. As many as
# are commonly asked for before ranks are judged by chi-squared (common practice, no source).
CUPS_FOR_THE_MODEL = 5
SEED = 20_270_212  # of the dealings drawn: the same counts always give the same p

Test = Literal[
    "none", "Fisher exact", "Kruskal-Wallis exact", "Kruskal-Wallis by drawn dealings", "quasi-binomial F"
]
WhyNone = Literal["", "one level", "one cup"]


@dataclass(frozen=True, slots=True)
class Tested:
    """What the chosen test found. Without a test: why, and no figures.

    `smallest_p` is the smallest p that these cups could have given, however far apart the levels lie.
    `p_chi_squared` is the rank test's by chi-squared, which is meant for five cups a level and more.
    """

    test: Test
    statistic: float | None = None
    p: float | None = None
    smallest_p: float | None = None
    why_none: WhyNone = ""
    degrees: tuple[int, int] | None = None
    p_chi_squared: float | None = None


def test_for(cups_a_level: Sequence[int], *, single_animals: bool) -> Test:
    """The test of a design: cups in each level, and whether every cup holds one animal."""
    if len(cups_a_level) < 2 or min(cups_a_level) < 2:
        return "none"
    if single_animals and len(cups_a_level) == 2:
        return "Fisher exact"
    if not single_animals and min(cups_a_level) >= CUPS_FOR_THE_MODEL:
        return "quasi-binomial F"
    return "Kruskal-Wallis exact"


def tested(levels: Sequence[Sequence[Cup]]) -> Tested:
    """The chosen test of some levels' cups, each (hatched, of)."""
    sizes = [len(cups) for cups in levels]
    match test_for(sizes, single_animals=are_single(levels)):
        case "none":
            return Tested("none", why_none="one level" if len(levels) < 2 else "one cup")
        case "Fisher exact":
            return _fisher(levels)
        case "quasi-binomial F":
            found = treatments_test(levels)
            degrees = found.degrees, found.within_degrees
            return Tested("quasi-binomial F", found.f, found.p, _farthest(levels).p, degrees=degrees)
        case _:
            return _ranked(levels)


def are_single(levels: Sequence[Sequence[Cup]]) -> bool:
    """Whether every cup holds one animal."""
    return all(of == 1 for cups in levels for _, of in cups)


def _fisher(levels: Sequence[Sequence[Cup]]) -> Tested:
    (one, of), (other, other_of) = ((sum(y for y, _ in cups), len(cups)) for cups in levels)
    p = fisher_exact_p(one, of - one, other, other_of - other)
    return Tested("Fisher exact", None, p, fisher_exact_p(of, 0, 0, other_of))


def _ranked(levels: Sequence[Sequence[Cup]]) -> Tested:
    shares = [[y / of for y, of in cups] for cups in levels]
    found, smallest = kruskal_wallis(shares), smallest_rank_p([len(cups) for cups in levels])
    exact = found.p_exact
    test: Test = "Kruskal-Wallis by drawn dealings" if exact is None else "Kruskal-Wallis exact"
    p = p_by_drawn_dealings(shares, SEED) if exact is None else exact
    return Tested(test, found.h, p, smallest, p_chi_squared=found.p_chi_squared)


def _farthest(levels: Sequence[Sequence[Cup]]) -> TreatmentsTest:
    """The model's test had every cyst hatched in half of the levels, and none in the others."""
    half = len(levels) // 2
    return treatments_test(
        [[(of if place < half else 0, of) for _, of in cups] for place, cups in enumerate(levels)]
    )
