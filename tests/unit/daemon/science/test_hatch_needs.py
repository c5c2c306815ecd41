"""Light, pH, density and age: the sources' limits, and no number where they have none."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.hatch_needs import (
    density_verdict,
    hatchable_share_quantile,
    light_effect,
    most_cysts_g_per_l,
    ph_verdict,
    share_of_lots_below,
)
from daemon.science.valid_range import OutOfRange


# FAO 428 [R]: about 2000 lux in the first hours; Sorgeloos & Persoone 1975 [R, secondary]: 10 minutes of it.
@pytest.mark.parametrize(("lux", "minutes"), [(2000.0, 10.0), (2000.0, 120.0), (30_000.0, 10.0)])
def test_light_enough_triggers_all_that_can_be(lux: float, minutes: float) -> None:
    effect = light_effect(lux, minutes, began_h=3.0)
    assert (effect.share_low, effect.share_high, effect.wait_h) == (1.0, 1.0, 3.0)


@pytest.mark.parametrize(("lux", "minutes"), [(300.0, 600.0), (2000.0, 9.0)])
def test_of_dim_or_short_light_nothing_is_claimed(lux: float, minutes: float) -> None:
    effect = light_effect(lux, minutes)
    assert (effect.share_low, effect.share_high) == (0.0, 1.0)
    assert "10 minutes of 2000 lux" in effect.note


@pytest.mark.parametrize(("lux", "minutes"), [(0.0, 60.0), (2000.0, 0.0)])
def test_in_the_dark_they_wait(lux: float, minutes: float) -> None:
    effect = light_effect(lux, minutes)
    assert (effect.share_low, effect.share_high, effect.wait_h) == (0.0, 1.0, None)


# Van der Linden et al. 1989 [R]: a dark cyst stays triggerable for 20 days and more.
def test_a_dark_cyst_can_still_be_triggered_on_the_twentieth_day_and_later_nobody_knows() -> None:
    assert light_effect(2000.0, 10.0, began_h=20.0 * 24.0).share_low == 1.0
    assert light_effect(2000.0, 10.0, began_h=20.0 * 24.0 + 1.0).share_low == 0.0


# FAO 428 [R]: pH 8 or above.
@pytest.mark.parametrize(("ph", "good"), [(7.99, False), (8.0, True), (8.9, True), (6.5, False)])
def test_ph_is_good_from_eight_on(ph: float, good: bool) -> None:
    assert ph_verdict(ph).good is good


def test_a_poor_verdict_says_that_its_cost_is_not_known() -> None:
    for verdict in (ph_verdict(7.0), density_verdict(10.0, 1.0)):
        assert "not known" in verdict.note


# FAO 428 [R]: up to 5 g/L under 20 L, 2 g/L above.
@pytest.mark.parametrize(("volume_l", "most"), [(0.25, 5.0), (19.9, 5.0), (20.0, 2.0), (100.0, 2.0)])
def test_a_vessel_takes_the_cysts_of_fao_428(volume_l: float, most: float) -> None:
    assert most_cysts_g_per_l(volume_l) == most
    assert density_verdict(most * volume_l * 0.999, volume_l).good
    assert not density_verdict(most * volume_l * 1.001, volume_l).good


# López-Torres & Lizárraga-Partida 2001 [R]: 15 lots, median 79 %, from 5 to 99.6 %. The outermost of 15 lie
# 1.74 sd out on average [M], that is at 4.1 and 95.9 in 100; they are themselves chance, so two in a hundred.
def test_the_hatchable_share_of_lots_is_that_of_the_fifteen() -> None:
    assert hatchable_share_quantile(0.5) == pytest.approx(0.79)
    assert hatchable_share_quantile(0.041) == pytest.approx(0.05, abs=0.02)
    assert hatchable_share_quantile(0.959) == pytest.approx(0.996, abs=0.002)


@given(st.floats(0.001, 0.999))
def test_the_share_of_lots_below_a_quantile_is_the_one_it_was_asked_for(share: float) -> None:
    assert share_of_lots_below(hatchable_share_quantile(share)) == pytest.approx(share)


# Of fifteen draws the least is below 0.05 in one of two, the greatest above 0.996 in one of two: as it was.
def test_fifteen_lots_would_reach_as_far_as_the_fifteen_did() -> None:
    assert 0.3 < 1.0 - (1.0 - share_of_lots_below(0.05)) ** 15 < 0.7
    assert 0.3 < 1.0 - share_of_lots_below(0.996) ** 15 < 0.7
    assert (share_of_lots_below(0.0), share_of_lots_below(1.0)) == (0.0, 1.0)


# No source for the amount [P]; that it can only fall is the trade's experience.
@given(st.floats(0.01, 0.99), st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_age_widens_downwards_only(share: float, age: float, more: float) -> None:
    younger, older = hatchable_share_quantile(share, age), hatchable_share_quantile(share, age + more)
    assert 0.0 <= older <= younger <= 1.0
    if share >= 0.5:
        assert older == younger


@pytest.mark.parametrize(
    "asked",
    [
        lambda: light_effect(-1.0, 10.0),
        lambda: light_effect(2000.0, math.nan),
        lambda: light_effect(2000.0, 10.0, -1.0),
        lambda: ph_verdict(14.1),
        lambda: ph_verdict(math.nan),
        lambda: most_cysts_g_per_l(0.0),
        lambda: density_verdict(-1.0, 1.0),
        lambda: hatchable_share_quantile(0.0),
        lambda: share_of_lots_below(1.1),
        lambda: hatchable_share_quantile(0.5, 21.0),
    ],
)
def test_what_cannot_be_is_refused(asked: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


def test_as_many_cysts_as_a_vessel_takes_have_room() -> None:
    assert density_verdict(5.0, 1.0).good
    assert density_verdict(40.0, 20.0).good
    assert not density_verdict(math.nextafter(5.0, 6.0), 1.0).good


def test_age_widens_all_of_the_lower_half_and_leaves_the_middle() -> None:
    assert hatchable_share_quantile(0.49, 4.0) < hatchable_share_quantile(0.49)
    assert hatchable_share_quantile(0.5, 4.0) == hatchable_share_quantile(0.5) == pytest.approx(0.79)
    # By hand: 2.43 and a quarter more for each of four years is 4.86; one sd down, logit 1.325 − 4.86.
    assert hatchable_share_quantile(0.158655, 4.0) == pytest.approx(
        1 / (1 + math.exp(4.86 - 1.325)), rel=1e-3
    )
