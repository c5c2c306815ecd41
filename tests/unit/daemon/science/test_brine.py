"""Brine against the CRC Handbook, Perry's tables, EOS-80 and TEOS-10 (gsw)."""

import math
from collections.abc import Callable

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.brine import (
    density_kg_per_m3,
    g_per_l,
    salinity_g_per_kg,
    salinity_in_a_litre,
    salinity_to_a_litre,
    salt_g_in_a_litre,
    salt_g_of,
    volume_ml_of,
    water_activity,
    water_activity_sea_salt,
    water_g_of,
)
from daemon.science.valid_range import OutOfRange

NACL_G_PER_MOL = 58.443
WATER_KG_PER_MOL = 0.018015268


# Rogers & Pitzer as in the CRC Handbook [C]; the fit's largest residual is 0.044 kg/m³.
def test_density_of_hatching_brine_is_that_of_the_crc_handbook() -> None:
    assert density_kg_per_m3(25.0, 25.0) == pytest.approx(1014.70, abs=0.05)


# CRC Handbook, specific volume of NaCl at 25 °C [R, secondary copy]. The last, 55 g/kg, is past the fit's own
# range of 50 and gets the wider 0.1 % that the docstring claims there (it is off by 0.05 kg/m³).
@pytest.mark.parametrize(
    ("mol_per_kg", "cm3_per_g", "tolerance"),
    [(0.25, 0.992832, 0.05), (0.5, 0.983185, 0.05), (1.0, 0.965038, 1.0)],
)
def test_density_inverts_the_published_specific_volumes(
    mol_per_kg: float, cm3_per_g: float, tolerance: float
) -> None:
    salinity = salinity_g_per_kg(mol_per_kg * NACL_G_PER_MOL, 1000.0)
    assert density_kg_per_m3(25.0, salinity) == pytest.approx(1000.0 / cm3_per_g, abs=tolerance)


# 20 °C, 4 % by mass: 1026.8 kg/m³ [R], one decimal: 0.05 for it and 0.05 for the fit.
def test_density_of_four_per_cent_brine_at_20_c() -> None:
    assert density_kg_per_m3(20.0, 40.0) == pytest.approx(1026.8, abs=0.1)


# Perry's Chemical Engineers' Handbook, densities of aqueous NaCl [M]; the docstring claims 0.1 %.
@pytest.mark.parametrize(
    ("water_c", "salinity", "published"),
    [
        (0.0, 40.0, 1030.38),
        (10.0, 40.0, 1029.20),
        (40.0, 40.0, 1019.77),
        (60.0, 40.0, 1010.3),
        (25.0, 80.0, 1054.12),
        (0.0, 120.0, 1092.44),
        (25.0, 120.0, 1083.65),
        (60.0, 120.0, 1066.7),
    ],
)
def test_density_stays_within_a_tenth_of_a_per_cent_beyond_its_fit(
    water_c: float, salinity: float, published: float
) -> None:
    assert density_kg_per_m3(water_c, salinity) == pytest.approx(published, rel=0.001)


# EOS-80 check value, UNESCO Technical Paper in Marine Science 44 [R]: five decimals.
def test_plain_water_has_the_check_value_of_eos_80() -> None:
    assert density_kg_per_m3(25.0, 0.0) == pytest.approx(997.04796, abs=1e-5)


# The fit's own table of plain water [C], three decimals; EOS-80 counts on IPTS-68, up to 0.002 off at 30 °C.
@pytest.mark.parametrize(
    ("water_c", "tabled"), [(10.0, 999.702), (20.0, 998.207), (25.0, 997.047), (30.0, 995.649)]
)
def test_plain_water_has_the_density_the_fit_was_made_with(water_c: float, tabled: float) -> None:
    assert density_kg_per_m3(water_c, 0.0) == pytest.approx(tabled, abs=0.003)


@pytest.mark.parametrize("water_c", range(0, 41, 5))
def test_plain_water_agrees_with_teos_10(water_c: int) -> None:
    assert density_kg_per_m3(water_c, 0.0) == pytest.approx(float(gsw.rho_t_exact(0, water_c, 0)), abs=0.005)


# 25 g/kg of sea salt at 25 °C: 1015.718 (TEOS-10) [C]; the docstring says "about 1 kg/m³ denser".
@pytest.mark.parametrize("water_c", [10, 20, 25, 30])
def test_sea_water_is_about_one_kg_per_m3_denser_than_our_brine(water_c: int) -> None:
    sea = float(gsw.rho_t_exact(25.0, water_c, 0.0))
    assert sea - density_kg_per_m3(water_c, 25.0) == pytest.approx(1.0, abs=0.2)
    assert float(gsw.rho_t_exact(25.0, 25.0, 0.0)) == pytest.approx(1015.718, abs=0.001)


# Pitzer 0.98556, PHREEQC 0.98554 at 25 °C and 25 g/kg [C]; the linear form claims 4e-4 up to 35 g/kg.
def test_water_activity_of_hatching_brine() -> None:
    assert water_activity(25.0) == pytest.approx(0.98556, abs=4e-4)


# Osmotic coefficient of NaCl 0.9209 at 0.5 mol/kg (Robinson & Stokes) [M]: ln a = −φ·2·m·M.
def test_water_activity_at_half_a_mole_follows_robinson_and_stokes() -> None:
    published = math.exp(-0.9209 * 2.0 * 0.5 * WATER_KG_PER_MOL)
    salinity = salinity_g_per_kg(0.5 * NACL_G_PER_MOL, 1000.0)
    assert water_activity(salinity) == pytest.approx(published, abs=4e-4)


# TEOS-10: ln a = (μ(S) − μ(0))·M/(R·T), the chemical potentials in J/g; claim 4e-4 up to 35 g/kg.
@pytest.mark.parametrize("salinity", [0.0, 5.0, 15.0, 25.0, 35.0])
def test_water_activity_of_sea_salt_agrees_with_teos_10(salinity: float) -> None:
    step = float(gsw.chem_potential_water_t_exact(salinity, 25.0, 0.0))
    step -= float(gsw.chem_potential_water_t_exact(0.0, 25.0, 0.0))
    published = math.exp(step * 18.015268 / (8.314472 * 298.15))
    assert water_activity_sea_salt(salinity) == pytest.approx(published, abs=4e-4)


# TEOS-10 as the handbook tells it [C]: 0.98688 at 25 g/kg.
def test_water_activity_of_sea_salt_at_25_g_per_kg() -> None:
    assert water_activity_sea_salt(25.0) == pytest.approx(0.98688, abs=4e-4)


# 25 g dissolved in a litre 24.46 g/kg, made up to a litre 24.64 g/kg [C]; two decimals.
def test_the_two_meanings_of_a_recipe_differ_as_published() -> None:
    assert salinity_in_a_litre(25.0) == pytest.approx(24.46, abs=0.005)
    assert salinity_to_a_litre(25.0, 25.0) == pytest.approx(24.64, abs=0.005)


@given(st.floats(0.0, 120.0), st.floats(-5.0, 60.0))
def test_a_litre_made_up_holds_the_grams_of_its_recipe(salt_g_per_l: float, water_c: float) -> None:
    salinity = salinity_to_a_litre(salt_g_per_l, water_c)
    assert salt_g_of(1000.0, salinity, water_c) == pytest.approx(salt_g_per_l, abs=1e-6)


# The two lines of the handbook the other way about [C]: 24.46 and 24.64 g/kg are 25 g; two decimals are 0.005
# g.
def test_the_grams_of_a_recipe_follow_from_its_salinity() -> None:
    assert salt_g_in_a_litre(24.46) == pytest.approx(25.0, abs=0.01)
    assert g_per_l(24.64, 25.0) == pytest.approx(25.0, abs=0.01)


@given(st.floats(0.0, 130.0))
def test_a_recipe_in_a_litre_and_its_salinity_are_each_others_inverse(salt_g_per_l: float) -> None:
    assert salt_g_in_a_litre(salinity_in_a_litre(salt_g_per_l)) == pytest.approx(salt_g_per_l, abs=1e-9)


@given(st.floats(0.0, 120.0), st.floats(-5.0, 60.0))
def test_grams_a_litre_and_a_recipe_to_a_litre_are_each_others_inverse(salt: float, water_c: float) -> None:
    assert g_per_l(salinity_to_a_litre(salt, water_c), water_c) == pytest.approx(salt, abs=1e-6)


# 250 mL at 25 g/kg losing 16.4 mL a day stands at 26.7, 28.7, 31.0 g/kg after 1, 2, 3 days [C]; one decimal.
@pytest.mark.parametrize(("days", "published"), [(1, 26.7), (2, 28.7), (3, 31.0)])
def test_a_cup_that_loses_water_grows_saltier_as_published(days: int, published: float) -> None:
    salt_g, water_g = salt_g_of(250.0, 25.0, 25.0), water_g_of(250.0, 25.0, 25.0)
    lost_g = days * 16.4 * density_kg_per_m3(25.0, 0.0) / 1000.0
    assert salinity_g_per_kg(salt_g, water_g - lost_g) == pytest.approx(published, abs=0.05)


@given(st.floats(1.0, 5000.0), st.floats(0.0, 100.0), st.floats(0.0, 40.0))
def test_a_volume_split_into_salt_and_water_goes_together_again(
    volume_ml: float, salinity: float, water_c: float
) -> None:
    salt_g, water_g = salt_g_of(volume_ml, salinity, water_c), water_g_of(volume_ml, salinity, water_c)
    assert salinity_g_per_kg(salt_g, water_g) == pytest.approx(salinity, abs=1e-9)
    assert volume_ml_of(salt_g, water_g, water_c) == pytest.approx(volume_ml, rel=1e-12)


@given(st.floats(0.0, 119.0), st.floats(0.01, 1.0), st.floats(-5.0, 60.0))
def test_saltier_brine_is_denser_and_evaporates_less(salinity: float, more: float, water_c: float) -> None:
    assert density_kg_per_m3(water_c, salinity + more) > density_kg_per_m3(water_c, salinity)
    assert water_activity(salinity + more) < water_activity(salinity)


def test_plain_water_has_no_salt_and_full_activity() -> None:
    assert salinity_g_per_kg(0.0, 100.0) == 0.0
    assert water_activity(0.0) == water_activity_sea_salt(0.0) == 1.0


@pytest.mark.parametrize(
    "asked",
    [
        lambda: density_kg_per_m3(61.0, 25.0),
        lambda: density_kg_per_m3(25.0, 121.0),
        lambda: density_kg_per_m3(math.nan, 25.0),
        lambda: water_activity(-0.1),
        lambda: water_activity_sea_salt(math.nan),
        lambda: salinity_g_per_kg(-1.0, 100.0),
        lambda: salinity_g_per_kg(1.0, 0.0),
        lambda: salinity_in_a_litre(500.0),
        lambda: salinity_to_a_litre(500.0, 25.0),
        lambda: salt_g_of(-1.0, 25.0, 25.0),
        lambda: water_g_of(math.inf, 25.0, 25.0),
    ],
)
def test_brine_that_is_not_known_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()
