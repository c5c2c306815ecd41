"""A simulated vessel with a heater, and with air that bubbles through it."""

from dataclasses import replace

import psychrolib
import pytest

from daemon.play.world.air import bubbles_g_per_s, saturated_pa, vapour_kg_per_m3
from daemon.play.world.cup import Cup, CupPhysics, CupSurroundings
from daemon.play.world.random_draws import RandomDraws

ROOM_C, ROOM_RH = 20.0, 0.45
HEATED = CupPhysics(sides_w_per_k=0.3, glass_j_per_k=250, heater_w=50.0, heater_c=27.0, heater_band_k=0.5)


def around(room_c: float = ROOM_C) -> CupSurroundings:
    return CupSurroundings(room_c, vapour_kg_per_m3(ROOM_RH * saturated_pa(ROOM_C), ROOM_C), 0.04, 0.0, 0.0)


def cone(physics: CupPhysics) -> Cup:
    """A litre of brine, 95 cm² of water."""
    cup = Cup(physics, 95.0, 1080.0, 1000.0, RandomDraws(1, "cone"))
    cup.pour(1000.0, 25.0, 23.0)
    return cup


def lived(cup: Cup, hours: float, room_c: float = ROOM_C) -> list[float]:
    found = []
    for _ in range(round(hours * 60)):
        cup.step(60, around(room_c))
        found.append(cup.water_c)
    return found


def test_a_thermostat_holds_the_water_within_its_band_while_the_room_falls() -> None:
    cup = cone(HEATED)
    lived(cup, 2)
    for room_c in (20.0, 14.0):
        held = lived(cup, 8, room_c)
        assert 26.6 < min(held) < 26.9
        assert 27.1 < max(held) < 28.0  # 50 W warm a litre by 0.7 K in a minute


def test_a_heater_that_is_too_weak_does_not_reach_its_warmth() -> None:
    """Settles where what it gives goes away: below 27 °C, above the room."""
    water_c = lived(cone(replace(HEATED, heater_w=1.5)), 24)[-1]
    assert ROOM_C < water_c < 24.0


def test_a_heater_that_fails_lets_the_water_fall_to_the_rooms_warmth_and_below() -> None:
    cup = cone(HEATED)
    lived(cup, 2)
    cup.heater.works = False
    cooled = lived(cup, 24)
    assert cooled[60] < 26.0
    assert ROOM_C - 3.0 < cooled[-1] < ROOM_C, "evaporation cools it"
    cup.heater.works = True
    assert lived(cup, 2)[-1] > 26.5


def test_what_bubbles_carry_off_is_what_their_dry_air_takes_up() -> None:
    """Against psychrolib (ASHRAE): the humidity ratios of saturated air and of the room's, times dry air."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    room = psychrolib.GetHumRatioFromRelHum(ROOM_C, ROOM_RH, 101_325.0)
    leaving = psychrolib.GetHumRatioFromRelHum(27.0, 1.0, 101_325.0)
    dry_kg_per_m3 = 1.0 / psychrolib.GetMoistAirVolume(ROOM_C, room, 101_325.0)
    expected = 1.0 / 60_000 * dry_kg_per_m3 * (leaving - room) * 1000.0
    found = bubbles_g_per_s(1.0, 1.0, saturated_pa(27.0), ROOM_C, around().vapour)
    assert found == pytest.approx(expected, rel=0.01)


def test_bubbling_air_makes_the_level_fall_faster() -> None:
    """Saturated air holds 25.8 g/m³ at 27 °C and 17.3 at 20 °C (tables of vapour density, from memory)."""
    keys = {"air_l_per_min": 1.0, "air_saturates": 0.9}
    still, bubbled = cone(HEATED), cone(replace(HEATED, **keys))
    lived(still, 24)
    lived(bubbled, 24)
    expected_g = 1.44 * (0.9 * 25.8 - ROOM_RH * 17.3)
    assert bubbled.evaporated_g - still.evaporated_g == pytest.approx(expected_g, rel=0.1)


def test_damp_warm_air_in_cold_water_leaves_nothing_behind() -> None:
    assert bubbles_g_per_s(5.0, 1.0, saturated_pa(5.0), 25.0, 0.02) == 0.0
