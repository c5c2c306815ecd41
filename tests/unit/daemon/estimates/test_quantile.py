"""Quantiles of mixtures, against scipy and against the normal's own table."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.estimates.quantile import SHARES, Estimate, Part, merge, of_cdf, of_normals, of_points

WEIGHT = st.floats(0.01, 10.0)
parts = st.lists(
    st.builds(Part, WEIGHT, st.floats(-1e3, 1e3), st.floats(0.0, 100.0)), min_size=1, max_size=90
)


def test_one_normal_has_the_quantiles_of_scipys_normal() -> None:
    found = of_normals([Part(3.0, 10.0, 2.0)])
    for value, share in ((found.p10, 0.1), (found.p50, 0.5), (found.p90, 0.9)):
        assert value == pytest.approx(stats.norm.ppf(share, 10.0, 2.0), abs=1e-3)


def test_a_mixture_of_two_normals_has_each_share_of_its_weight_below_its_quantile() -> None:
    found = of_normals([Part(1.0, 0.0, 1.0), Part(3.0, 10.0, 2.0)])
    for value, share in ((found.p10, 0.1), (found.p50, 0.5), (found.p90, 0.9)):
        below = 0.25 * stats.norm.cdf(value) + 0.75 * stats.norm.cdf(value, 10.0, 2.0)
        assert below == pytest.approx(share, abs=1e-3)


@given(parts)
def test_quantiles_of_any_mixture_stand_in_order_within_its_reach(some: list[Part]) -> None:
    found = of_normals(some)
    assert found.p10 <= found.p50 <= found.p90
    assert min(p.mean - 6 * p.sd for p in some) - 0.1 <= found.p10
    assert found.p90 <= max(p.mean + 6 * p.sd for p in some) + 0.1


@given(parts)
def test_merging_keeps_weight_and_mean_in_at_most_64_parts(some: list[Part]) -> None:
    merged = merge(some)
    assert len(merged) <= 64
    assert sum(p.weight for p in merged) == pytest.approx(sum(p.weight for p in some))
    assert sum(p.weight * p.mean for p in merged) == pytest.approx(
        sum(p.weight * p.mean for p in some), abs=1e-6, rel=1e-6
    )


@given(st.lists(st.tuples(st.floats(-1e6, 1e6), WEIGHT), min_size=1, max_size=50))
def test_quantiles_of_weighted_points_stand_in_order_among_them(
    points: list[tuple[float, float]],
) -> None:
    found = of_points(points)
    values = [v for v, _ in points]
    assert min(values) - 1e-6 <= found.p10 <= found.p50 <= found.p90 <= max(values) + 1e-6


def test_the_quantiles_of_many_even_points_are_those_of_the_uniform_law() -> None:
    found = of_points((i / 1000.0, 1.0) for i in range(1001))
    assert (found.p10, found.p50, found.p90) == pytest.approx((0.1, 0.5, 0.9), abs=1e-3)


def test_a_quantile_beyond_the_limits_is_the_limit() -> None:
    found = of_cdf(lambda x: 0.3 + 0.1 * x, 0.0, 1.0, 0.01)
    assert (found.p10, found.p50, found.p90) == (0.0, 1.0, 1.0)


def halved(cdf: Callable[[float], float], low: float, high: float, step: float) -> Estimate:
    """The same by halving alone."""
    found = []
    for share in SHARES:
        below, above = low, high
        if cdf(low) < share <= cdf(high):
            while above - below > step and below < (middle := 0.5 * (below + above)) < above:
                below, above = (middle, above) if cdf(middle) < share else (below, middle)
            low = 0.5 * (below + above)
        elif cdf(low) < share:
            low = high
        found.append(low)
    return Estimate(*found)


def stairs(points: list[tuple[float, float]], wide: float) -> Callable[[float], float]:
    """The law of weighted points, each spread evenly over `wide`."""
    total = sum(weight for _, weight in points)

    def law(x: float) -> float:
        return sum(weight * min(1.0, max(0.0, (x - value) / wide)) for value, weight in points) / total

    return law


@given(
    st.lists(st.tuples(st.floats(-100.0, 1100.0), WEIGHT), min_size=1, max_size=20),
    st.sampled_from([1e-9, 3.0, 500.0]),
    st.sampled_from([0.01, 1.0, 90.0]),
)
def test_a_quantile_is_to_the_last_digit_where_halving_ends(
    points: list[tuple[float, float]], wide: float, step: float
) -> None:
    law = stairs(points, wide)
    assert of_cdf(law, 0.0, 1000.0, step) == halved(law, 0.0, 1000.0, step)


def test_a_smooth_law_is_asked_less_than_half_as_often_as_halving_asks() -> None:
    asked = 0

    def law(x: float) -> float:
        nonlocal asked
        asked += 1
        return float(stats.norm.cdf(x, 300_000.0, 20_000.0))

    by_halving = halved(law, 0.0, 30 * 86_400.0, 60.0)
    halving_asked, asked = asked, 0
    assert of_cdf(law, 0.0, 30 * 86_400.0, 60.0) == by_halving
    assert 0 < asked < halving_asked / 2


def test_a_mixture_without_weight_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one part"):
        of_normals([Part(0.0, 1.0, 1.0)])
    with pytest.raises(ValueError, match="at least one point"):
        of_points([])
