"""What bubbling air carries off, against psychrolib and against tables of vapour density."""

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science.air import saturation_vapour_pressure_pa, vapour_pressure_pa
from daemon.science.bubbled_air import bubbled_ml_per_h
from daemon.science.valid_range import OutOfRange

waters, rooms, shares = st.floats(5.0, 40.0), st.floats(5.0, 35.0), st.floats(0.1, 1.0)


@pytest.mark.parametrize("water_c", [15.0, 20.0, 27.0, 32.0])
@pytest.mark.parametrize(("room_c", "rh_pct"), [(16.0, 40.0), (20.0, 45.0), (24.0, 60.0)])
def test_it_is_what_the_dry_air_takes_up(water_c: float, room_c: float, rh_pct: float) -> None:
    """psychrolib's humidity ratios and moist air volume (ASHRAE Handbook, chapter 1), 1.3 L/min, saturated.

    The two formulae of saturation differ by up to 0.1 %, which a small difference of both enlarges.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    comes = psychrolib.GetHumRatioFromRelHum(room_c, rh_pct / 100.0, 101_325.0)
    leaves = psychrolib.GetHumRatioFromRelHum(water_c, 1.0, 101_325.0)
    dry_kg_per_h = 1.3 * 0.06 / psychrolib.GetMoistAirVolume(room_c, comes, 101_325.0)
    expected_g = max(0.0, 1000.0 * dry_kg_per_h * (leaves - comes))
    found = bubbled_ml_per_h(1.3, water_c, room_c, vapour_pressure_pa(room_c, rh_pct), saturated_share=1.0)
    assert found == pytest.approx(expected_g, rel=0.01, abs=0.003)  # a mL is 0.996 to 0.999 g


def test_a_litre_a_minute_takes_about_what_the_tables_of_vapour_density_say() -> None:
    """25.8 g/m³ at 27 °C and 17.3 at 20 °C saturated (CRC Handbook, from memory), in 0.06 m³ an hour.

    So counted it is 1.08 g; counted at the room's temperature, 5 to 8 % more.
    """
    tables_g = 0.06 * (25.8 - 0.45 * 17.3)
    found = bubbled_ml_per_h(1.0, 27.0, 20.0, vapour_pressure_pa(20.0, 45.0), saturated_share=1.0)
    assert 1.04 < found / tables_g < 1.09


@given(waters, rooms, shares)
def test_more_air_and_fuller_bubbles_take_more_and_damp_air_over_cold_water_takes_nothing(
    water_c: float, room_c: float, share: float
) -> None:
    vapour_pa = 0.5 * saturation_vapour_pressure_pa(room_c)
    once = bubbled_ml_per_h(1.0, water_c, room_c, vapour_pa, saturated_share=share)
    assert once >= 0.0
    assert bubbled_ml_per_h(2.0, water_c, room_c, vapour_pa, saturated_share=share) == pytest.approx(2 * once)
    assert bubbled_ml_per_h(1.0, water_c, room_c, vapour_pa, saturated_share=1.0) >= once
    soaked_pa = saturation_vapour_pressure_pa(water_c)
    assert bubbled_ml_per_h(1.0, water_c, room_c, soaked_pa) == 0.0


@pytest.mark.parametrize("l_per_min", [-0.1, 100.1])
def test_what_no_pump_gives_is_refused(l_per_min: float) -> None:
    with pytest.raises(OutOfRange):
        bubbled_ml_per_h(l_per_min, 25.0, 20.0, 1000.0)
    assert bubbled_ml_per_h(0.0, 25.0, 20.0, 1000.0) == 0.0
