"""How much to take out and pour in: checked by weighing salt and water, not by volumes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.brine import density_kg_per_m3
from reports.dilution import LEAST_ML, STRONG_SALT_G_PER_L, with_plain_water, with_strong_brine
from reports.records import Range
from tests.kit.news_samples import salty


def sure(salt):
    return Range(salt, salt, salt)


def weighed(salt_g_per_kg, there_ml, out_ml, in_ml, in_g_per_kg):
    """The salt after taking out and pouring in, g/kg, by mass; densities by the handbook's fit."""
    there_g = (there_ml - out_ml) * density_kg_per_m3(25.0, salt_g_per_kg) / 1000
    poured_g = in_ml * density_kg_per_m3(25.0, in_g_per_kg) / 1000
    salt_g = there_g * salt_g_per_kg / 1000 + poured_g * in_g_per_kg / 1000
    return 1000 * salt_g / (there_g + poured_g)


@pytest.mark.parametrize(("lost_ml", "salt"), [(16.4, 26.7), (32.8, 28.7), (49.2, 31.0)])
def test_plain_water_up_to_the_mark_brings_back_what_evaporation_took(lost_ml, salt):
    """Handbook: 250 mL at 25 g/kg losing 16.4 mL a day: 26.7, 28.7, 31.0 g/kg after 1, 2, 3 days [C]."""
    exchange = with_plain_water(salty(salinity_g_per_kg=sure(salt), high_g_per_kg=26.0, fill_ml=lost_ml))
    assert exchange.out_ml == 0.0
    assert exchange.in_ml == lost_ml
    assert exchange.ends_g_per_kg == pytest.approx(25.0, abs=0.2)


@given(st.floats(33.0, 80.0), st.floats(-60.0, 80.0), st.floats(100.0, 3000.0))
def test_too_much_salt_comes_into_its_range_by_weight(salt, missing_ml, mark_ml):
    trouble = salty(salinity_g_per_kg=sure(salt), fill_ml=missing_ml, mark_ml=mark_ml)
    exchange = with_plain_water(trouble)
    assert exchange is not None
    left_ml = missing_ml + exchange.out_ml - exchange.in_ml
    assert left_ml == pytest.approx(0.0, abs=LEAST_ML) if exchange.to_mark else left_ml > 0.0
    ends = weighed(salt, mark_ml - missing_ml, exchange.out_ml, exchange.in_ml, 0.0)
    assert ends == pytest.approx(exchange.ends_g_per_kg, rel=0.06)
    assert trouble.low_g_per_kg < ends < 1.06 * trouble.high_g_per_kg


@given(st.floats(1.0, 19.0), st.floats(-60.0, 80.0), st.floats(100.0, 3000.0))
def test_too_little_salt_comes_into_its_range_by_weight(salt, missing_ml, mark_ml):
    trouble = salty(salinity_g_per_kg=sure(salt), fill_ml=missing_ml, mark_ml=mark_ml)
    exchange = with_strong_brine(trouble)
    assert exchange is not None
    assert exchange.in_ml - exchange.out_ml <= max(missing_ml, 1e-9)
    if missing_ml < 0.0:
        assert missing_ml + exchange.out_ml - exchange.in_ml == pytest.approx(0.0, abs=LEAST_ML)
    strong = 1000 * STRONG_SALT_G_PER_L / (997.047 + STRONG_SALT_G_PER_L)  # water at 25 °C: 997.047 g/L [C]
    ends = weighed(salt, mark_ml - missing_ml, exchange.out_ml, exchange.in_ml, strong)
    assert trouble.low_g_per_kg < ends < trouble.high_g_per_kg


def test_what_cannot_be_worked_out_is_not_said():
    assert with_plain_water(salty(mark_ml=None)) is None
    assert with_strong_brine(salty(mark_ml=None)) is None
    assert with_plain_water(salty(mark_ml=float("nan"))) is None
    assert with_plain_water(salty(fill_ml=250.0)) is None
    assert with_strong_brine(salty()) is None  # too salty already
    assert with_strong_brine(salty(salinity_g_per_kg=sure(0.0))) is None


def test_less_than_the_fill_error_of_a_mark_is_not_said_to_be_filled():
    """Handbook: the fill error of a mark is about 3 mL for a 7 cm cup."""
    nearly = with_plain_water(salty(salinity_g_per_kg=sure(32.1), fill_ml=LEAST_ML - 0.5))
    assert nearly.out_ml > 0.0
