"""How the loss slows as the water sinks below its rim."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from daemon.estimates.water.rim_shelter import Rim, rim_of
from daemon.science.evaporation import RIM_SLOWS_PER_CM
from tests.kit.station import tray

AREA_CM2 = 38.5


def rim(above_cm: float) -> Rim:
    return rim_of(tray(count=1, surface_cm2=AREA_CM2, brim_ml=0.0, rim_above_water_cm=above_cm))


def test_the_rim_takes_off_what_the_handbook_says() -> None:
    # Handbook, Evaporation: 1.0 at the rim, 0.65 at 1 cm; "a rim above the water takes off 40–65 %".
    flush = rim(0.0)
    assert 1.0 / flush.slowness(0.0) == 1.0
    assert 1.0 / flush.slowness(AREA_CM2) == pytest.approx(0.65, abs=0.001)
    assert 1.0 / flush.slowness(1.25 * AREA_CM2) == pytest.approx(0.60, abs=0.01)
    assert 1.0 / flush.slowness(3.4 * AREA_CM2) == pytest.approx(0.35, abs=0.01)


def test_it_never_slows_more_than_air_that_stands_quite_still_would() -> None:
    # Fick's law in a 7 cm cup, Sherwood number 11 by Bower & Saylor (2009) [M]: 1/(1 + 11·d/7).
    for depth_cm in (0.5, 1.0, 2.0, 3.0):
        assert 1.0 / rim(0.0).slowness(depth_cm * AREA_CM2) > 1.0 / (1.0 + 11.0 * depth_cm / 7.0)


@pytest.mark.parametrize("above_cm", [0.0, 1.0, 3.0])
@pytest.mark.parametrize("began_ml", [-20.0, 0.0, 30.0])
@pytest.mark.parametrize("open_ml", [5.0, 60.0])
def test_the_level_is_what_scipy_integrates_step_by_step(
    above_cm: float, began_ml: float, open_ml: float
) -> None:
    began_ml = max(began_ml, -above_cm * AREA_CM2)
    per_cm = RIM_SLOWS_PER_CM

    def pace(_: float, loss_ml: list[float]) -> list[float]:
        depth = above_cm + loss_ml[0] / AREA_CM2
        return [(1.0 + per_cm * above_cm) / (1.0 + per_cm * depth)]

    known = solve_ivp(pace, (0.0, open_ml), [began_ml], rtol=1e-9, atol=1e-9).y[0][-1]
    assert rim(above_cm).sunk(began_ml, open_ml) == pytest.approx(known, abs=1e-5)


@given(st.floats(-30.0, 150.0), st.floats(0.0, 200.0), st.floats(0.0, 120.0))
def test_falling_in_two_steps_is_falling_in_one_and_can_be_taken_back(
    began_ml: float, first_ml: float, then_ml: float
) -> None:
    law = rim(1.0)
    there = law.sunk(began_ml, first_ml + then_ml)
    assert law.sunk(law.sunk(began_ml, first_ml), then_ml) == pytest.approx(there, abs=1e-6)
    assert law.before(there, first_ml + then_ml) == pytest.approx(began_ml, abs=1e-6)
