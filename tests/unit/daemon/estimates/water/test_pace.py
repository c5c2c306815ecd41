"""What an open vessel loses at k = 1 by the law, how far back a loss lies, at what pace it was learned."""

import pytest

from daemon.estimates.water.laws import COLUMNS, VAPOUR_PA, VAPOURS
from daemon.estimates.water.pace import LossPath, open_ml_per_h
from daemon.science.air import vapour_pressure_pa
from daemon.science.evaporation import loss_ml_per_h, shah_kg_per_m2_h

DAY = 86_400


def law(water_c: float, air_c: float, vapour_pa: float) -> float:
    return loss_ml_per_h(shah_kg_per_m2_h(water_c, air_c, vapour_pa, 0.98), 40.0, water_c)


def test_in_a_measured_room_every_vapour_node_has_its_laws_loss() -> None:
    found = open_ml_per_h(40.0, 0.98, 25.0, 20.0, 50.0)
    assert len(found) == COLUMNS
    assert found[:VAPOURS] == pytest.approx([law(25.0, 20.0, vapour_pressure_pa(20.0, 50.0))] * VAPOURS)
    assert len(set(found[VAPOURS:])) == 1


def test_without_a_humidity_each_node_has_its_own() -> None:
    found = open_ml_per_h(40.0, 0.98, 25.0, 20.0, None)
    shah, straight = found[:VAPOURS], found[VAPOURS:]
    assert shah == pytest.approx([law(25.0, 20.0, vapour_pa) for vapour_pa in VAPOUR_PA])
    for one in (shah, straight):
        assert one == sorted(one, reverse=True)
    assert (VAPOUR_PA[0], VAPOUR_PA[-1], len(VAPOUR_PA)) == (300.0, 1950.0, VAPOURS)


# Docs: "without a room probe the room is taken to be 1 K warmer than the water, but not above 22 °C".
@pytest.mark.parametrize(("water_c", "room_c"), [(18.0, 19.0), (21.0, 22.0), (27.0, 22.0)])
def test_a_room_that_is_not_measured_is_guessed_from_the_water(water_c: float, room_c: float) -> None:
    assert open_ml_per_h(40.0, 0.98, water_c, None, None) == open_ml_per_h(40.0, 0.98, water_c, room_c, None)
    told = open_ml_per_h(40.0, 0.98, water_c, None, 50.0)
    assert told == open_ml_per_h(40.0, 0.98, water_c, room_c, 50.0)


def test_what_no_law_is_known_for_counts_as_the_nearest_that_one_is() -> None:
    assert open_ml_per_h(40.0, 0.98, 61.0, 20.0, 50.0) == open_ml_per_h(40.0, 0.98, 60.0, 20.0, 50.0)
    assert open_ml_per_h(40.0, 0.98, -9.0, 20.0, 50.0) == open_ml_per_h(40.0, 0.98, -5.0, 20.0, 50.0)
    assert open_ml_per_h(40.0, 0.98, 20.0, 70.0, 5.0) == open_ml_per_h(40.0, 0.98, 20.0, 60.0, 5.0)
    assert open_ml_per_h(40.0, 0.98, 20.0, -30.0, 50.0) == open_ml_per_h(40.0, 0.98, 20.0, -20.0, 50.0)


def test_a_past_moment_is_told_in_days_of_the_pace_along_what_went() -> None:
    path = LossPath()
    path.restart(0)
    for hour, ml in enumerate((1.0, 3.0, 2.0), start=1):
        path.add(hour * 3600, ml)
    days = path.back(3 * 3600, 24.0)
    assert [days(t) * 24.0 for t in (0, 1800, 3600, 5400, 7200, 3 * 3600)] == pytest.approx(
        [6, 5.5, 5, 3.5, 2, 0]
    )
    assert path.back(3 * 3600, 0.0)(0) == 0.0


def test_a_path_is_kept_by_the_hour_and_begins_anew_where_water_was_moved() -> None:
    path = LossPath()
    path.add(900, 5.0)  # before anything was told
    path.restart(1000)
    for quarter in range(1, 9):
        path.add(1000 + 900 * quarter, 1.0)
    twin = path.copy()
    path.restart(1000 + 7200)
    assert path.back(1000 + 7200, 8.0)(1000 + 7200) == 0.0
    days = twin.back(1000 + 7200, 8.0)
    assert days(1000) == pytest.approx(1.0)
    assert days(1000 + 1800) == pytest.approx(0.75)
    twin.add(1000 + 7200 + 900, 2.0)
    assert twin.back(1000 + 8100, 8.0)(1000) == pytest.approx(10.0 / 8.0)
