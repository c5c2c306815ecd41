"""The normal distribution against published tables and against the library's, digit by digit."""

from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.normal import density, quantile, share_below
from daemon.science.valid_range import OutOfRange

shares = st.floats(1e-300, 1.0 - 1e-16, exclude_max=True)
spreads = st.floats(1e-3, 1e3)
places = st.floats(-1e3, 1e3)


# NIST/SEMATECH e-Handbook 1.3.6.7.1 and any table of the normal's percentage points [M]: five digits.
@pytest.mark.parametrize(
    ("share", "z"), [(0.5, 0.0), (0.9, 1.28155), (0.95, 1.64485), (0.975, 1.95996), (0.999, 3.09023)]
)
def test_a_share_has_the_quantile_of_the_tables(share: float, z: float) -> None:
    assert quantile(share) == pytest.approx(z, abs=1e-5)
    assert quantile(1.0 - share) == pytest.approx(-z, abs=1e-5)
    assert share_below(z) == pytest.approx(share, abs=1e-5)


# Wichura 1988 checks his routine by these three, one in each of its ranges [M].
@pytest.mark.parametrize(
    ("share", "z"), [(0.25, -0.6744897501960817), (0.001, -3.090232306167814), (1e-20, -9.262340089798408)]
)
def test_each_range_gives_its_authors_check(share: float, z: float) -> None:
    assert quantile(share) == pytest.approx(z, rel=1e-15)


@given(shares)
def test_the_quantile_is_the_librarys_to_the_last_digit(share: float) -> None:
    assert quantile(share) == NormalDist().inv_cdf(share)


@given(places, places, spreads)
def test_density_and_share_are_the_librarys_to_the_last_digit(x: float, mean: float, sd: float) -> None:
    library = NormalDist(mean, sd)
    assert (density(x, mean, sd), share_below(x, mean, sd)) == (library.pdf(x), library.cdf(x))


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 1.1])
def test_what_is_no_share_has_no_quantile(share: float) -> None:
    with pytest.raises(OutOfRange, match="share"):
        quantile(share)
