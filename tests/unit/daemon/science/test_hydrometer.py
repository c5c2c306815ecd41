"""Hydrometer readings against TEOS-10 and worked arithmetic, and there and back."""

import math
from collections.abc import Callable

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.hydrometer import (
    Salt,
    Scale,
    ScaleKind,
    density_of,
    reading_of_salinity,
    salinity_of_density,
    salinity_of_reading,
    salinity_of_specific_gravity,
    specific_gravity,
)
from daemon.science.valid_range import OutOfRange

waters = st.floats(5.0, 35.0)
salinities = st.floats(0.0, 50.0)
salts: st.SearchStrategy[Salt] = st.sampled_from(["table", "sea"])
scales = st.builds(
    Scale,
    kind=st.sampled_from(["specific-gravity", "density-g-per-ml"]),
    calibrated_c=st.floats(15.0, 25.0),
    reference_c=st.floats(5.0, 25.0),
)


# Handbook [C]: sea water of 35 g/kg at 25 °C reads 1.0263 on a 25/25 scale, 1.0251 on a 25/20 scale; four
# decimals, and 3e-5 for EOS-80 against the library it was computed with (ours 1.02625 and 1.02505).
@pytest.mark.parametrize(("reference_c", "published"), [(25.0, 1.0263), (20.0, 1.0251)])
def test_sea_water_reads_as_the_handbook_has_it(reference_c: float, published: float) -> None:
    scale = Scale(calibrated_c=25.0, reference_c=reference_c)
    assert reading_of_salinity(35.0, 25.0, scale, "sea") == pytest.approx(published, abs=8e-5)
    # That much of a reading is 0.11 g/kg.
    assert salinity_of_reading(published, 25.0, scale, "sea") == pytest.approx(35.0, abs=0.11)


# TEOS-10's densities in the same definition, R = ρ·(1 + β(T − T_cal))/ρw(T_ref): 3e-5 for EOS-80 against it.
@pytest.mark.parametrize("water_c", [10.0, 15.0, 20.0, 25.0, 30.0])
@pytest.mark.parametrize("salinity", [10.0, 25.0, 35.0, 45.0])
def test_readings_in_sea_water_agree_with_teos_10(water_c: float, salinity: float) -> None:
    density, plain = float(gsw.rho_t_exact(salinity, water_c, 0.0)), float(gsw.rho_t_exact(0.0, 15.0, 0.0))
    expected = density * (1.0 + 25e-6 * (water_c - 20.0)) / plain
    scale = Scale(calibrated_c=20.0, reference_c=15.0)
    assert reading_of_salinity(salinity, water_c, scale, "sea") == pytest.approx(expected, abs=3e-5)


# Rogers & Pitzer as in the CRC Handbook [C]: 25 g/kg of table salt at 25 °C is 1014.70 kg/m³, water 997.047.
def test_hatching_brine_reads_1_0177_on_a_25_25_scale() -> None:
    assert specific_gravity(25.0, 25.0, 25.0) == pytest.approx(1014.70 / 997.047, abs=5e-5)
    assert reading_of_salinity(25.0, 25.0, Scale()) == pytest.approx(1.0177, abs=5e-5)


# Worked by hand: at 15 °C a float calibrated at 25 °C is 2.5e-4 smaller and so reads 2.5e-4 of itself less.
def test_cold_glass_reads_lower_by_its_shrinking() -> None:
    stiff = reading_of_salinity(25.0, 15.0, Scale(glass_per_k=0.0))
    assert reading_of_salinity(25.0, 15.0, Scale()) / stiff == pytest.approx(1.0 - 2.5e-4, abs=1e-12)


# A float reads 1 in plain water of its own two temperatures: the scale's definition.
@given(st.floats(5.0, 35.0))
def test_plain_water_of_the_scales_own_temperature_reads_one(water_c: float) -> None:
    scale = Scale(calibrated_c=water_c, reference_c=water_c)
    assert reading_of_salinity(0.0, water_c, scale) == pytest.approx(1.0, abs=1e-12)
    assert salinity_of_reading(1.0, water_c, scale) == pytest.approx(0.0, abs=1e-9)


def test_a_salinity_scale_is_right_in_sea_water_of_its_temperature() -> None:
    scale = Scale(kind="salinity-g-per-kg", calibrated_c=20.0)
    assert reading_of_salinity(33.0, 20.0, scale, "sea") == pytest.approx(33.0, abs=1e-9)
    # Warm water is thinner, so the same scale shows too little: 5 K are 1.3 kg/m³ and 1.6 to 1.8 g/kg.
    assert reading_of_salinity(33.0, 25.0, scale, "sea") == pytest.approx(31.3, abs=0.3)
    assert salinity_of_reading(reading_of_salinity(25.0, 22.0, scale), 22.0, scale) == pytest.approx(25.0)


def test_a_density_scale_shows_grams_a_millilitre() -> None:
    scale = Scale(kind="density-g-per-ml", calibrated_c=20.0)
    assert reading_of_salinity(25.0, 20.0, scale) == pytest.approx(density_of(20.0, 25.0) / 1000.0)


@given(waters, salinities, salts)
def test_density_and_salinity_are_each_others_inverse(water_c: float, salinity: float, salt: Salt) -> None:
    back = salinity_of_density(density_of(water_c, salinity, salt), water_c, salt)
    assert back == pytest.approx(salinity, abs=1e-9)


@given(waters, salinities, salts, st.floats(5.0, 25.0))
def test_gravity_and_salinity_are_each_others_inverse(
    water_c: float, salinity: float, salt: Salt, reference_c: float
) -> None:
    gravity = specific_gravity(salinity, water_c, reference_c, salt)
    back = salinity_of_specific_gravity(gravity, water_c, reference_c, salt)
    assert back == pytest.approx(salinity, abs=1e-6)


@given(waters, salinities, scales, salts)
def test_reading_and_salinity_are_each_others_inverse(
    water_c: float, salinity: float, scale: Scale, salt: Salt
) -> None:
    reading = reading_of_salinity(salinity, water_c, scale, salt)
    assert salinity_of_reading(reading, water_c, scale, salt) == pytest.approx(salinity, abs=1e-9)


def test_a_reading_no_brine_has_is_refused_with_those_it_has() -> None:
    with pytest.raises(OutOfRange, match=r"reading is 26\.3; allowed is 1 to 1\.03"):
        salinity_of_reading(26.3, 25.0, Scale())


@pytest.mark.parametrize("kind", ["specific-gravity", "density-g-per-ml", "salinity-g-per-kg"])
@pytest.mark.parametrize("reading", [-1.0, 0.9, 55.0, math.nan])
def test_a_reading_off_the_scale_is_refused(kind: ScaleKind, reading: float) -> None:
    if kind == "salinity-g-per-kg" and reading == 0.9:
        return  # 0.9 g/kg is a reading of that scale
    with pytest.raises(OutOfRange, match="reading"):
        salinity_of_reading(reading, 25.0, Scale(kind=kind))


@pytest.mark.parametrize(
    "asked",
    [
        lambda: density_of(4.0, 25.0),
        lambda: density_of(36.0, 25.0),
        lambda: density_of(25.0, 51.0),
        lambda: salinity_of_density(1100.0, 25.0),
        lambda: salinity_of_density(math.nan, 25.0),
        lambda: reading_of_salinity(25.0, 25.0, Scale(calibrated_c=60.0)),
        lambda: reading_of_salinity(25.0, 25.0, Scale(reference_c=60.0)),
        lambda: reading_of_salinity(25.0, 25.0, Scale(glass_per_k=-1.0)),
        lambda: salinity_of_specific_gravity(2.0, 25.0, 25.0),
    ],
)
def test_a_hydrometer_that_cannot_be_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()
