"""The lumped cup against the handbook's figures, TEOS-10 and a general solver."""

import math
from collections.abc import Callable

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from daemon.science.air import vapour_pressure_pa
from daemon.science.brine import water_activity
from daemon.science.cup_heat_balance import (
    cup_c_after,
    equilibrium_c,
    evaporation_w,
    heat_capacity_j_per_k,
    latent_heat_j_per_g,
    time_constant_h,
    ua_w_per_k_of,
)
from daemon.science.evaporation import shah_kg_per_m2_h
from daemon.science.valid_range import OutOfRange


def cooling_w(water_c: float, surface_cm2: float = 38.5) -> float:
    """Shah's evaporation from hatching brine in a room of 21 °C and 45 %."""
    rate = shah_kg_per_m2_h(water_c, 21.0, vapour_pressure_pa(21.0, 45.0), water_activity(25.0))
    return evaporation_w(rate, surface_cm2, water_c)


# Handbook, coefficients assumed [C]: 250 mL has C about 1031 J/K.
def test_a_cup_holds_the_heat_of_the_handbook() -> None:
    assert heat_capacity_j_per_k(250.0) == pytest.approx(1031.0, abs=0.5)


# TEOS-10, sea water of 25 g/kg at 25 °C: 4.113 J/(mL·K). Table salt instead of sea salt: 0.5 %.
def test_the_heat_of_brine_agrees_with_teos_10() -> None:
    sea = float(gsw.cp_t_exact(25.0, 25.0, 0.0) * gsw.rho_t_exact(25.0, 25.0, 0.0)) / 1e6
    assert heat_capacity_j_per_k(1.0) == pytest.approx(sea, rel=0.005)


# Handbook [C, coefficients assumed]: UA about 0.18 W/K and time constant about 1.2 h with evaporation for
# 250 mL, about 2.4 h for 2 L; "about", one decimal: 0.1 h. The 2 L figure fixes how UA grows with size.
@pytest.mark.parametrize(("volume_ml", "published_h"), [(250.0, 1.2), (2000.0, 2.4)])
def test_a_cup_cools_with_the_time_constant_of_the_handbook(volume_ml: float, published_h: float) -> None:
    surface_cm2 = 38.5 * (volume_ml / 250.0) ** (2.0 / 3.0)
    slope = (cooling_w(24.0, surface_cm2) - cooling_w(20.0, surface_cm2)) / 4.0
    hours = time_constant_h(heat_capacity_j_per_k(volume_ml), ua_w_per_k_of(volume_ml), slope)
    assert hours == pytest.approx(published_h, abs=0.1)


def test_the_first_guess_of_a_cups_loss_is_that_of_the_handbook() -> None:
    assert ua_w_per_k_of(250.0) == pytest.approx(0.18)


# Handbook: after the lamp goes off a cup is near room − 1 K within 4 to 6 h ("near": 0.3 K).
@pytest.mark.parametrize("hours", [4, 5, 6])
def test_a_cup_is_near_a_kelvin_below_the_room_four_to_six_hours_after_the_lamp(hours: int) -> None:
    water_c = 27.0
    for _ in range(hours * 10):
        water_c = cup_c_after(0.1, water_c, 21.0, 0.0, 0.18, heat_capacity_j_per_k(250.0), cooling_w(water_c))
    assert water_c == pytest.approx(20.0, abs=0.3)


# FAO-56 [M]: 2.45 MJ/kg at 20 °C, two decimals. Steam tables (IAPWS) [M]: 2500.9 at 0 °C, 2453.5 at 20,
# 2441.7 at 25, 2406.0 at 40 J/g; FAO's straight line stays within 1.
@pytest.mark.parametrize(
    ("water_c", "tabled"), [(0.0, 2500.9), (20.0, 2453.5), (25.0, 2441.7), (40.0, 2406.0)]
)
def test_the_heat_of_evaporation_follows_the_steam_tables(water_c: float, tabled: float) -> None:
    assert latent_heat_j_per_g(water_c) == pytest.approx(tabled, abs=1.0)
    assert latent_heat_j_per_g(20.0) == pytest.approx(2450.0, abs=5.0)


# 16.6 mL a day of 25 °C water (handbook's cup) takes 16.55 g/d · 2442 J/g / 86400 s = 0.468 W.
def test_the_cooling_of_a_days_loss_is_its_heat_over_the_day() -> None:
    rate = 16.55 / 24.0 / 38.5 * 10.0
    assert evaporation_w(rate, 38.5, 25.0) == pytest.approx(0.468, abs=0.001)


# scipy's solve_ivp to 1e-9 on the same equation, with evaporation rising with temperature; half-hour steps of
# ours hold it constant each: the docstring allows that, and it costs under 0.1 K while the cup cools 6 K.
def test_half_hour_steps_follow_a_general_solver() -> None:
    heat = heat_capacity_j_per_k(250.0)

    def slope(_: float, state: list[float]) -> list[float]:
        return [(-0.18 * (state[0] - 21.0) - cooling_w(state[0])) / heat]

    exact = solve_ivp(slope, (0.0, 6 * 3600.0), [27.0], rtol=1e-9, atol=1e-9).y[0][-1]
    water_c = 27.0
    for _ in range(12):
        water_c = cup_c_after(0.5, water_c, 21.0, 0.0, 0.18, heat, cooling_w(water_c))
    assert water_c == pytest.approx(exact, abs=0.1)


@given(
    st.floats(0.0, 24.0),
    st.floats(0.0, 24.0),
    st.floats(5.0, 40.0),
    st.floats(5.0, 35.0),
    st.floats(0.0, 5.0),
)
def test_two_steps_reach_where_one_reaches(
    first_h: float, second_h: float, start_c: float, room_c: float, lamp_w: float
) -> None:
    def after(hours: float, begin_c: float) -> float:
        return cup_c_after(hours, begin_c, room_c, lamp_w, 0.18, 1031.0, 0.2)

    assert after(second_h, after(first_h, start_c)) == pytest.approx(
        after(first_h + second_h, start_c), abs=1e-9
    )


def test_a_cup_begins_where_it_is_and_ends_in_balance() -> None:
    settled = equilibrium_c(20.0, 1.5, 0.18, 0.3)
    assert cup_c_after(0.0, 27.0, 20.0, 1.5, 0.18, 1031.0, 0.3) == pytest.approx(27.0)
    assert cup_c_after(100.0, 27.0, 20.0, 1.5, 0.18, 1031.0, 0.3) == pytest.approx(settled)
    assert (settled - 20.0) * 0.18 == pytest.approx(1.5 - 0.3)


def test_one_time_constant_leaves_37_per_cent_of_a_step() -> None:
    hours = time_constant_h(1031.0, 0.18)
    assert cup_c_after(hours, 30.0, 20.0, 0.0, 0.18, 1031.0, 0.0) == pytest.approx(20.0 + 10.0 / math.e)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: heat_capacity_j_per_k(0.0),
        lambda: ua_w_per_k_of(math.nan),
        lambda: latent_heat_j_per_g(80.0),
        lambda: evaporation_w(-0.1, 38.5, 25.0),
        lambda: time_constant_h(1031.0, 0.0),
        lambda: time_constant_h(1031.0, 0.18, -0.1),
        lambda: equilibrium_c(20.0, -1.0, 0.18, 0.0),
        lambda: equilibrium_c(math.nan, 0.0, 0.18, 0.0),
        lambda: cup_c_after(-1.0, 20.0, 20.0, 0.0, 0.18, 1031.0, 0.0),
        lambda: cup_c_after(1.0, math.nan, 20.0, 0.0, 0.18, 1031.0, 0.0),
    ],
)
def test_a_cup_that_cannot_be_is_refused(asked: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()
