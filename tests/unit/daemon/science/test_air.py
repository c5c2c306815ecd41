"""Moist air against FAO-56 and psychrolib (ASHRAE's equations)."""

import math
from collections.abc import Callable

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science import air
from daemon.science.air import (
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_vapour_pressure_pa,
    vapour_pressure_pa,
)
from daemon.science.valid_range import OutOfRange

psychrolib.SetUnitSystem(psychrolib.SI)


# FAO-56, chapter 3, example 3 [R]; three decimals of a kPa.
@pytest.mark.parametrize(("air_c", "published_kpa"), [(15.0, 1.705), (24.5, 3.075)])
def test_saturation_follows_the_worked_example_of_fao_56(air_c: float, published_kpa: float) -> None:
    assert saturation_vapour_pressure_pa(air_c) / 1000.0 == pytest.approx(published_kpa, abs=0.0006)


# FAO-56, chapter 3, example 5 [M]: 18 °C at 82 % and 25 °C at 54 % have a mean vapour pressure of 1.70 kPa.
def test_vapour_pressure_follows_the_worked_example_of_fao_56() -> None:
    mean_pa = (vapour_pressure_pa(18.0, 82.0) + vapour_pressure_pa(25.0, 54.0)) / 2.0
    assert mean_pa / 1000.0 == pytest.approx(1.70, abs=0.005)


# psychrolib 2.5 [C]; FAO's equation 11 claims 0.09 % of IAPWS for 15–30 °C, and psychrolib is within 0.01 %.
@pytest.mark.parametrize(("air_c", "library_pa"), [(20.0, 2338.80), (25.0, 3169.22)])
def test_saturation_agrees_with_the_handbooks_library_values(air_c: float, library_pa: float) -> None:
    assert saturation_vapour_pressure_pa(air_c) == pytest.approx(library_pa, rel=0.001)


@pytest.mark.parametrize("air_c", range(15, 31))
def test_saturation_is_within_a_tenth_of_a_per_cent_of_psychrolib_in_rooms(air_c: int) -> None:
    assert saturation_vapour_pressure_pa(air_c) == pytest.approx(psychrolib.GetSatVapPres(air_c), rel=0.0010)


# The docstring's claim: 0.12 % from 1 to 60 °C.
@pytest.mark.parametrize("air_c", range(1, 61))
def test_saturation_is_near_psychrolib_wherever_water_is_liquid(air_c: int) -> None:
    assert saturation_vapour_pressure_pa(air_c) == pytest.approx(psychrolib.GetSatVapPres(air_c), rel=0.0012)


# Both use 0.621945: agreement to rounding.
@pytest.mark.parametrize("vapour_pa", [300.0, 1050.0, 1950.0, 4000.0])
@pytest.mark.parametrize("pressure_pa", [85_000.0, 101_325.0])
def test_humidity_ratio_agrees_with_psychrolib(vapour_pa: float, pressure_pa: float) -> None:
    library = psychrolib.GetHumRatioFromVapPres(vapour_pa, pressure_pa)
    assert humidity_ratio(vapour_pa, pressure_pa) == pytest.approx(library, rel=1e-6)


# psychrolib's gas constant 287.042 differs from ours, 287.055, by 5e-5.
@pytest.mark.parametrize("air_c", [6.0, 21.0, 35.0])
@pytest.mark.parametrize("rh_pct", [0.0, 45.0, 100.0])
def test_dry_part_density_agrees_with_psychrolib(air_c: float, rh_pct: float) -> None:
    vapour_pa = vapour_pressure_pa(air_c, rh_pct)
    ratio = psychrolib.GetHumRatioFromVapPres(vapour_pa, 101_325.0)
    library = 1.0 / psychrolib.GetMoistAirVolume(air_c, ratio, 101_325.0)
    assert dry_air_density_kg_per_m3(air_c, vapour_pa) == pytest.approx(library, rel=1e-4)


def test_dry_air_holds_no_vapour() -> None:
    assert vapour_pressure_pa(21.0, 0.0) == 0.0
    assert humidity_ratio(0.0) == 0.0


def test_air_at_a_hundred_per_cent_is_saturated() -> None:
    assert vapour_pressure_pa(21.0, 100.0) == saturation_vapour_pressure_pa(21.0)


@given(st.floats(-20.0, 59.0), st.floats(0.01, 1.0))
def test_saturation_rises_with_temperature(air_c: float, step: float) -> None:
    assert saturation_vapour_pressure_pa(air_c + step) > saturation_vapour_pressure_pa(air_c)


@given(st.floats(-20.0, 60.0), st.floats(0.0, 100.0))
def test_the_dry_part_is_lighter_the_more_vapour_there_is(air_c: float, rh_pct: float) -> None:
    moist = dry_air_density_kg_per_m3(air_c, vapour_pressure_pa(air_c, rh_pct))
    assert moist <= dry_air_density_kg_per_m3(air_c, 0.0)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: saturation_vapour_pressure_pa(60.1),
        lambda: saturation_vapour_pressure_pa(math.nan),
        lambda: vapour_pressure_pa(21.0, 100.5),
        lambda: vapour_pressure_pa(21.0, -1.0),
        lambda: humidity_ratio(-1.0),
        lambda: humidity_ratio(1000.0, 101.325),
        lambda: dry_air_density_kg_per_m3(-21.0, 0.0),
        lambda: dry_air_density_kg_per_m3(21.0, math.nan),
    ],
)
def test_air_that_no_room_has_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


# The standard atmosphere is 101,325 Pa: 10th General Conference on Weights and Measures, 1954 [M].
def test_air_is_at_the_standard_atmosphere_where_no_pressure_is_told() -> None:
    assert air.SEA_LEVEL_PA == 101_325.0
    assert humidity_ratio(1000.0) == humidity_ratio(1000.0, 101_325.0)
