"""Incomplete beta and gamma functions against scipy and their own closed forms."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from daemon.science.distributions import (
    beta_cdf,
    beta_quantile,
    chi_squared_survival,
    f_survival,
    gamma_cdf,
    gamma_quantile,
    gamma_survival,
    student_t_quantile,
)
from daemon.science.valid_range import OutOfRange

SHARES = (1e-6, 0.01, 0.025, 0.5, 0.9, 0.975, 0.999)
SMALL = (0.5, 1.0, 3.0, 20.0, 300.0, 4000.0)
LARGE = (1e5, 9.9e5)


# scipy.special (Boost and Cephes, about 1e-14); the module claims 1e-11 up to ten thousand, 1e-8 up to a
# million.
@pytest.mark.parametrize("share", SHARES)
def test_quantiles_agree_with_scipy(share: float) -> None:
    for a in SMALL + LARGE:
        rel = 1e-11 if a in SMALL else 1e-8
        assert gamma_quantile(share, a) == pytest.approx(special.gammaincinv(a, share), rel=rel)
        for b in SMALL + LARGE:
            rel = 1e-11 if a in SMALL and b in SMALL else 1e-8
            assert beta_quantile(share, a, b) == pytest.approx(special.betaincinv(a, b, share), rel=rel)


@given(st.floats(0.1, 2000.0), st.floats(0.1, 2000.0), st.floats(0.0, 1.0))
def test_the_beta_distribution_agrees_with_scipy(a: float, b: float, x: float) -> None:
    assert beta_cdf(x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-13)


@given(st.floats(0.1, 2000.0), st.floats(0.0, 5.0))
def test_the_gamma_distribution_agrees_with_scipy(a: float, times: float) -> None:
    assert gamma_cdf(a * times, a) == pytest.approx(special.gammainc(a, a * times), rel=1e-9, abs=1e-13)
    assert gamma_survival(a * times, a) == pytest.approx(special.gammaincc(a, a * times), rel=1e-9, abs=1e-13)


# scipy.stats.t; published to three decimals in every table (12.706 for 1 degree, 2.571 for 5) [M].
@pytest.mark.parametrize("degrees", [1, 2, 3, 5, 17, 1000])
def test_students_t_agrees_with_scipy(degrees: int) -> None:
    for share in (0.001, 0.025, 0.5, 0.9, 0.975):
        expected = float(stats.t.ppf(share, degrees))
        assert student_t_quantile(share, degrees) == pytest.approx(expected, rel=1e-10, abs=1e-12)
    assert student_t_quantile(0.975, 1) == pytest.approx(12.706, abs=0.0005)


# Tables of chi-squared [M]: 3.841 for 1 degree and 5.991 for 2 leave 5 %; two degrees are exp(−x/2).
def test_chi_squared_agrees_with_the_tables() -> None:
    assert chi_squared_survival(3.841, 1) == pytest.approx(0.05, abs=2e-5)
    assert chi_squared_survival(5.991, 2) == pytest.approx(math.exp(-5.991 / 2.0), rel=1e-12)


# Closed forms: I_x(1, b) = 1 − (1 − x)^b, P(1, x) = 1 − exp(−x).
@given(st.floats(0.0, 1.0), st.floats(0.5, 50.0))
def test_closed_forms_are_met(x: float, b: float) -> None:
    assert beta_cdf(x, 1.0, b) == pytest.approx(1.0 - (1.0 - x) ** b, abs=1e-12)
    assert gamma_cdf(10.0 * x, 1.0) == pytest.approx(1.0 - math.exp(-10.0 * x), abs=1e-13)


@given(st.floats(0.5, 1000.0), st.floats(0.5, 1000.0), st.floats(0.01, 0.99))
def test_quantile_and_share_are_each_others_inverse(a: float, b: float, share: float) -> None:
    assert beta_cdf(beta_quantile(share, a, b), a, b) == pytest.approx(share, rel=1e-9)
    assert gamma_cdf(gamma_quantile(share, a), a) == pytest.approx(share, rel=1e-9)


def test_the_ends_are_exact() -> None:
    assert (beta_cdf(0.0, 2.0, 3.0), beta_cdf(1.0, 2.0, 3.0)) == (0.0, 1.0)
    assert (gamma_cdf(0.0, 2.0), gamma_survival(math.inf, 2.0)) == (0.0, 0.0)
    assert gamma_quantile(1.0, 2.0) == math.inf


@pytest.mark.parametrize(
    ("x", "a", "b"), [(-0.1, 1.0, 1.0), (0.5, 0.0, 1.0), (0.5, 1.0, 2e6), (math.nan, 1.0, 1.0)]
)
def test_what_is_no_distribution_is_refused(x: float, a: float, b: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        beta_cdf(x, a, b)


# scipy.stats.f.
@given(st.floats(0.0, 200.0), st.integers(1, 20), st.integers(1, 400))
def test_the_tail_of_f_agrees_with_scipy(x: float, degrees: int, within_degrees: int) -> None:
    expected = float(stats.f.sf(x, degrees, within_degrees))
    assert f_survival(x, degrees, within_degrees) == pytest.approx(expected, rel=1e-8, abs=1e-13)


def test_beyond_every_f_lies_nothing() -> None:
    assert f_survival(math.inf, 2, 9) == 0.0
    assert f_survival(0.0, 2, 9) == 1.0
