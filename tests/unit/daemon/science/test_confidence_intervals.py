"""Intervals against published worked examples, scipy.stats, and their own coverage."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.science.confidence_intervals import (
    clopper_pearson,
    difference_of_shares,
    poisson_exact,
    wilson,
)
from daemon.science.valid_range import OutOfRange


@st.composite
def samples(draw: st.DrawFn) -> tuple[int, int]:
    of = draw(st.integers(1, 3000))
    return draw(st.integers(0, of)), of


# Newcombe 1998, table I, method 3 [M]: four decimals.
@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_gives_newcombes_examples(hits: int, of: int, low: float, high: float) -> None:
    assert wilson(hits, of) == pytest.approx((low, high), abs=5e-5)


# Newcombe 1998, table I, method 5 [M]: four decimals.
@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(81, 263, 0.2527, 0.3676), (15, 148, 0.0578, 0.1617), (0, 20, 0.0, 0.1684), (1, 29, 0.0009, 0.1776)],
)
def test_clopper_pearson_gives_newcombes_examples(hits: int, of: int, low: float, high: float) -> None:
    assert clopper_pearson(hits, of) == pytest.approx((low, high), abs=5e-5)


# scipy.stats.binomtest().proportion_ci: the same definitions; its exact method solves to 1e-12.
@given(samples(), st.sampled_from([0.8, 0.95, 0.99]))
def test_intervals_of_shares_agree_with_scipy(sample: tuple[int, int], confidence: float) -> None:
    test = stats.binomtest(*sample)
    for ours, method in ((wilson, "wilson"), (clopper_pearson, "exact")):
        library = test.proportion_ci(confidence, method)
        assert ours(*sample, confidence) == pytest.approx((library.low, library.high), abs=1e-9)


# Handbook [M]: 10 → 4.795–18.390. Garwood's table [M]: 0 → 3.689; three decimals.
@pytest.mark.parametrize(("count", "low", "high"), [(10, 4.795, 18.390), (0, 0.0, 3.689), (1, 0.0253, 5.572)])
def test_the_exact_poisson_interval_is_the_published_one(count: int, low: float, high: float) -> None:
    assert poisson_exact(count) == pytest.approx((low, high), abs=6e-4)


# scipy.stats.chi2: the interval's other definition.
@given(st.integers(1, 100_000), st.sampled_from([0.8, 0.95, 0.99]))
def test_the_poisson_interval_agrees_with_scipy(count: int, confidence: float) -> None:
    tail = (1.0 - confidence) / 2.0
    library = stats.chi2.ppf(tail, 2 * count) / 2.0, stats.chi2.isf(tail, 2 * count + 2) / 2.0
    assert poisson_exact(count, confidence) == pytest.approx(library, rel=1e-8)


# Poisson aliquots: count ± √count (handbook) is one standard deviation; 68.3 % for large counts.
def test_a_large_counts_interval_is_its_square_root() -> None:
    low, high = poisson_exact(10_000, 0.6827)
    assert (low, high) == pytest.approx((9900.0, 10_100.0), abs=1.5)


# Newcombe 1998, Statistics in Medicine 17:873, table II, method 10 [M]: four decimals.
@pytest.mark.parametrize(
    ("table", "low", "high"),
    [((56, 70, 48, 80), 0.0524, 0.3339), ((9, 10, 3, 10), 0.1705, 0.8090), ((10, 10, 0, 10), 0.6075, 1.0)],
)
def test_the_difference_gives_newcombes_examples(
    table: tuple[int, int, int, int], low: float, high: float
) -> None:
    assert difference_of_shares(*table) == pytest.approx((low, high), abs=5e-5)


@given(samples(), samples())
def test_the_difference_turned_round_is_its_negative(one: tuple[int, int], other: tuple[int, int]) -> None:
    low, high = difference_of_shares(*one, *other)
    back_low, back_high = difference_of_shares(*other, *one)
    assert (low, high) == pytest.approx((-back_high, -back_low), abs=1e-12)
    assert -1.0 <= low <= high <= 1.0


@given(samples())
def test_an_interval_holds_its_share_and_mirrors(sample: tuple[int, int]) -> None:
    hits, of = sample
    for interval in (wilson, clopper_pearson):
        low, high = interval(hits, of)
        assert 0.0 <= low <= hits / of <= high <= 1.0
        assert interval(of - hits, of) == pytest.approx((1.0 - high, 1.0 - low), abs=1e-12)


# What "exact" means: summed over the binomial, at least 95 % at every share; Wilson's covers 95 % on average.
@pytest.mark.parametrize("of", [5, 20, 60])
def test_intervals_cover_as_often_as_they_say(of: int) -> None:
    exact, score = ([f(k, of) for k in range(of + 1)] for f in (clopper_pearson, wilson))
    scores = []
    for share in (i / 100.0 for i in range(1, 100)):
        chances = stats.binom.pmf(range(of + 1), of, share)
        covered = [
            sum(c for c, (a, b) in zip(chances, i, strict=True) if a <= share <= b) for i in (exact, score)
        ]
        assert covered[0] >= 0.95 - 1e-9
        scores.append(covered[1])
    assert sum(scores) / len(scores) == pytest.approx(0.95, abs=0.01)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: wilson(1, 0),
        lambda: wilson(-1, 10),
        lambda: wilson(11, 10),
        lambda: clopper_pearson(11, 10),
        lambda: clopper_pearson(1, 10, 1.0),
        lambda: wilson(1, 10, math.nan),
        lambda: poisson_exact(-1),
        lambda: difference_of_shares(1, 2, 3, 2),
    ],
)
def test_counts_that_cannot_be_are_refused(asked: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()
