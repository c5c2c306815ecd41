"""Counting nauplii and cysts against published counts."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science import counts
from daemon.science.confidence_intervals import poisson_exact, wilson
from daemon.science.counts import (
    IntervalEstimate,
    animals_in,
    animals_per_ml,
    cysts_in_mg,
    cysts_in_pinches,
    dispersion_of_counts,
    expected_efficiency_per_g,
    hatching_efficiency_per_g,
    hatching_fraction,
)
from daemon.science.strains import CYSTS_LN_SD, CYSTS_PER_G
from daemon.science.valid_range import OutOfRange


# Eslava-Eljaiek et al. 2011 [R]: 252,678 cysts/g at 66 % (whole per cent) against 165,270 nauplii/g reported;
# the handbook's own product is 166,767. Half a per cent of H is 0.8 % of the product.
def test_a_published_hatch_agrees_with_itself() -> None:
    assert expected_efficiency_per_g(0.66, 252_678) == pytest.approx(166_767, abs=1)
    assert pytest.approx(165_270, rel=0.01) == expected_efficiency_per_g(0.66, 252_678)


# Treece 2000 [R]: a good product gives 200,000 to 300,000; Clegg 1974 [R, C]: 3.64 µg a cyst, "so 275,000/g";
# Eslava-Eljaiek et al. 2011 [R]: 252,678 counted.
def test_the_range_of_cysts_in_a_gram_is_that_of_a_good_product_and_holds_what_is_published() -> None:
    low, high = (CYSTS_PER_G * math.exp(z * CYSTS_LN_SD) for z in (-1.2816, 1.2816))
    assert (low, high) == pytest.approx(counts.GOOD_NAUPLII_PER_G, rel=0.03)
    assert pytest.approx(275_000, abs=300) == 1e6 / counts.DRY_CYST_UG
    assert all(low < published < high for published in (252_678, 1e6 / counts.DRY_CYST_UG))


# Without a number of the product's own a tenth of a gram is 25,000, whoever asks.
def test_counts_take_the_one_number_of_cysts_in_a_gram() -> None:
    assert cysts_in_mg(100.0) == pytest.approx(0.1 * CYSTS_PER_G)
    assert expected_efficiency_per_g(0.9) == pytest.approx(0.9 * CYSTS_PER_G)


# A pinch is about 20,000 [P]: common practice, no source; a third to three times.
def test_a_pinch_may_be_a_third_or_three_times() -> None:
    found = cysts_in_pinches(1.0)
    assert (found.low, found.middle, found.high) == pytest.approx((6666.7, 20_000.0, 60_000.0), abs=0.1)


# FAO 361's definition: H% = 100·N/(N + U + E), of full cysts.
def test_hatching_percentage_leaves_empty_shells_out() -> None:
    found = hatching_fraction(nauplii=66, umbrella=4, unhatched=30)
    assert found.middle == pytest.approx(0.66)
    assert (found.low, found.high) == wilson(66, 100)


def test_efficiency_is_nauplii_from_a_gram() -> None:
    assert hatching_efficiency_per_g(82_635.0, 0.5) == pytest.approx(165_270.0)


# Three aliquots of 0.25 mL with 10 animals in all: 13.3 a mL; Garwood's 4.795–18.390 [M] over 0.75 mL.
def test_aliquots_give_a_concentration_with_the_exact_interval() -> None:
    found = animals_per_ml([3, 4, 3], 0.25)
    assert found.middle == pytest.approx(13.333, abs=0.001)
    assert (found.low, found.high) == pytest.approx((4.795 / 0.75, 18.390 / 0.75), abs=0.001)
    assert animals_in(found, 250.0).high == pytest.approx(found.high * 250.0)


# Fisher's index by hand: 2, 10, 30: mean 14, squares 144 + 16 + 256 = 416, over 2 and 14: 14.857.
def test_aliquots_of_an_unstirred_cup_give_a_wider_interval() -> None:
    assert dispersion_of_counts([2, 10, 30]) == pytest.approx(14.857, abs=0.001)
    found, (low, high) = animals_per_ml([2, 10, 30], 1.0), poisson_exact(42)
    assert found.high - found.middle == pytest.approx(math.sqrt(14.857) * (high - 42) / 3.0, rel=1e-4)
    assert found.low == pytest.approx(max(0.0, 42 - math.sqrt(14.857) * (42 - low)) / 3.0, abs=1e-3)


@given(st.lists(st.integers(0, 300), min_size=1, max_size=8), st.floats(0.01, 100.0))
def test_a_concentration_lies_in_its_interval(counts: list[int], aliquot_ml: float) -> None:
    found = animals_per_ml(counts, aliquot_ml)
    assert 0.0 <= found.low <= found.middle <= found.high
    assert found.middle * aliquot_ml * len(counts) == pytest.approx(sum(counts))


def test_no_animals_may_still_be_some() -> None:
    found = animals_per_ml([0, 0], 1.0)
    assert (found.middle, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(3.689 / 2.0, abs=0.001)
    assert dispersion_of_counts([0, 0]) == 1.0


@pytest.mark.parametrize(
    "asked",
    [
        lambda: animals_per_ml([], 1.0),
        lambda: animals_per_ml([-1], 1.0),
        lambda: animals_per_ml([1], 0.0),
        lambda: dispersion_of_counts([1]),
        lambda: hatching_fraction(0, 0, 0),
        lambda: hatching_fraction(-1, 0, 5),
        lambda: hatching_efficiency_per_g(10.0, 0.0),
        lambda: expected_efficiency_per_g(66.0),
        lambda: expected_efficiency_per_g(0.66, 252.678),
        lambda: cysts_in_mg(math.nan),
        lambda: cysts_in_pinches(-1.0),
        lambda: animals_in(IntervalEstimate(1.0, 0.5, 2.0), -1.0),
    ],
)
def test_counts_that_cannot_be_are_refused(asked: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


# 20 and 40: mean 30, squares 100 + 100, over 1 and 30: 6.667, so 2.582 times as wide.
def test_two_unlike_aliquots_widen_the_interval_and_one_cannot() -> None:
    (low, high), two = poisson_exact(60), animals_per_ml([20, 40], 0.5)
    assert two.high == pytest.approx(60.0 + 2.582 * (high - 60), rel=1e-3)
    assert two.low == pytest.approx(60.0 - 2.582 * (60 - low), rel=1e-3)
    low, high = poisson_exact(10)
    assert animals_per_ml([10], 1.0) == IntervalEstimate(10.0, low, high)
