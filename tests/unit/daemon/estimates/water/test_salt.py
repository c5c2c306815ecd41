"""Salt as an exact account, and what a measured salinity says of salt and level."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.estimates.water.grid import EvaporationGrid
from daemon.estimates.water.salt import SaltAccount, fewer, observe_salinity, recipe_g_per_kg, salinity_of
from daemon.science.brine import salt_g_of, volume_ml_of, water_g_of
from tests.kit.one_cup import CUP


def account(salt_g_per_l: float | None = 25.0) -> SaltAccount:
    found = SaltAccount()
    found.begin(250.0, salt_g_per_l)
    return found


# A recipe of 25 g in a litre of water is 24.46 g/kg (handbook); 250 mL of that brine hold 6.204 g.
def test_a_vessel_begins_with_the_grams_of_its_recipe() -> None:
    assert recipe_g_per_kg(25.0) == pytest.approx(24.46, abs=0.005)
    assert account().salt.salt_g == pytest.approx(6.204, abs=0.002)
    assert account().salt.salt_g == pytest.approx(salt_g_of(250.0, recipe_g_per_kg(25.0), 25.0))
    assert account().entries_g == (account().salt.salt_g,)


def test_salt_that_was_told_is_known_to_a_fortieth_and_the_usual_one_to_a_third_or_so() -> None:
    assert (account().salt.sd_share, account(None).salt.sd_share) == (0.025, 0.30)
    assert account(None).salt.salt_g == account(25.0).salt.salt_g
    assert (SaltAccount().recipe_g_per_l, SaltAccount().salt.sd_share) == (25.0, 0.30)


def test_what_is_poured_without_a_word_is_of_the_vessels_own_recipe() -> None:
    found = account(35.0)
    found.pour(100.0, None)
    assert found.salt.salt_g == pytest.approx(account(35.0).salt.salt_g * 350 / 250)
    found.pour(100.0, 0.0)
    assert found.salt.salt_g == pytest.approx(account(35.0).salt.salt_g * 350 / 250)


def test_a_draw_takes_its_share_and_never_more_than_all() -> None:
    found = account()
    begun = found.salt.salt_g
    found.draw(0.25)
    assert found.salt.salt_g == pytest.approx(0.75 * begun)
    found.draw(-3.0)
    assert found.salt.salt_g == pytest.approx(0.75 * begun)
    twin = found.copy()
    found.draw(7.0)
    assert found.salt.salt_g == pytest.approx(0.0, abs=1e-12)
    assert twin.salt.salt_g == pytest.approx(0.75 * begun)


def test_a_correction_is_an_entry_of_its_own() -> None:
    found = account()
    begun = found.salt.salt_g
    found.correct([(1.0, 1.2, 0.12**2)])
    assert found.entries_g == pytest.approx((begun, 0.2 * begun))
    assert (found.salt.salt_g, found.salt.sd_share) == (pytest.approx(1.2 * begun), 0.1)


@pytest.mark.parametrize(("told", "held"), [(-5.0, 0.0), (130.0, 130.0), (900.0, 130.0)])
def test_a_recipe_is_held_to_what_the_density_law_allows(told: float, held: float) -> None:
    assert recipe_g_per_kg(told) == recipe_g_per_kg(held)


# The docstring's own 0.1 g/kg, against the exact way back through brine.
@given(st.floats(1.0, 35.0), st.floats(50.0, 1000.0), st.floats(10.0, 35.0))
def test_grams_in_a_volume_give_their_salinity(salinity: float, volume_ml: float, water_c: float) -> None:
    salt_g, water_g = (of(volume_ml, salinity, water_c) for of in (salt_g_of, water_g_of))
    assert volume_ml_of(salt_g, water_g, water_c) == pytest.approx(volume_ml)
    assert salinity_of(salt_g, volume_ml, water_c) == pytest.approx(salinity, abs=0.1)


def measured(
    seen_times: float, level_sd_ml: float, tool_sd: float = 1.0
) -> tuple[SaltAccount, EvaporationGrid]:
    """A vessel 50 mL below its mark, measured to be so many times as salt as the account says."""
    found, grid = account(), EvaporationGrid(CUP)
    grid.stand_at(50.0, level_sd_ml)
    expected = salinity_of(found.salt.salt_g, 200.0, 25.0)
    observe_salinity(found, grid, 250.0, 25.0, seen_times * expected, tool_sd)
    return found, grid


# Where the level is known, salt and reading are two normals: 2.5 % of the account and 1 g/kg of the tool. The
# other explanation, salt wrong by 60 %, weighs a twentieth at first.
def test_a_salinity_near_what_is_expected_moves_the_salt_by_its_precision() -> None:
    expected = salinity_of(account().salt.salt_g, 200.0, 25.0)
    tool = 1.0 / expected
    near, _ = measured(1.01, 1e-3)
    right, wrong = (share**2 / (share**2 + tool**2) * 0.01 for share in (0.025, 0.6))
    weights = [w / sqrt(s**2 + tool**2) for w, s in ((0.95, 0.025), (0.05, 0.6))]
    factor = 1.0 + (weights[0] * right + weights[1] * wrong) / sum(weights)
    assert near.salt.salt_g == pytest.approx(factor * account().salt.salt_g, rel=1e-4)


def test_a_salinity_far_from_what_is_expected_says_that_the_salt_was_told_wrong() -> None:
    far, _ = measured(1.4, 1e-3)
    assert 1.25 < far.salt.salt_g / account().salt.salt_g < 1.4
    assert 0.025 < far.salt.sd_share < 0.2
    rough, _ = measured(1.4, 1e-3, tool_sd=8.0)
    assert 1.0 < rough.salt.salt_g / account().salt.salt_g < 1.25


# A fifth of a cup replaced by brine of 100 g/L nearly doubles its salt; by one of 150 g/L it is over twice,
# which is far even from "told wrong" and takes one reading more.
@pytest.mark.parametrize(("times", "settles"), [(1.3, 2), (1.6, 2), (1.9, 2), (2.2, 3)])
def test_some_like_readings_settle_that_the_salt_was_told_wrong_and_one_does_not(
    times: float, settles: int
) -> None:
    found, grid = account(), EvaporationGrid(CUP)
    grid.stand_at(0.0, 3.0)
    expected = salinity_of(found.salt.salt_g, 250.0, 25.0)
    observe_salinity(found, grid, 250.0, 25.0, times * expected, 0.7)
    assert found.salt.sd_share > 0.05
    for _ in range(settles - 1):
        observe_salinity(found, grid, 250.0, 25.0, times * expected, 0.7)
    now = salinity_of(found.salt.salt_g, 250.0 - grid.mean_ml(), 25.0)
    assert now == pytest.approx(times * expected, rel=0.03)
    assert found.salt.sd_share < 0.05


# Salt stays while water leaves: saltier than expected is lower than expected, by the level's own share.
@pytest.mark.parametrize(("times", "lower"), [(1.03, True), (0.97, False)])
def test_a_salinity_speaks_of_the_level_too(times: float, lower: bool) -> None:
    salt, grid = measured(times, 20.0, tool_sd=0.2)
    assert (grid.mean_ml() > 50.0) is lower
    moved = abs(grid.mean_ml() - 50.0) / 200.0
    assert 0.02 < moved < 0.03  # nearly all of the 3 %: the level was unsure by 10 %, the salt by 2.5 %
    assert abs(salt.salt.salt_g / account().salt.salt_g - 1.0) < 0.01
    assert max(grid.variance) < 20.0**2 / 4


# Told 24.5 g/kg and measured 34: either the tool was misread or brine was recorded as water. The salt is then
# about one or the other, and hardly between, where neither explanation would have it.
def test_a_reading_far_off_keeps_both_explanations_until_another_tells_them_apart() -> None:
    found, grid = account(), EvaporationGrid(CUP)
    grid.stand_at(0.0, 3.0)
    told_g = found.salt.salt_g
    observe_salinity(found, grid, 250.0, 25.0, 34.0, 1.0)
    (low_w, low, low_v), (high_w, high, high_v) = sorted(found.salt.explanations, key=lambda one: one[1])
    low_g, high_g = (times * found.salt.salt_g / told_g for times in (low, high))
    assert low_g == pytest.approx(1.0, abs=0.03)
    assert high_g == pytest.approx(34.0 / 24.46, abs=0.04)
    assert max(low_v, high_v) < 0.05**2
    assert 0.05 < low_w < 0.5 < high_w
    assert low_w * low + high_w * high == pytest.approx(1.0)
    believed = found.salt.believed_g()
    assert (believed.p10 / told_g, believed.p50 / told_g) == pytest.approx((1.0, 1.37), abs=0.04)
    as_told, as_measured = found.copy(), found.copy()
    observe_salinity(as_told, grid.copy(), 250.0, 25.0, 24.5, 1.0)
    observe_salinity(as_measured, grid.copy(), 250.0, 25.0, 34.0, 1.0)
    assert as_told.salt.salt_g / told_g == pytest.approx(1.0, abs=0.03)
    assert as_measured.salt.salt_g / told_g == pytest.approx(34.0 / 24.46, abs=0.04)


def test_what_is_poured_comes_to_every_explanation_in_grams() -> None:
    found = account()
    found.correct([(0.25, 1.0, 0.02**2), (0.75, 1.4, 0.03**2)])
    before = [times * found.salt.salt_g for _, times, _ in found.salt.explanations]
    found.pour(50.0, 25.0)
    after = [times * found.salt.salt_g for _, times, _ in found.salt.explanations]
    poured = 50.0 / 250.0 * account().salt.salt_g
    assert after == pytest.approx([g + poured for g in before])
    assert [w for w, _, _ in found.salt.explanations] == [0.25, 0.75]
    assert found.salt == found.copy().salt


# Joined are those that are nearest by their own spread: 1.38 and 1.4 apart by less than one of it.
def test_three_explanations_become_two_and_keep_their_mean() -> None:
    three = [(0.2, 1.0, 0.02**2), (0.5, 1.4, 0.03**2), (0.3, 1.38, 0.03**2)]
    left = sorted(fewer(three), key=lambda one: one[1])
    assert [w for w, _, _ in left] == pytest.approx([0.2, 0.8])
    assert left[1][1] == pytest.approx((0.5 * 1.4 + 0.3 * 1.38) / 0.8)
    assert fewer([*three[:2], (0.0, 9.0, 1.0)]) == three[:2]


def test_an_empty_account_is_told_nothing_by_a_reading_that_fits_nowhere() -> None:
    found, grid = account(), EvaporationGrid(CUP)
    grid.weight = [0.0] * len(grid.weight)
    observe_salinity(found, grid, 250.0, 25.0, 30.0, 1.0)
    assert found.entries_g == account().entries_g
