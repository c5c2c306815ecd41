"""Growth after the hatch against the one published pair of rows."""

import math

import pytest

from daemon.science.growth import days_to_adult, first_feed_days
from daemon.science.hatching import T50_MEDIAN_H, hours_to_instar_ii, pace
from daemon.science.limits import OutOfRange


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
