"""Is there a difference: Fisher's exact test on two shares, a rank test on several groups of cups.

Fisher's test takes every cyst as independent of the others, which cysts of one cup are not: it is for one
animal a well, or for cups that hatched or did not. Between treatments of several cups use the rank test.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import comb, factorial, inf, prod
from random import Random

from daemon.science.distributions import chi_squared_survival
from daemon.science.valid_range import within

MOST_IN_A_TABLE = 10_000
MOST_ARRANGEMENTS_EXACT = 1_000_000  # 5, 4 and 4 cups have 90,090
DRAWN_DEALINGS = 9_999  # of more than those

_Dealt = tuple[int, int, int]  # a group's size, how many ranks it has, and their sum


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


def kruskal_wallis(groups: Sequence[Sequence[float]], *, exact: bool = True) -> RankTest:
    """Do groups of cups differ in level? Rank test of Kruskal & Wallis 1952 with correction for ties [M].

    The exact p counts all ways to deal the ranks out to the groups, up to a million ways; chi-squared with
    groups − 1 degrees is meant for five or more a group. 3 against 3 cups cannot go below p = 0.10, 4 against
    4 below 0.029. All values alike: H 0, p 1. Needs two groups with at least one value each. Not `exact`
    where H alone is asked for.
    """
    within("groups", len(groups), 2, 20)
    for group in groups:
        within("cups in a group", len(group), 1, 1000)
    sizes = [len(group) for group in groups]
    twice_ranks, ties = _twice_mid_ranks([float(value) for value in chain.from_iterable(groups)])
    if ties == 0.0:
        return RankTest(0.0, 1.0, 1.0)
    sums = _sums(twice_ranks, sizes)
    h = _h(sums, sizes, ties)
    p = _exact_p(twice_ranks, sizes, sums) if exact else None
    return RankTest(h, chi_squared_survival(h, len(groups) - 1), p)


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


def smallest_rank_p(sizes: Sequence[int]) -> float:
    """The smallest p that the rank test of groups of these sizes can reach, however far apart they lie.

    By all dealings where there are up to a million; by the number of dealings drawn where there are more.
    """
    if arrangements(sizes) > MOST_ARRANGEMENTS_EXACT:
        return 1.0 / (DRAWN_DEALINGS + 1)
    ways = _ways_by_spread([2 * rank for rank in range(1, sum(sizes) + 1)], sizes)
    return ways[max(ways)] / arrangements(sizes)


def critical_h(sizes: Sequence[int], level: float, seed: int) -> float:
    """The smallest H of groups of these sizes, without ties, whose p is `level` at most; infinite for none.

    By all dealings where there are up to a million, else by `DRAWN_DEALINGS` of them.
    """
    within("level", level, 1e-4, 0.5)
    n, scale = sum(sizes), prod(sizes)
    ranks = [2 * rank for rank in range(1, n + 1)]
    if arrangements(sizes) <= MOST_ARRANGEMENTS_EXACT:
        ways = _ways_by_spread(ranks, sizes)
    else:
        chance, ways = Random(seed), Counter()  # noqa: S311 - as below
        for _ in range(DRAWN_DEALINGS):
            chance.shuffle(ranks)
            ways[_spread(_sums(ranks, sizes), sizes, scale)] += 1
    beyond, critical = 0, inf
    for spread in sorted(ways, reverse=True):
        beyond += ways[spread]
        if beyond > level * ways.total():
            break
        critical = 3.0 * spread / (scale * n * (n + 1)) - 3.0 * (n + 1)
    return critical


def p_by_drawn_dealings(groups: Sequence[Sequence[float]], seed: int, drawn: int = DRAWN_DEALINGS) -> float:
    """The rank test's p by dealing the ranks out at random `drawn` times: for where all are too many.

    (as far or farther + 1)/(drawn + 1), the seen one counted too, so that it is never 0 and rejects no
    more often than it says (Phipson & Smyth 2010) [M]. Same groups and seed, same p.
    """
    sizes = [len(group) for group in groups]
    twice_ranks, _ = _twice_mid_ranks([float(value) for value in chain.from_iterable(groups)])
    scale, chance = prod(sizes), Random(seed)  # noqa: S311 - to deal ranks, not to keep a secret
    seen = _spread(_sums(twice_ranks, sizes), sizes, scale)
    as_far = 0
    for _ in range(drawn):
        chance.shuffle(twice_ranks)
        as_far += _spread(_sums(twice_ranks, sizes), sizes, scale) >= seen
    return (as_far + 1) / (drawn + 1)


def _sums(values: Sequence[int], sizes: Sequence[int]) -> list[int]:
    sums, begin = [], 0
    for size in sizes:
        sums.append(sum(values[begin : begin + size]))
        begin += size
    return sums


def arrangements(sizes: Sequence[int]) -> int:
    """In how many ways ranks can be dealt out to groups of these sizes."""
    return factorial(sum(sizes)) // prod(factorial(size) for size in sizes)


def _exact_p(twice_ranks: Sequence[int], sizes: Sequence[int], seen: Sequence[int]) -> float | None:
    """Share of all dealings whose H is at least the seen one; None where there are too many dealings."""
    if arrangements(sizes) > MOST_ARRANGEMENTS_EXACT:
        return None
    target = _spread(seen, sizes, prod(sizes))
    ways = _ways_by_spread(twice_ranks, sizes)
    return sum(many for spread, many in ways.items() if spread >= target) / arrangements(sizes)


def _spread(twice_sums: Sequence[int], sizes: Sequence[int], scale: int) -> int:
    """A whole number that rises with H, so that equal ones are equal."""
    return sum(s * s * (scale // size) for s, size in zip(twice_sums, sizes, strict=True))


def _ways_by_spread(twice_ranks: Sequence[int], sizes: Sequence[int]) -> Counter[int]:
    """In how many ways each spread comes about: ranks are dealt one by one, like states merged.

    Groups of one size may change places without changing H, so a state is its groups in order.
    """
    begun: tuple[_Dealt, ...] = tuple(sorted((size, 0, 0) for size in sizes))
    states: Counter[tuple[_Dealt, ...]] = Counter({begun: 1})
    for rank in twice_ranks:
        following: Counter[tuple[_Dealt, ...]] = Counter()
        for state, ways in states.items():
            for place, (size, taken, total) in enumerate(state):
                if taken < size:
                    dealt = (*state[:place], (size, taken + 1, total + rank), *state[place + 1 :])
                    following[tuple(sorted(dealt))] += ways
        states = following
    scale = prod(sizes)
    by_spread: Counter[int] = Counter()
    for state, ways in states.items():
        by_spread[sum(total * total * (scale // size) for size, _, total in state)] += ways
    return by_spread
