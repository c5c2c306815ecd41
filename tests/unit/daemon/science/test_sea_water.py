"""Sea-salt brine against the check values of EOS-80 and TEOS-10 (gsw)."""

import math

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science import brine
from daemon.science.sea_water import density_kg_per_m3, eos_80_kg_per_m3, practical_salinity
from daemon.science.valid_range import OutOfRange


# UNESCO Technical Paper in Marine Science 44, check values at atmospheric pressure: the second and third
# [R], the others [M]; five decimals.
@pytest.mark.parametrize(
    ("practical", "t68_c", "published"),
    [(0.0, 5.0, 999.96675), (0.0, 25.0, 997.04796), (35.0, 5.0, 1027.67547), (35.0, 25.0, 1023.34306)],
)
def test_the_printed_polynomial_gives_the_check_values_of_unesco_44(
    practical: float, t68_c: float, published: float
) -> None:
    assert eos_80_kg_per_m3(t68_c, practical) == pytest.approx(published, abs=1e-5)


# TEOS-10 (gsw `rho_t_exact`) over the whole range; the docstring claims 0.03 kg/m³. EOS-80 ends at 42.
@pytest.mark.parametrize("water_c", [5, 10, 15, 20, 25, 30, 35])
@pytest.mark.parametrize("salinity", [0, 5, 15, 25, 35, 42, 50])
def test_density_agrees_with_teos_10(water_c: int, salinity: int) -> None:
    library = float(gsw.rho_t_exact(salinity, water_c, 0.0))
    assert density_kg_per_m3(water_c, salinity) == pytest.approx(library, abs=0.03)


# Handbook [C]: sea water 25 g/kg at 25 °C 1015.718 (TEOS-10); EOS-80 lies within its own 0.01.
def test_density_of_sea_salt_hatching_brine() -> None:
    assert density_kg_per_m3(25.0, 25.0) == pytest.approx(1015.718, abs=0.01)


# Handbook: practical salinity 35 is 35.165 g/kg; gsw has the same scale at the standard ocean's composition.
def test_practical_salinity_35_is_35_165_grams() -> None:
    assert practical_salinity(35.165) == pytest.approx(35.0, abs=1e-3)
    assert practical_salinity(20.0) * float(gsw.SR_from_SP(1.0)) == pytest.approx(20.0, rel=1e-6)


@given(st.floats(5.0, 34.9))
def test_without_salt_it_is_plain_water(water_c: float) -> None:
    assert density_kg_per_m3(water_c, 0.0) == pytest.approx(brine.density_kg_per_m3(water_c, 0.0), abs=0.003)


@given(st.floats(5.0, 35.0), st.floats(0.0, 49.0), st.floats(0.01, 1.0))
def test_more_salt_is_denser(water_c: float, salinity: float, more: float) -> None:
    assert density_kg_per_m3(water_c, salinity + more) > density_kg_per_m3(water_c, salinity)


@pytest.mark.parametrize(
    ("water_c", "salinity"), [(4.9, 25.0), (35.1, 25.0), (25.0, -0.1), (25.0, 50.1), (25.0, math.nan)]
)
def test_water_outside_the_range_is_refused(water_c: float, salinity: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        density_kg_per_m3(water_c, salinity)


# The same check value from today's degrees (ITS-90) and grams: t68 = 1.00024·t90 (Saunders 1990) [M],
# 35.16504 g/kg at practical salinity 35 (Millero et al. 2008) [M].
def test_degrees_and_grams_of_today_come_to_the_check_value_too() -> None:
    assert density_kg_per_m3(25.0 / 1.00024, 35.16504) == pytest.approx(1023.34306, abs=1e-5)
