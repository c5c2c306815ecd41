"""Fisher's test and the rank test against scipy's documentation, scipy, and all dealings counted out."""

import math
from collections.abc import Callable
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from daemon.science.significance import (
    RankTest,
    fisher_exact_p,
    kruskal_wallis,
    p_by_drawn_dealings,
    smallest_rank_p,
)
from daemon.science.valid_range import OutOfRange

small = st.integers(0, 40)


# scipy documentation of fisher_exact [R]: [[8, 2], [1, 5]], p 0.034965; six decimals.
def test_fishers_test_gives_the_documented_example() -> None:
    assert fisher_exact_p(8, 2, 1, 5) == pytest.approx(0.034965, abs=5e-7)


# Fisher's tea (1935) [M]: 3 of 4 right and 1 of 4 wrong, two-sided 0.486; all right 2/70.
def test_fishers_tea_has_its_published_p() -> None:
    assert fisher_exact_p(3, 1, 1, 3) == pytest.approx(34 / 70)
    assert fisher_exact_p(4, 0, 0, 4) == pytest.approx(2 / 70)


# scipy takes tables as likely within 1e-14; ours are whole numbers.
@given(small, small, small, small)
def test_fishers_test_agrees_with_scipy(a: int, b: int, c: int, d: int) -> None:
    if a + b + c + d:
        assert fisher_exact_p(a, b, c, d) == pytest.approx(stats.fisher_exact([[a, b], [c, d]])[1], rel=1e-9)


@given(small, small, small, small)
def test_fishers_test_does_not_care_which_way_the_table_lies(a: int, b: int, c: int, d: int) -> None:
    if a + b + c + d:
        assert fisher_exact_p(a, b, c, d) == fisher_exact_p(c, d, a, b)
        assert fisher_exact_p(a, b, c, d) == pytest.approx(fisher_exact_p(a, c, b, d), rel=1e-12)
        assert 0.0 < fisher_exact_p(a, b, c, d) <= 1.0


# scipy documentation [R, by the handbook]: with ties, H 7.113812, p 0.028527; six decimals.
def test_the_rank_test_gives_the_documented_example() -> None:
    found = kruskal_wallis([[6.3, 5.4, 5.7, 5.2, 5.0], [6.9, 7.0, 6.1, 7.9], [7.2, 6.9, 6.1, 6.5]])
    assert found.h == pytest.approx(7.113812, abs=5e-7)
    assert found.p_chi_squared == pytest.approx(0.028527, abs=5e-7)
    assert found.p_exact == pytest.approx(0.0174, abs=5e-5)  # ours; the dealings are tested below


# Handbook [C]: 3 against 3 cups cannot go below 0.10, 4 against 4 not below 0.029.
@pytest.mark.parametrize(("cups", "least"), [(3, 0.10), (4, 2 / 70)])
def test_few_cups_cannot_show_much(cups: int, least: float) -> None:
    apart = [[float(i) for i in range(cups)], [100.0 + i for i in range(cups)]]
    assert kruskal_wallis(apart).p_exact == pytest.approx(least)


@pytest.mark.parametrize(
    ("sizes", "least"),
    [([3, 3], 0.10), ([4, 4], 2 / 70), ([2, 2], 1 / 3), ([4, 4, 4], 6 / 34_650), ([1, 4], 2 / 5)],
)
def test_the_smallest_p_is_that_of_groups_wholly_apart(sizes: list[int], least: float) -> None:
    assert smallest_rank_p(sizes) == pytest.approx(least)


# The class of the issue: scipy 1.17.1 [C] gives H 9.269231 and chi-squared p 0.009710. (The issue writes H
# 9.2308 beside p 0.00971; that p belongs to 9.2692. The exact p is 18 of 34,650 dealings [C].)
def test_the_class_of_three_levels_has_the_computed_h() -> None:
    found = kruskal_wallis([[31, 36, 28, 33], [38, 41, 35, 40], [12, 20, 15, 9]])
    assert found.h == pytest.approx(9.2692, abs=5e-5)
    assert found.p_chi_squared == pytest.approx(0.00971, abs=5e-6)
    assert found.p_exact == pytest.approx(18 / 34_650)


# Where both can be had, the p of 9,999 drawn dealings is the exact one within its own scatter (4 sd).
@pytest.mark.parametrize(
    "groups",
    [
        [[31, 36, 28, 33], [38, 41, 35, 40], [30, 33, 39, 29]],
        [[1, 2, 3], [2, 3, 4, 5]],
        [[1, 5, 9], [2, 6, 7], [3, 4, 8]],
    ],
)
def test_drawn_dealings_come_near_the_exact_p(groups: list[list[float]]) -> None:
    exact, drawn = kruskal_wallis(groups).p_exact, p_by_drawn_dealings(groups, 1)
    assert exact is not None
    assert drawn == pytest.approx(exact, abs=4 * (exact * (1 - exact) / 9_999) ** 0.5 + 1e-4)
    assert drawn == p_by_drawn_dealings(groups, 1)
    assert p_by_drawn_dealings([[1.0] * 9, [2.0] * 9], 1) >= 1 / 10_000


# Kruskal & Wallis 1952, exact table for sizes 2, 2, 1 [M]: H 3.6 has p 0.200; for 3, 3, 3: H 7.2 has p 0.004.
@pytest.mark.parametrize(
    ("groups", "h", "p", "digits"),
    [
        ([[1, 2], [4, 5], [3]], 3.6, 0.200, 0.0005),
        ([[1, 2, 3], [4, 5, 6], [7, 8, 9]], 7.2, 0.004, 0.0005),
    ],
)
def test_the_exact_p_is_the_tabled_one(groups: list[list[float]], h: float, p: float, digits: float) -> None:
    found = kruskal_wallis(groups)
    assert found.h == pytest.approx(h)
    assert found.p_exact == pytest.approx(p, abs=digits)


few_values = st.lists(st.sampled_from([1.0, 2.0, 3.5, 4.0, 7.0]), min_size=1, max_size=3)
groups_of_few = st.lists(few_values, min_size=2, max_size=3).filter(lambda groups: sum(map(len, groups)) <= 7)


@given(groups_of_few)
@settings(max_examples=30)
def test_the_exact_p_is_that_of_all_dealings_counted_out(groups: list[list[float]]) -> None:
    values, sizes = [v for g in groups for v in g], [len(g) for g in groups]
    if len(set(values)) == 1:
        return
    seen = stats.kruskal(*groups).statistic
    as_far = total = 0
    known: dict[tuple[float, ...], bool] = {}
    for dealt in permutations(values):
        if dealt not in known:
            parts, begin = [], 0
            for size in sizes:
                parts.append(dealt[begin : begin + size])
                begin += size
            known[dealt] = bool(stats.kruskal(*parts).statistic >= seen - 1e-9)
        as_far += known[dealt]
        total += 1
    assert kruskal_wallis(groups).p_exact == pytest.approx(as_far / total)


@given(
    st.lists(st.lists(st.integers(0, 50).map(float), min_size=1, max_size=30), min_size=2, max_size=5).filter(
        lambda groups: len({v for g in groups for v in g}) > 1
    )
)
@settings(deadline=None)
def test_h_and_its_chi_squared_p_agree_with_scipy(groups: list[list[float]]) -> None:
    found, library = kruskal_wallis(groups), stats.kruskal(*groups)
    assert found.h == pytest.approx(library.statistic, rel=1e-9, abs=1e-9)
    assert found.p_chi_squared == pytest.approx(library.pvalue, rel=1e-9, abs=1e-9)
    assert found.p_exact is None or 0.0 < found.p_exact <= 1.0


def test_cups_all_alike_show_nothing() -> None:
    assert kruskal_wallis([[5.0, 5.0], [5.0, 5.0]]).p_exact == 1.0
    assert kruskal_wallis([[5.0, 5.0], [5.0, 5.0]]).h == 0.0


def test_too_many_dealings_leave_chi_squared_alone() -> None:
    assert kruskal_wallis([[float(i) for i in range(20)], [i + 0.5 for i in range(20)]]).p_exact is None


@pytest.mark.parametrize(
    "asked",
    [
        lambda: fisher_exact_p(0, 0, 0, 0),
        lambda: fisher_exact_p(-1, 1, 1, 1),
        lambda: fisher_exact_p(10_001, 1, 1, 1),
        lambda: kruskal_wallis([[1.0, 2.0]]),
        lambda: kruskal_wallis([[1.0, 2.0], []]),
        lambda: kruskal_wallis([[1.0, 2.0], [math.nan]]),
    ],
)
def test_what_cannot_be_compared_is_refused(asked: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


def test_cups_that_are_all_alike_differ_in_nothing() -> None:
    assert kruskal_wallis([[3.0, 3.0], [3.0], [3.0, 3.0]]) == RankTest(0.0, 1.0, 1.0)
