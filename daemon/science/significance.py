"""Is there a difference: Fisher's exact test on two shares, a rank test on several groups of cups.

Fisher's test takes every cyst as independent of the others, which cysts of one cup are not: it is for one
animal a well, or for cups that hatched or did not. Between treatments of several cups use the rank test.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import comb, factorial, prod

from daemon.science.distributions import chi_squared_survival
from daemon.science.valid_range import within

MOST_IN_A_TABLE = 10_000
MOST_ARRANGEMENTS_EXACT = 1_000_000  # 5, 4 and 4 cups have 90,090


def fisher_exact_p(hits: int, misses: int, other_hits: int, other_misses: int) -> float:
    """Two-sided p of a 2 × 2 table: all tables of the same margins that are no more likely than this one.

    Fisher's exact test (Fisher 1935; Agresti, *Categorical Data Analysis*, ch. 3) [M], in whole numbers, so
    without rounding. [[8, 2], [1, 5]] gives 0.034965.
    """
    table = (hits, misses, other_hits, other_misses)
    for count in table:
        within("count", count, 0, MOST_IN_A_TABLE)
    row, column, total = hits + misses, hits + other_hits, sum(table)
    within("counts together", total, 1, MOST_IN_A_TABLE)
    ways = {
        k: comb(column, k) * comb(total - column, row - k)
        for k in range(max(0, row + column - total), min(row, column) + 1)
    }
    return sum(w for w in ways.values() if w <= ways[hits]) / comb(total, row)


@dataclass(frozen=True)
class RankTest:
    """Kruskal & Wallis's H, its p by chi-squared, and the exact p where the groups are small (else None)."""

    h: float
    p_chi_squared: float
    p_exact: float | None


def kruskal_wallis(groups: Sequence[Sequence[float]]) -> RankTest:
    """Do groups of cups differ in level? Rank test of Kruskal & Wallis 1952 with correction for ties [M].

    The exact p counts all ways to deal the ranks out to the groups, up to a million ways; chi-squared with
    groups − 1 degrees is meant for five or more a group. 3 against 3 cups cannot go below p = 0.10, 4 against
    4 below 0.029. All values alike: H 0, p 1. Needs two groups with at least one value each.
    """
    within("groups", len(groups), 2, 20)
    for group in groups:
        within("cups in a group", len(group), 1, 1000)
    sizes = [len(group) for group in groups]
    twice_ranks, ties = _twice_mid_ranks([float(value) for value in chain.from_iterable(groups)])
    if ties == 0.0:
        return RankTest(0.0, 1.0, 1.0)
    sums, begin = [], 0
    for size in sizes:
        sums.append(sum(twice_ranks[begin : begin + size]))
        begin += size
    h = _h(sums, sizes, ties)
    return RankTest(h, chi_squared_survival(h, len(groups) - 1), _exact_p(twice_ranks, sizes, sums))


def _twice_mid_ranks(values: list[float]) -> tuple[list[int], float]:
    """Ranks times two, ties sharing theirs (whole numbers that way), and the divisor for ties."""
    for value in values:
        within("value", value, -1e300, 1e300)
    first: dict[float, int] = {}
    for place, value in enumerate(sorted(values), start=1):
        first.setdefault(value, place)
    alike = Counter(values)
    n = len(values)
    lost = sum(t**3 - t for t in alike.values())
    return [2 * first[v] + alike[v] - 1 for v in values], 1.0 - lost / (n**3 - n)


def _h(twice_sums: Sequence[int], sizes: Sequence[int], ties: float) -> float:
    n = sum(sizes)
    squares = sum((s / 2.0) ** 2 / size for s, size in zip(twice_sums, sizes, strict=True))
    return max(0.0, 12.0 / (n * (n + 1)) * squares - 3.0 * (n + 1)) / ties


def _exact_p(twice_ranks: Sequence[int], sizes: Sequence[int], seen: Sequence[int]) -> float | None:
    """Share of all dealings whose H is at least the seen one; None where there are too many dealings."""
    dealings = factorial(sum(sizes)) // prod(factorial(size) for size in sizes)
    if dealings > MOST_ARRANGEMENTS_EXACT:
        return None
    scale = prod(sizes)
    target = _spread(seen, sizes, scale)
    as_far = sum(
        ways for sums, ways in _rank_sums(twice_ranks, sizes).items() if _spread(sums, sizes, scale) >= target
    )
    return as_far / dealings


def _spread(twice_sums: Sequence[int], sizes: Sequence[int], scale: int) -> int:
    """A whole number that rises with H, so that equal ones are equal."""
    return sum(s * s * (scale // size) for s, size in zip(twice_sums, sizes, strict=True))


def _rank_sums(twice_ranks: Sequence[int], sizes: Sequence[int]) -> Counter[tuple[int, ...]]:
    """In how many ways each set of rank sums comes about: ranks are dealt one by one, like states merged."""
    none = (0,) * len(sizes)
    states: Counter[tuple[tuple[int, ...], tuple[int, ...]]] = Counter({(none, none): 1})
    for rank in twice_ranks:
        following: Counter[tuple[tuple[int, ...], tuple[int, ...]]] = Counter()
        for (taken, sums), ways in states.items():
            for group, size in enumerate(sizes):
                if taken[group] < size:
                    following[_added(taken, group, 1), _added(sums, group, rank)] += ways
        states = following
    merged: Counter[tuple[int, ...]] = Counter()
    for (_, sums), ways in states.items():
        merged[sums] += ways
    return merged


def _added(values: tuple[int, ...], index: int, more: int) -> tuple[int, ...]:
    return (*values[:index], values[index] + more, *values[index + 1 :])
