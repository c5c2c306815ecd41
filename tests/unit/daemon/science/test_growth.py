"""Growth after the hatch against the one published pair of rows."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.growth import (
    LENGTHS,
    days_to_adult,
    dry_weight_left_range,
    energy_left_range,
    first_feed_days,
    growth_pace,
    hours_to_half_energy,
    length_cm,
)
from daemon.science.hatching import T50_MEDIAN_H, hours_to_instar_ii, pace
from daemon.science.valid_range import OutOfRange


# Tuz Lake study, abstract [R]: nauplius to adult at 60 g/L, 30 d at 18 °C, 15 d at 30 °C; whole days.
@pytest.mark.parametrize(("water_c", "published_d"), [(18.0, 30.0), (30.0, 15.0)])
def test_adults_come_in_the_published_days(water_c: float, published_d: float) -> None:
    assert days_to_adult(water_c) == pytest.approx(published_d, abs=0.5)


# In a classroom cup: first feed about day three or four, cooler is slower [P]: common practice, no source.
def test_the_first_feed_is_on_day_three_or_four_and_later_in_the_cold() -> None:
    assert first_feed_days(25.0) == pytest.approx((3.0, 4.0))
    assert first_feed_days(20.0)[0] > 4.0


# Feeding from instar II only (Benesch 1969) [R]: the practice must not feed before, the hatch itself (T50 of
# the median lot, 19 h at 25 °C) included.
@pytest.mark.parametrize("water_c", [18.0, 21.0, 25.0, 28.0])
def test_nobody_is_told_to_feed_before_animals_can_eat(water_c: float) -> None:
    assert first_feed_days(water_c)[0] * 24.0 > T50_MEDIAN_H / pace(water_c) + hours_to_instar_ii(water_c)


@pytest.mark.parametrize("water_c", [14.9, 30.1, math.nan])
def test_growth_outside_its_rows_is_refused(water_c: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is 15 to 30 °C"):
        days_to_adult(water_c)


# Wurtsbaugh & Gliwicz 2001, in the Add-my-Pet collection [R, secondary], at 25 °C; three decimals of a cm.
@pytest.mark.parametrize(
    ("age_d", "published_cm"),
    [(0.9, 0.063), (1.8, 0.115), (3.0, 0.181), (4.5, 0.333), (7.0, 0.609), (10.8, 0.704)],
)
def test_animals_have_the_published_length_at_age(age_d: float, published_cm: float) -> None:
    assert length_cm(age_d) == pytest.approx(published_cm, abs=5e-4)
    assert (age_d, published_cm) in LENGTHS


# Tuz Lake's base 6.3 °C: 30 d at 18 °C against 15 d at 30 °C is a pace of 11.7/23.7 to each other.
def test_cooler_animals_are_as_long_later() -> None:
    assert growth_pace(25.0) == 1.0
    assert growth_pace(18.0) / growth_pace(30.0) == pytest.approx(15.0 / 30.0, rel=0.02)
    assert length_cm(4.5 / growth_pace(18.0), 18.0) == pytest.approx(0.333)


@given(st.floats(0.9, 10.0), st.floats(0.01, 0.8))
def test_animals_never_shrink(age_d: float, later_d: float) -> None:
    assert length_cm(age_d + later_d) > length_cm(age_d)


# Vanhaecke, Lavens & Sorgeloos 1983 [R]: energy lost in the first 24 h 22–37 %, dry weight 16–34 %.
def test_a_day_without_food_costs_what_was_published() -> None:
    assert energy_left_range(24.0) == pytest.approx((0.63, 0.78))
    assert dry_weight_left_range(24.0) == pytest.approx((0.66, 0.84))
    assert energy_left_range(0.0) == (1.0, 1.0)


@given(st.floats(0.0, 24.0))
def test_some_is_left_all_day_and_dry_weight_lasts_longer_than_energy(hours: float) -> None:
    least, most = energy_left_range(hours)
    assert 0.6 < least <= most <= 1.0
    assert all(dry >= energy for dry, energy in zip(dry_weight_left_range(hours), (least, most), strict=True))


# The first day's rate carried on (ours): ln 2/−ln(1 − 0.37) = 1.50 d and ln 2/−ln(1 − 0.22) = 2.79 d.
def test_half_of_the_energy_is_spent_after_one_and_a_half_to_three_days() -> None:
    assert hours_to_half_energy() == pytest.approx((36.0, 67.0), abs=0.1)


# The practice of a first feed on day three or four [P] begins before the last animals have spent half of
# theirs.
@pytest.mark.parametrize("water_c", [20.0, 25.0, 28.0])
def test_the_first_feed_comes_before_all_are_half_spent(water_c: float) -> None:
    hatched_h = T50_MEDIAN_H / pace(water_c)
    assert first_feed_days(water_c)[0] * 24.0 - hatched_h < hours_to_half_energy(water_c)[1]


@pytest.mark.parametrize(("age_d", "water_c"), [(0.8, 25.0), (10.9, 25.0), (1.0, 18.0), (math.nan, 25.0)])
def test_an_age_without_a_row_has_no_length(age_d: float, water_c: float) -> None:
    with pytest.raises(OutOfRange, match="age is"):
        length_cm(age_d, water_c)


@pytest.mark.parametrize("hours", [-1.0, 25.0, math.nan])
def test_hunger_is_known_for_a_day(hours: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is 0 to 24 h"):
        energy_left_range(hours)
