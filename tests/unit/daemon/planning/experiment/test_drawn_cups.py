"""Cups drawn by chance: as often so many as the published distribution says."""

import random
import statistics
from math import comb, exp, lgamma

import pytest

from daemon.planning.experiment.drawn_cups import _at_most, drawn_cup


def chances(of: int, share: float, dispersion: float) -> list[float]:
    """Johnson, Kemp & Kotz, Univariate Discrete Distributions [M]: C(n, k)·B(k + α, n − k + β)/B(α, β)."""
    if dispersion == 1.0:
        return [comb(of, k) * share**k * (1.0 - share) ** (of - k) for k in range(of + 1)]
    both = (of - 1) / (dispersion - 1.0) - 1.0
    alpha, beta = share * both, (1.0 - share) * both

    def log_beta(a: float, b: float) -> float:
        return lgamma(a) + lgamma(b) - lgamma(a + b)

    return [
        comb(of, k) * exp(log_beta(k + alpha, of - k + beta) - log_beta(alpha, beta)) for k in range(of + 1)
    ]


@pytest.mark.parametrize(
    ("of", "share", "dispersion"),
    [(50, 0.7, 1.9), (50, 0.7, 1.0), (4, 0.5, 2.0), (300, 0.02, 5.0), (1, 0.3, 1.0)],
)
def test_as_many_hatch_as_often_as_the_distribution_says(of: int, share: float, dispersion: float) -> None:
    at_most, sum_so_far = _at_most(of, share, dispersion), 0.0
    for k, chance in enumerate(chances(of, share, dispersion)):
        sum_so_far += chance
        assert at_most[k] == pytest.approx(sum_so_far, rel=1e-9, abs=1e-12)


# A second source for the same numbers, where it is installed.
@pytest.mark.parametrize(
    ("of", "share", "dispersion"), [(50, 0.7, 1.9), (1000, 0.8, 1.9), (1000, 0.999, 10.0)]
)
def test_as_scipys_beta_binomial(of: int, share: float, dispersion: float) -> None:
    stats = pytest.importorskip("scipy.stats")
    both = (of - 1) / (dispersion - 1.0) - 1.0
    expected = stats.betabinom(of, share * both, (1.0 - share) * both).cdf(range(of + 1))
    assert _at_most(of, share, dispersion) == pytest.approx(list(expected), abs=1e-9)


def test_a_thousand_cysts_that_hardly_hatch_lose_no_chance_on_the_way() -> None:
    for share in (0.0, 1e-6, 0.5, 1.0 - 1e-6, 1.0):
        at_most = _at_most(1000, share, 1.9)
        assert at_most[-1] == pytest.approx(1.0)
        assert at_most == sorted(at_most)
    chance = random.Random(1)
    assert {drawn_cup(chance, 9, 0.0, 1.9) for _ in range(50)} == {0}
    assert {drawn_cup(chance, 9, 1.0, 1.9) for _ in range(50)} == {9}


# 4,000 cups of 50: mean n·p, variance `dispersion` times n·p·(1 − p). One standard error of a variance is
# about 2.5 % of it.
@pytest.mark.parametrize("dispersion", [1.0, 1.9, 4.0])
def test_cups_are_drawn_with_the_dispersion_they_are_said_to_have(dispersion: float) -> None:
    chance = random.Random(3)
    cups = [drawn_cup(chance, 50, 0.7, dispersion) for _ in range(4000)]
    assert statistics.mean(cups) == pytest.approx(35.0, abs=0.4)
    assert statistics.variance(cups) == pytest.approx(dispersion * 50 * 0.7 * 0.3, rel=0.1)
