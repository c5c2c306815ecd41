"""The simulated bare probe: wet, then dry, then as warm as the air and the light make it."""

from itertools import pairwise

import psychrolib
import pytest

from daemon.play.world.air import saturated_pa, vapour_kg_per_m3
from daemon.play.world.cup import CupSurroundings
from daemon.play.world.probe_in_air import LIT_K_PER_W_M2, Fall, bare_c, draught_k, fall, wet_bulb_drop_k
from daemon.play.world.random_draws import RandomDraws

FELL = Fall(at=0, water_c=24.0, lag_min=2.0, wet_share=0.6, wet_min=8.0)


def air(air_c: float = 20.0, rh_pct: float = 45.0) -> CupSurroundings:
    vapour = vapour_kg_per_m3(rh_pct / 100 * saturated_pa(air_c), air_c)
    return CupSurroundings(air_c, vapour, 0.04, 0.0, 0.0)


def after(minutes: int, light_w_m2: float = 0.0, around: CupSurroundings | None = None) -> float:
    lately = [around or air()] * 20
    return bare_c(FELL, minutes * 60, lately, [light_w_m2] * 20)


@pytest.mark.parametrize(("air_c", "rh_pct"), [(20.0, 30.0), (21.0, 45.0), (25.0, 70.0)])
def test_a_wet_body_in_still_air_stands_somewhat_above_the_ventilated_wet_bulb(
    air_c: float, rh_pct: float
) -> None:
    # psychrolib (ASHRAE Handbook, Fundamentals): thermodynamic wet bulb [C]. A wick in still air reads
    # higher, by up to a quarter of the depression (larger psychrometer constant; common practice, no source).
    psychrolib.SetUnitSystem(psychrolib.SI)
    drop_k = air_c - psychrolib.GetTWetBulbFromRelHum(air_c, rh_pct / 100, 101325.0)
    assert 0.75 * drop_k < wet_bulb_drop_k(air(air_c, rh_pct)) < drop_k


def test_it_dips_below_the_air_comes_back_when_dry_and_stays() -> None:
    course = [after(minute) for minute in range(40)]
    assert course[0] == 24.0
    assert min(course) < 18.0
    assert 3 <= course.index(min(course)) <= 9
    assert course[-1] == pytest.approx(20.0, abs=0.05)


def test_a_lit_lamp_holds_it_some_kelvin_above_the_room() -> None:
    # By hand: 1.1 W on 38.5 cm² are 286 W/m²; 0.5·286/π/13 = 3.5 K.
    assert pytest.approx(3.5, abs=0.05) == LIT_K_PER_W_M2 * 1.1 / 38.5e-4
    assert after(40, 286.0) == pytest.approx(23.5, abs=0.1)


def test_falls_differ_and_are_the_same_again_for_the_same_seed() -> None:
    falls = [fall(0, 24.0, RandomDraws(seed, "probe")) for seed in range(30)]
    assert falls[3] == fall(0, 24.0, RandomDraws(3, "probe"))
    assert all(1.0 <= f.lag_min <= 3.0 for f in falls)
    assert max(f.wet_min for f in falls) > 1.5 * min(f.wet_min for f in falls)


def test_draughts_are_stronger_by_day_and_do_not_jump_from_minute_to_minute() -> None:
    day, night = (
        [draught_k(1, "p", minute * 60, by_day=by_day) for minute in range(300)] for by_day in (True, False)
    )
    assert max(map(abs, night)) < max(map(abs, day))
    steps = [abs(b - a) for a, b in pairwise(day)]
    assert sum(steps) / len(steps) < 0.15
