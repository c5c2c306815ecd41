"""Hatching pace and spread against published hatching times, with their own wide tolerances."""

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science import hatching
from daemon.science.hatching import (
    dose_at_share,
    hatched_share,
    hours_to_instar_ii,
    ln_spread,
    pace,
    pace_range,
    salinity_delay,
)
from daemon.science.valid_range import OutOfRange

T50_H = hatching.T50_MEDIAN_H
SYNCHRONY = hatching.SYNCHRONY_MEDIAN

doses = st.floats(0.0, 200.0)
medians = st.floats(8.0, 60.0)
synchronies = st.floats(0.1, 2.0)


# A literature compilation [R, secondary], A. franciscana, 35 g/kg: T0 25 h at 20 °C and 17 h at 24 °C, T80
# 38 h and 25 h. Whole hours: ± 0.5 h makes the ratios 1.40–1.55 and 1.47–1.57.
@pytest.mark.parametrize(("at_20_h", "at_24_h"), [(25.0, 17.0), (38.0, 25.0)])
def test_20_against_24_degrees_is_within_the_rounding_of_the_published_hours(
    at_20_h: float, at_24_h: float
) -> None:
    ratio = pace(24.0) / pace(20.0)
    assert (at_20_h - 0.5) / (at_24_h + 0.5) < ratio < (at_20_h + 0.5) / (at_24_h - 0.5)


# The same rows, absolute: lots differ by 40 to 50 %, so the median lot carried to 35 g/kg is to lie within
# one spread of them, and "first" is taken as 1 to 3 in 100 hatched.
@pytest.mark.parametrize(("water_c", "t0_h", "t80_h"), [(20.0, 25.0, 38.0), (24.0, 17.0, 25.0)])
def test_the_median_lot_is_within_one_spread_of_the_published_hours(
    water_c: float, t0_h: float, t80_h: float
) -> None:
    slower = salinity_delay(35.0) / pace(water_c)
    for published_h, share in ((t0_h, 0.02), (t80_h, 0.8)):
        ours_h = dose_at_share(share, T50_H, SYNCHRONY) * slower
        assert abs(math.log(ours_h / published_h)) < hatching.T50_LN_SD


# With T80 as published, the lognormal spread puts the published first nauplius at 1 to 3 in 100 hatched.
@pytest.mark.parametrize(("t0_h", "t80_h"), [(25.0, 38.0), (17.0, 25.0)])
def test_the_spread_puts_the_first_nauplius_where_it_was_seen(t0_h: float, t80_h: float) -> None:
    t50_h = t80_h / dose_at_share(0.8, 1.0, SYNCHRONY)
    assert 0.01 < hatched_share(t0_h, t50_h, SYNCHRONY) < 0.03


# Eslava-Eljaiek et al. 2011 [R]: T10 10, T90 15.67, Ts 5.67 h, and first nauplius at 9.0 h. Two decimals.
def test_the_spread_reproduces_a_reported_hatch() -> None:
    t50_h = math.sqrt(10.0 * 15.67)
    synchrony = 5.67 / t50_h
    assert dose_at_share(0.1, t50_h, synchrony) == pytest.approx(10.0, abs=0.01)
    assert dose_at_share(0.9, t50_h, synchrony) == pytest.approx(15.67, abs=0.01)
    assert 0.01 < hatched_share(9.0, t50_h, synchrony) < 0.05


# Sorgeloos & Persoone 1975 [R, secondary]: the longest at about 28 °C is 18 h (San Francisco Bay) to 24 h
# (Great Salt Lake). "Longest" is taken as 90 to 99 % hatched: our median lot 19.0 to 22.0 h.
@pytest.mark.parametrize("share", [0.90, 0.95, 0.99])
def test_the_longest_hatch_at_28_degrees_is_between_the_two_published(share: float) -> None:
    assert 18.0 < dose_at_share(share, T50_H, SYNCHRONY) / pace(28.0) < 24.0


# FAO 361 §4.2 [M], acceptable product at 25 °C and 33 g/L (32 g/kg): T0 12 to 16 h, all within 8 h after.
# First is taken as 1 in 100, all as 95 in 100. The median lot starts in time (15.1 h) but needs 11 h, not 8:
# it is slower than FAO's acceptable product, by the other studies' synchronies; the prior's quick tenth
# meets the 8 h.
def test_an_acceptable_product_lies_within_the_prior() -> None:
    delay = salinity_delay(32.0)
    assert 12.0 <= dose_at_share(0.01, T50_H, SYNCHRONY) * delay <= 16.0
    quick = SYNCHRONY * math.exp(-1.2816 * hatching.SYNCHRONY_LN_SD)
    first_h, all_h = (dose_at_share(share, T50_H, quick) * delay for share in (0.01, 0.95))
    assert all_h - first_h <= 8.0


# FAO 428 annex 4 [R, copy]: breaking after 12–20 h; best 25–28 °C.
def test_breaking_comes_in_the_hours_of_fao_428() -> None:
    for water_c in (25.0, 28.0):
        assert 12.0 <= dose_at_share(0.05, T50_H, SYNCHRONY) / pace(water_c) <= 20.0


# Several studies' abstracts [R]: synchrony near the optimum 5.7 to 8.8 h. The prior's 80 % range covers them.
def test_the_synchrony_prior_covers_the_reported_ones() -> None:
    reach = math.exp(1.2816 * hatching.SYNCHRONY_LN_SD)
    hours = SYNCHRONY * T50_H
    assert hours / reach < 5.67
    assert hours * reach > 8.8


# Reported lots differ by 40 to 50 % [R, secondary]: the prior's 80 % range is a factor of 1.43 each way.
def test_the_lot_prior_spans_what_lots_differ_by() -> None:
    assert 1.4 <= math.exp(1.2816 * hatching.T50_LN_SD) <= 1.5


# Handbook [C] from the 20 and 24 °C rows: Q10 2.6 to 2.9.
def test_the_pace_between_20_and_24_degrees_has_the_published_q10() -> None:
    assert 2.6 <= (pace(24.0) / pace(20.0)) ** (10.0 / 4.0) <= 2.9


def test_pace_is_one_at_25_degrees() -> None:
    assert pace(25.0) == 1.0


# Threshold 9.07 °C (A. sinica, abstract) [R]; stops above 33 °C (New 2002) [R, copy].
@pytest.mark.parametrize("water_c", [-5.0, 4.0, 9.07, 33.01, 40.0, 60.0])
def test_development_stands_still_outside_its_limits(water_c: float) -> None:
    assert pace(water_c) == 0.0


# "Completion does not keep speeding up towards 30 °C": the docstring's 10 % between 28 and 33 °C.
def test_there_is_little_to_gain_above_28_degrees() -> None:
    assert max(pace(28.0 + 0.1 * i) for i in range(51)) / pace(28.0) < 1.105


# From the 20 and 24 °C rows [C]: a straight law's base 11.5 (T0) to 12.3 °C (T80), Q10 2.6 to 2.9. Cysts are
# active from 4 °C on (New 2002) [R, copy].
@pytest.mark.parametrize("water_c", [4.0, 6.0, 9.0, 12.0, 13.0, 14.0, 14.9])
def test_below_fifteen_degrees_the_pace_lies_between_the_laws_of_the_rows(water_c: float) -> None:
    slow, middle, quick = pace_range(water_c)
    for base_c in (11.5, 12.3):
        assert slow <= max(0.0, (water_c - base_c) / (25.0 - base_c)) <= quick
    assert 2.9 ** ((water_c - 25.0) / 10.0) <= quick <= 2.6 ** ((water_c - 25.0) / 10.0)
    assert middle == pace(water_c)
    assert pace_range(3.9) == (0.0, 0.0, 0.0)


# A compilation [R, secondary]: 80 % after 25 h at 24 °C and 24 to 31 h at 30 °C, in their middle a tenth
# slower; and no more speed-up towards 30 °C.
def test_at_thirty_degrees_the_slow_end_is_as_slow_as_was_seen_and_the_middle_gains_nothing() -> None:
    slow, middle, quick = pace_range(30.0)
    assert slow == pytest.approx(pace(24.0) * 25.0 / 27.5, abs=0.01)
    assert slow < pace(24.0) * 25.0 / 24.0 < middle < quick == pace(30.0)
    assert middle == pace(28.0)
    assert pace_range(33.1) == (0.0, 0.0, 0.0)


@given(st.floats(15.0, 27.0))
def test_between_fifteen_and_twenty_seven_degrees_the_sources_agree(water_c: float) -> None:
    assert pace_range(water_c) == (pace(water_c),) * 3


@given(st.floats(-5.0, 60.0))
def test_the_ends_of_the_pace_lie_to_either_side_of_its_middle(water_c: float) -> None:
    slow, middle, quick = pace_range(water_c)
    assert 0.0 <= slow <= middle <= quick < 1.34


@given(st.floats(9.08, 28.9), st.floats(0.01, 1.0))
def test_pace_rises_up_to_the_best_temperature(water_c: float, step: float) -> None:
    assert pace(water_c + step) > pace(water_c)


@given(st.floats(-5.0, 60.0))
def test_pace_is_between_standing_still_and_a_third_faster_than_at_25(water_c: float) -> None:
    assert 0.0 <= pace(water_c) < 1.34


def test_the_curve_bends_over_towards_the_heat() -> None:
    gains = [pace(t + 1.0) - pace(t) for t in (24.0, 26.0, 28.0, 30.0, 32.0)]
    assert all(later < earlier for earlier, later in pairwise(gains))


# +0.18 h T0 and +0.25 h T80 per g/kg at 30 °C [C, secondary].
def test_salt_delays_the_median_lot_at_30_degrees_as_published() -> None:
    t50_at_30_h = T50_H / pace(30.0)
    assert 0.18 <= t50_at_30_h * (salinity_delay(26.0) - salinity_delay(25.0)) <= 0.25
    assert salinity_delay(25.0) == 1.0


@given(medians, synchronies)
def test_synchrony_is_what_lies_between_ten_and_ninety_per_cent(t50_h: float, synchrony: float) -> None:
    spread_h = dose_at_share(0.9, t50_h, synchrony) - dose_at_share(0.1, t50_h, synchrony)
    assert spread_h == pytest.approx(synchrony * t50_h, rel=1e-9)
    assert ln_spread(synchrony) > 0.0


@given(medians, synchronies)
def test_half_has_hatched_at_t50_and_nothing_at_the_start(t50_h: float, synchrony: float) -> None:
    assert hatched_share(t50_h, t50_h, synchrony) == pytest.approx(0.5)
    assert hatched_share(0.0, t50_h, synchrony) == 0.0
    assert hatched_share(1e6, t50_h, synchrony) == pytest.approx(1.0)


@given(doses, st.floats(0.0, 20.0), medians, synchronies)
def test_the_share_hatched_never_falls(dose_h: float, more_h: float, t50_h: float, synchrony: float) -> None:
    now, later = (hatched_share(d, t50_h, synchrony) for d in (dose_h, dose_h + more_h))
    assert 0.0 <= now <= later <= 1.0


@given(st.floats(1e-6, 1.0 - 1e-6), medians, synchronies)
def test_dose_and_share_are_each_others_inverse(share: float, t50_h: float, synchrony: float) -> None:
    dose_h = dose_at_share(share, t50_h, synchrony)
    assert hatched_share(dose_h, t50_h, synchrony) == pytest.approx(share, rel=1e-6, abs=1e-12)


def test_a_dose_too_small_to_divide_hatches_nothing() -> None:
    assert hatched_share(5e-324, T50_H, SYNCHRONY) == 0.0


def test_no_share_needs_no_dose() -> None:
    assert dose_at_share(0.0, T50_H, SYNCHRONY) == 0.0


# About 8 h at 25–28 °C [M]: "about" taken as 1 h.
@pytest.mark.parametrize("water_c", [25.0, 26.0, 27.0, 28.0])
def test_the_second_stage_comes_about_eight_hours_after_the_hatch(water_c: float) -> None:
    assert hours_to_instar_ii(water_c) == pytest.approx(8.0, abs=1.0)


def test_the_second_stage_comes_later_in_the_cold() -> None:
    assert hours_to_instar_ii(20.0) > hours_to_instar_ii(24.0) > hours_to_instar_ii(28.0)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: pace(math.nan),
        lambda: pace(61.0),
        lambda: pace_range(math.nan),
        lambda: pace(-math.inf),
        lambda: salinity_delay(91.0),
        lambda: salinity_delay(math.nan),
        lambda: hatched_share(-1.0, 19.0, 0.36),
        lambda: hatched_share(math.nan, 19.0, 0.36),
        lambda: hatched_share(10.0, 0.0, 0.36),
        lambda: hatched_share(10.0, 19.0, 0.0),
        lambda: hatched_share(10.0, 19.0, math.nan),
        lambda: dose_at_share(1.0, 19.0, 0.36),
        lambda: dose_at_share(-0.1, 19.0, 0.36),
        lambda: dose_at_share(0.5, math.nan, 0.36),
        lambda: hours_to_instar_ii(14.0),
        lambda: hours_to_instar_ii(34.0),
    ],
)
def test_nonsense_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


# "About 8 h at 25–28 °C" [M], taken at the middle of them, carried elsewhere by the pace (our assumption).
@given(st.floats(15.0, 33.0))
def test_instar_ii_comes_eight_hours_on_at_26_and_a_half_degrees_and_elsewhere_by_the_pace(
    water_c: float,
) -> None:
    assert hours_to_instar_ii(26.5) == pytest.approx(8.0)
    assert hours_to_instar_ii(water_c) * pace(water_c) == pytest.approx(8.0 * pace(26.5))


def test_the_share_that_takes_for_ever_is_refused_with_what_is_allowed() -> None:
    with pytest.raises(OutOfRange, match=r"^share is 1; allowed is 0 to 0\.9999$"):
        dose_at_share(1.0, 19.0, 0.36)
