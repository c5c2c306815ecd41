"""Moist air and evaporation against CoolProp's humid air (real gas, ASHRAE RP-1485), where it installs."""

from typing import Any

import pytest

from daemon.science.air import (
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_vapour_pressure_pa,
    vapour_pressure_pa,
)
from daemon.science.evaporation import shah_kg_per_m2_h, sherwood_rayleigh_kg_per_m2_h

pytest.importorskip("CoolProp", reason="CoolProp is not installed (it is in the extra `coolprop`)")
from CoolProp.HumidAirProp import HAPropsSI

PRESSURE_PA = 101_325.0


def library(what: str, air_c: float, rh_pct: float) -> float:
    found: Any = HAPropsSI(what, "T", air_c + 273.15, "P", PRESSURE_PA, "R", rh_pct / 100.0)
    return float(found)


# CoolProp counts air as a real gas: vapour over water in air is 0.4 to 0.5 % above that alone (the
# enhancement factor), which FAO-56 and psychrolib leave out; FAO's own 0.12 % comes on top. So 0.6 % here.
@pytest.mark.parametrize("air_c", [10.0, 15.0, 20.0, 25.0, 30.0, 35.0])
@pytest.mark.parametrize("rh_pct", [20.0, 50.0, 100.0])
def test_vapour_pressure_and_humidity_ratio_agree_with_a_real_gas(air_c: float, rh_pct: float) -> None:
    vapour_pa = vapour_pressure_pa(air_c, rh_pct)
    assert vapour_pa == pytest.approx(library("P_w", air_c, rh_pct), rel=0.006)
    assert humidity_ratio(vapour_pa) == pytest.approx(library("W", air_c, rh_pct), rel=0.006)


# Density of the dry part: air itself is 0.05 % off an ideal gas, vapour's 0.5 % counts for little.
@pytest.mark.parametrize("air_c", [10.0, 20.0, 30.0])
@pytest.mark.parametrize("rh_pct", [20.0, 50.0, 100.0])
def test_the_dry_parts_density_agrees_with_a_real_gas(air_c: float, rh_pct: float) -> None:
    ours = dry_air_density_kg_per_m3(air_c, vapour_pressure_pa(air_c, rh_pct))
    assert ours == pytest.approx(1.0 / library("Vda", air_c, rh_pct), rel=0.001)


CUPS = [(20.0, 45.0), (25.0, 45.0), (28.0, 45.0), (28.0, 20.0), (24.0, 60.0)]


# M. M. Shah's formula [M] worked with CoolProp's densities and ratios instead of ours. The drive Ws − Wa is
# a difference, so 0.5 % of each make up to 1 % of it.
@pytest.mark.parametrize(("water_c", "rh_pct"), CUPS)
def test_shahs_formula_gives_the_same_with_a_real_gas(water_c: float, rh_pct: float) -> None:
    surface, room = 1.0 / library("Vda", water_c, 100.0), 1.0 / library("Vda", 21.0, rh_pct)
    drive = library("W", water_c, 100.0) - library("W", 21.0, rh_pct)
    convection = 35.0 * surface * (room - surface) ** (1.0 / 3.0) * drive
    stirring = 5.0e-5 * (library("P_w", water_c, 100.0) - library("P_w", 21.0, rh_pct))
    ours = shah_kg_per_m2_h(water_c, 21.0, vapour_pressure_pa(21.0, rh_pct))
    assert ours == pytest.approx(max(convection, stirring), rel=0.01)


# The Sherwood–Rayleigh relation (Bower & Saylor 2009) [M] with CoolProp's viscosity, conductivity, heat and
# densities, and diffusivity by Marrero & Mason, 1.87e-10·T^2.072/p [M] instead of Pruppacher & Klett's: 2 %.
@pytest.mark.parametrize(("water_c", "rh_pct"), CUPS)
def test_the_convection_relation_gives_the_same_with_other_properties(water_c: float, rh_pct: float) -> None:
    width_m, film_c = 0.07, (water_c + 21.0) / 2.0
    surface, room = 1.0 / library("Vha", water_c, 100.0), 1.0 / library("Vha", 21.0, rh_pct)
    density = (surface + room) / 2.0
    viscosity = library("mu", film_c, 60.0) / density
    diffusivity = 1.87e-10 * (film_c + 273.15) ** 2.072
    heat_diffusivity = library("k", film_c, 60.0) / (density * library("cp_ha", film_c, 60.0))
    rayleigh = 9.80665 * (room - surface) / density * width_m**3 / (viscosity * heat_diffusivity)
    sherwood = 0.230 * (viscosity / diffusivity) ** (1.0 / 3.0) * rayleigh**0.321
    ratio_s, ratio_a = library("W", water_c, 100.0), library("W", 21.0, rh_pct)
    step = ratio_s / library("Vda", water_c, 100.0) - ratio_a / library("Vda", 21.0, rh_pct)
    expected = 3600.0 * sherwood * diffusivity * step / width_m
    ours = sherwood_rayleigh_kg_per_m2_h(water_c, 21.0, vapour_pressure_pa(21.0, rh_pct), 7.0)
    assert ours == pytest.approx(expected, rel=0.02)


def test_saturation_without_air_is_below_that_in_air() -> None:
    assert saturation_vapour_pressure_pa(25.0) < library("P_w", 25.0, 100.0)
