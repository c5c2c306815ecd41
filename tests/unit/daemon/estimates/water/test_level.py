"""A level and what is seen of it, against the same sums done by numpy and scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.estimates.water.level import PacedLevel, censored, joined, met, pooled

LEVELS = st.tuples(st.floats(0.01, 10.0), st.floats(-50.0, 200.0), st.floats(0.01, 100.0))


@given(st.lists(LEVELS, min_size=1, max_size=6))
def test_levels_joined_have_the_weight_mean_and_variance_of_the_mixture(
    parts: list[tuple[float, float, float]],
) -> None:
    weight, mean, variance = (np.array(column) for column in zip(*parts, strict=True))
    middle = np.average(mean, weights=weight)
    around = np.average(variance + (mean - middle) ** 2, weights=weight)
    assert joined(parts) == pytest.approx((weight.sum(), middle, around))


def test_levels_of_no_weight_are_joined_to_the_first_of_them() -> None:
    assert joined([(0.0, 5.0, 2.0), (0.0, 7.0, 3.0)]) == (0.0, 5.0, 2.0)


# What was told fits as Student's t with 4 degrees of freedom does, scaled by both errors together.
@given(st.floats(-60.0, 60.0), st.floats(0.1, 50.0), st.floats(0.1, 50.0), st.floats(0.1, 1.0))
def test_a_level_that_was_seen_fits_as_students_t(
    off: float, variance: float, seen: float, right: float
) -> None:
    fit, _, _ = met((20.0 + off, variance), 20.0, seen, right, 0.0)
    scale = float(np.sqrt(variance + seen))
    assert fit == pytest.approx(right * stats.t.pdf(off, df=4, scale=scale), rel=1e-9)


# Where bookkeeping and sight agree to one standard deviation they are joined by their precisions.
@given(st.floats(-1.0, 1.0), st.floats(0.1, 50.0), st.floats(0.1, 50.0))
def test_bookkeeping_and_sight_that_agree_are_joined_by_their_precisions(
    share: float, variance: float, seen: float
) -> None:
    off = share * float(np.sqrt(variance + seen))
    _, mean, after = met((20.0 + off, variance), 20.0, seen, 1.0, 0.0)
    assert mean == pytest.approx(20.0 + off * seen / (variance + seen))
    assert after == pytest.approx(1.0 / (1.0 / variance + 1.0 / seen))


# Further apart bookkeeping counts as if its sd were (4 + z²)/5 times as large: five sd apart, 5.8 times.
def test_bookkeeping_that_disagrees_counts_for_less() -> None:
    _, mean, after = met((70.0, 60.0), 20.0, 40.0, 1.0, 0.0)
    grown = 60.0 * 5.8**2
    assert mean == pytest.approx((20.0 * grown + 70.0 * 40.0) / (grown + 40.0))
    assert after == pytest.approx(grown * 40.0 / (grown + 40.0))


# With the density 0.01 of anything else told, the rest of the weight lies with sight alone.
def test_what_may_have_been_told_wrong_leaves_sight_alone() -> None:
    weight, mean, variance = met((26.0, 16.0), 20.0, 9.0, 0.95, 0.01)
    fit = 0.95 * stats.t.pdf(6.0, df=4, scale=5.0)
    right = met((26.0, 16.0), 20.0, 9.0, 1.0, 0.0)
    assert weight == pytest.approx(fit + 0.01)
    assert (mean, variance) == pytest.approx(joined([(fit, *right[1:]), (0.01, 20.0, 9.0)])[1:])


def by_numbers(mean: float, variance: float, line: float, sd: float, *, above: bool) -> tuple[float, ...]:
    """Weight, mean and variance of a normal of which is known on which side of a blurred line it lies."""
    x = np.linspace(mean - 10 * variance**0.5, mean + 10 * variance**0.5, 200_001)
    side = stats.norm.cdf((line - x) / sd) if above else stats.norm.cdf((x - line) / sd)
    density = stats.norm.pdf(x, mean, variance**0.5) * side
    step = x[1] - x[0]
    weight = float(density.sum() * step)
    middle = float((x * density).sum() * step / weight)
    return weight, middle, float(((x - middle) ** 2 * density).sum() * step / weight)


@pytest.mark.parametrize("above", [True, False])
@pytest.mark.parametrize("line_ml", [10.0, 25.0, 30.0, 38.0])
def test_a_level_known_to_be_on_one_side_is_the_normal_cut_there(line_ml: float, above: bool) -> None:
    found = censored((2.0, 30.0, 36.0), line_ml, 4.0, above=above, wrong_share=0.0, otherwise=None)
    weight, mean, variance = by_numbers(30.0, 36.0, line_ml, 4.0, above=above)
    assert found == pytest.approx((2.0 * weight, mean, variance), rel=1e-5)


def test_a_side_that_misleads_so_often_leaves_the_level_as_it_was_or_otherwise() -> None:
    cut = by_numbers(30.0, 36.0, 25.0, 4.0, above=True)
    for otherwise in (None, (12.0, 50.0)):
        found = censored((2.0, 30.0, 36.0), 25.0, 4.0, above=True, wrong_share=0.2, otherwise=otherwise)
        rest = (0.2, *(otherwise or (30.0, 36.0)))
        expected = joined([(0.8 * cut[0], cut[1], cut[2]), rest])
        assert found == pytest.approx((2.0 * expected[0], *expected[1:]), rel=1e-5)


def test_a_level_far_on_the_other_side_is_what_it_is_when_that_misleads() -> None:
    found = censored((2.0, 90.0, 4.0), 10.0, 1.0, above=True, wrong_share=0.05, otherwise=(5.0, 7.0))
    assert found == pytest.approx((0.1, 5.0, 7.0))


# Many nodes in few parts ---

NODES = st.builds(
    PacedLevel,
    weight=st.floats(0.01, 5.0),
    loss_ml=st.floats(-50.0, 200.0),
    variance=st.floats(0.0, 100.0),
    ahead_ml_per_day=st.floats(0.0, 500.0),
    lately_ml_per_day=st.floats(0.0, 500.0),
)


@given(st.lists(NODES, min_size=1, max_size=80))
def test_pooling_keeps_weight_level_spread_and_paces_in_at_most_48_parts(nodes: list[PacedLevel]) -> None:
    parts = pooled(nodes)
    assert 1 <= len(parts) <= 48

    def sums(some: tuple[PacedLevel, ...] | list[PacedLevel]) -> list[float]:
        return [
            sum(n.weight for n in some),
            sum(n.weight * n.loss_ml for n in some),
            sum(n.weight * (n.variance + n.loss_ml**2) for n in some),
            sum(n.weight * n.ahead_ml_per_day for n in some),
            sum(n.weight * n.lately_ml_per_day for n in some),
        ]

    assert sums(parts) == pytest.approx(sums(nodes), rel=1e-9, abs=1e-6)


def test_only_nodes_of_about_the_same_pace_are_joined() -> None:
    nodes = [PacedLevel(1.0, float(n), 1.0, 2.0 ** (n / 10), 1.0) for n in range(97)]
    parts = pooled(nodes)
    assert len(parts) == 48
    paces = np.log([part.ahead_ml_per_day for part in parts])
    assert np.all(np.diff(paces) > 0)
    assert max(part.weight for part in parts) <= 3.0


def test_nodes_of_one_pace_are_one() -> None:
    [part] = pooled([PacedLevel(1.0, 10.0, 4.0, 8.0, 5.0), PacedLevel(3.0, 20.0, 4.0, 8.0, 9.0)])
    assert part == PacedLevel(4.0, 17.5, 4.0 + (7.5**2 + 3 * 2.5**2) / 4, 8.0, 8.0)


def test_paces_of_next_to_nothing_are_told_apart_no_further() -> None:
    assert len(pooled([PacedLevel(1.0, 0.0, 1.0, 0.0, 0.0), PacedLevel(1.0, 0.0, 1.0, 1e-9, 0.0)])) == 1
