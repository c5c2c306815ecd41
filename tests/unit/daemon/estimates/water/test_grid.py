"""The grid of k and humidity: its prior, and what time and hands do to it, against closed forms."""

from dataclasses import replace
from math import exp, hypot, log, sqrt

import numpy as np
import pytest

from daemon.estimates.water.bubbling import bubbling_of
from daemon.estimates.water.grid import EvaporationGrid, scaled
from daemon.estimates.water.laws import COLUMNS, REFERENCE, VAPOUR_PA, VAPOURS
from daemon.estimates.water.rim_shelter import rim_of
from daemon.station import Vessel
from tests.kit.one_cup import CUP
from tests.kit.weekends import CONE_VESSEL as CONE


def spread(grid: EvaporationGrid) -> tuple[float, float]:
    """Mean and sd of ln k."""
    weights = np.array(grid.weight).reshape(-1, COLUMNS).sum(axis=1)
    ln_k = np.log(grid.k)
    mean = float(np.average(ln_k, weights=weights))
    return mean, float(np.sqrt(np.average((ln_k - mean) ** 2, weights=weights)))


def vapours(grid: EvaporationGrid) -> np.ndarray:
    return np.array(grid.weight).reshape(-1, VAPOURS).sum(axis=0)


# science.md: the median of k is 1.0 at the rim, 0.65 from 1 cm below it on, sd 0.46 in ln k under one law
# (0.5 with the laws' own, test_laws); a room of 1050 ± 300 Pa, from 300 to 1950 (a judgement, `evaporation`).
@pytest.mark.parametrize(("rim_cm", "median"), [(0.0, 1.0), (1.0, 0.65), (5.0, 0.65)])
def test_k_begins_lognormal_about_the_handbooks_median(rim_cm: float, median: float) -> None:
    grid = EvaporationGrid(replace(CUP, rim_above_water_cm=rim_cm))
    assert spread(grid) == pytest.approx((log(median), 0.458), abs=1e-3)
    believed = grid.k_believed()
    assert believed.p50 == pytest.approx(median, rel=0.01)
    assert believed.p90 / believed.p50 == pytest.approx(exp(1.2816 * 0.458), rel=0.02)
    assert grid.mean_k() == pytest.approx(median * exp(0.458**2 / 2), rel=0.01)


def test_a_room_begins_with_its_usual_vapour_and_the_reference_is_about_its_middle() -> None:
    weights = vapours(EvaporationGrid(CUP))
    assert sum(weights) == pytest.approx(1.0)
    mean = float(np.average(VAPOUR_PA, weights=weights))
    assert mean == pytest.approx(1050.0, abs=10.0)
    assert float(np.sqrt(np.average((np.array(VAPOUR_PA) - mean) ** 2, weights=weights))) == pytest.approx(
        300.0, abs=15.0
    )
    assert abs(VAPOUR_PA[REFERENCE % VAPOURS] - 1050.0) < 100.0


def test_hands_move_every_nodes_level_and_it_is_less_well_known() -> None:
    grid = EvaporationGrid(CUP)
    grid.stand_at(30.0, 3.0)
    grid.shift(10.0, 4.0)
    assert set(grid.offset_ml) == {40.0}
    assert set(grid.variance) == {25.0}
    grid.shift(1000.0, 0.0)
    assert grid.mean_ml() == pytest.approx(CUP.mark_ml)
    twin = grid.copy()
    twin.shift(-5.0, 0.0)
    assert grid.mean_ml() == pytest.approx(CUP.mark_ml)


# The rim's closed form (test_rim.py holds it to scipy's integration), node by node; a day's own
# wandering is a fifth of it, and the guess about the rim 60 % of its part.
def test_what_evaporates_lowers_each_node_by_its_own_k_and_widens_it() -> None:
    grid, rim = EvaporationGrid(CUP), rim_of(CUP)
    grid.stand_at(10.0, 2.0)
    ml = [1.0 + 0.2 * j for j in range(COLUMNS)]
    grid.evaporate(ml, [0.25] * COLUMNS)
    for node in (0, 200, len(grid.weight) - 1):
        k, open_ml = grid.k[node // COLUMNS], ml[node % COLUMNS]
        sunk = rim.sunk(10.0, k * open_ml)
        assert grid.offset_ml[node] == pytest.approx(sunk)
        began, ended = rim.slowness(10.0), rim.slowness(sunk)
        own = hypot(began * 2.0, k * sqrt(0.25 + (0.2 * open_ml) ** 2)) / ended
        by_rim = 0.5 * 0.6 * rim.per_ml * (sunk**2 - 10.0**2) / ended
        assert sqrt(grid.variance[node]) == pytest.approx(hypot(own, by_rim))


def test_no_more_than_all_evaporates_and_nothing_changes_nothing() -> None:
    grid = EvaporationGrid(CUP)
    grid.stand_at(240.0, 1.0)
    grid.evaporate([0.0] * COLUMNS, [9.0] * COLUMNS)
    assert set(grid.variance) == {1.0}
    grid.evaporate([500.0] * COLUMNS, [0.0] * COLUMNS)
    assert max(grid.offset_ml) == CUP.mark_ml


# By hand: a share goes one step of 0.12 either way so that the variance grows by 0.04² a day; a jump of sd
# 0.6 comes once in 60 days, and once in twenty handlings. Of a cone's loss only the surface's part does that.
@pytest.mark.parametrize("days", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("handled", [False, True])
@pytest.mark.parametrize("vessel", [CUP, CONE], ids=["cup", "cone"])
def test_k_drifts_by_the_root_of_time_and_jumps_now_and_then(
    days: float, handled: bool, vessel: Vessel
) -> None:
    grid, surface = EvaporationGrid(vessel), 1.0 - bubbling_of(vessel).share
    mean, sd = spread(grid)
    grid.drift(days, handled=handled)
    jumps = days / 60.0 + (0.05 if handled else 0.0)
    new = jumps * 0.45**2 + 0.04**2 * days
    expected = sqrt((1.0 - jumps) * sd**2 + surface**2 * new)
    assert spread(grid) == pytest.approx((mean, expected), abs=2e-4)
    assert sum(grid.weight) == pytest.approx(1.0)


# By hand: 300 Pa are 240 of the room and 180 of the weather. What was learned of both is the room's by
# 240²/300² = 0.64, which stays, and the weather's by 0.36, half of which is gone in three and a half days.
@pytest.mark.parametrize(("days", "kept"), [(1.0, 0.94), (3.5, 0.82), (7.0, 0.73)])
def test_a_room_that_was_learned_is_remembered_but_for_the_weathers_part(days: float, kept: float) -> None:
    grid = EvaporationGrid(CUP)
    prior = vapours(grid)
    grid.weight = scaled([w * (8.0 if node % VAPOURS == 5 else 1.0) for node, w in enumerate(grid.weight)])
    learned = vapours(grid)
    grid.drift(days, handled=False)
    left = float((vapours(grid)[5] - prior[5]) / (learned[5] - prior[5]))
    assert left == pytest.approx(exp(-0.07 * days), abs=0.01)
    assert left == pytest.approx(kept, abs=0.15)


def test_levels_are_mixed_where_weights_are_and_their_mean_is_kept() -> None:
    grid = EvaporationGrid(CUP)
    grid.evaporate([2.0] * COLUMNS, [0.1] * COLUMNS)
    before = grid.mean_ml()
    square = sum(w * (v + o * o) for w, o, v in zip(grid.weight, grid.offset_ml, grid.variance, strict=True))
    grid.drift(1.0, handled=False)
    after = sum(w * (v + o * o) for w, o, v in zip(grid.weight, grid.offset_ml, grid.variance, strict=True))
    assert grid.mean_ml() == pytest.approx(before, rel=1e-9)
    assert after == pytest.approx(square, rel=1e-9)


def test_a_filling_weighs_the_nodes_by_how_well_each_foretold_it() -> None:
    grid = EvaporationGrid(CUP)
    grid.stand_at(0.0, 1.0)
    for _ in range(2):
        grid.evaporate([12.0] * COLUMNS, [0.0] * COLUMNS)
    mean, _ = spread(grid)
    loss_at_one = min(
        zip(grid.k, grid.offset_ml[::COLUMNS], strict=True), key=lambda pair: abs(log(pair[0] / 1.0))
    )[1]
    grid.observe_level(loss_at_one, 0.0, 3.0, 1.5, 0.05)
    after, sd = spread(grid)
    assert abs(after) < abs(mean - 0.0)
    assert sd < 0.3
    assert abs(grid.mean_ml()) < 1.0


def test_an_observation_that_fits_nowhere_changes_nothing() -> None:
    grid = EvaporationGrid(CUP)
    before = list(grid.weight)
    grid.become([(0.0, 1.0, 1.0)] * len(grid.weight))
    assert list(grid.weight) == before
    assert set(grid.offset_ml) == {0.0}


# Two cups fill up by 10 mL a day at 25 °C; at 17 °C Shah's law would take 3.3 of it and Rohwer's 5.2. What is
# recorded at 17 °C says which law it is, without a word from k.
@pytest.mark.parametrize(("cold_ml", "pool"), [(3.3, True), (5.2, False)])
def test_fillings_in_warm_and_in_cold_water_tell_the_laws_apart(cold_ml: float, *, pool: bool) -> None:
    grid = EvaporationGrid(replace(CUP, rim_above_water_cm=30.0))
    grid.stand_at(0.0, 1.0)
    for warm_ml, shah, rohwer in ((30.0, 30.0, 30.0), (3 * cold_ml, 9.9, 15.6)) * 3:
        grid.evaporate([shah] * VAPOURS + [rohwer] * VAPOURS, [0.0] * COLUMNS)
        grid.observe_level(warm_ml * 0.65, 0.0, 1.0, 0.5, 0.05)
    by_law = np.array(grid.weight).reshape(-1, 2, VAPOURS).sum(axis=(0, 2))
    assert by_law[0 if pool else 1] > 0.8
