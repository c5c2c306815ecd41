"""Those who know best know the simulated world: their laws are its own, and what they learn is there."""

import numpy as np
import pytest

from tests.kit.ceilings import hatch
from tests.kit.ceilings.lived import lived_weekend
from tests.kit.ceilings.trained import failures_of
from tests.kit.ceilings.warmth import Learned
from tests.kit.ceilings.water import PARTICLES, WaterFilter
from tests.kit.other_physics import CONE, HOUR, MONDAY, Cone, Cup, Lot, Room, Size
from tests.kit.weekends import LEAVES, RETURNS, SIZE


@pytest.mark.parametrize("cone", [False, True])
def test_the_filters_law_is_the_worlds(*, cone: bool) -> None:
    lived = lived_weekend(3, 1, cone=cone, days=0)
    rates = WaterFilter(lived, knows_vapour=True)._rates
    room = Room(3)
    cup: Cup = Cone(3, room) if cone else Cup(3, Size(), room)
    for at in range(MONDAY + HOUR, MONDAY + 12 * HOUR, HOUR):
        room.live(at, HOUR)
    cup.loss_ml, cup.water_c = 30.0, 23.0
    own = {
        "ln_factor": cup._ln_factor,
        "buoyant": cup._buoyant,
        "rim_cm": cup._rim_cm,
        "still_cm": cup._still_cm,
    }
    own["draught_by_day"] = room.draught_km_per_h
    if isinstance(cup, Cone):
        own |= {"air_l_per_min": cup.air_l_per_min, "saturates": cup._saturates}
    for name, value in own.items():
        getattr(rates, name)[:] = value
    vapour, loss, salt = (np.full(PARTICLES, v) for v in (room.vapour_pa, cup.loss_ml, cup.salt_g))
    found = rates.ml_per_h(CONE if cone else SIZE, 23.0, room.air_c, vapour, True, loss, salt)
    assert found == pytest.approx(np.full(PARTICLES, cup.evaporation_ml_per_h()))


def test_the_filters_range_holds_the_loss_and_narrows_with_what_was_poured() -> None:
    """Twelve cups: the standard error of a share of 0.80 is 0.12."""
    wide, held = {0: [], 3: []}, []
    for seed in range(7000, 7012):
        for top_ups, found in wide.items():
            lived = lived_weekend(seed, top_ups, days=1)
            best = WaterFilter(lived, knows_vapour=True).best()[LEAVES]["weekend_loss_ml"]
            truth = lived.week.truth.loss_ml[lived.week.truth.place(RETURNS)]
            held.append(best.p10 <= truth <= best.p90)
            found.append(best.p90 - best.p10)
    assert 0.5 <= np.mean(held) < 1.0
    assert np.median(wide[3]) < 0.75 * np.median(wide[0])


@pytest.mark.parametrize("seed", range(4))
def test_the_lots_laws_are_the_worlds(seed: int) -> None:
    lot, lots = Lot(seed), hatch.Lots()
    lots._base_c[:], lots._q10[:], lots._best_c[:] = lot._base_c, lot._q10 or 0.0, lot._best_c
    lots._delay[:], lots._weibull[:], lots._shape[:] = lot._delay_per_g_per_kg, lot._weibull, lot._shape
    water, salt = np.array([10.0, 19.0, 25.0, 31.0, 34.0]), np.array([20.0, 24.5, 30.0, 40.0, 25.0])
    pace = np.diff(lots.doses(water, salt)[:, 0], prepend=0.0) / 0.5
    assert pace == pytest.approx([lot.pace(*pair) for pair in zip(water, salt, strict=True)])
    assert lots.share(np.full(hatch.LOTS, 1.2))[0] == pytest.approx(lot.share(1.2))
    assert lot.share(float(lots.dose_at(0.9)[0])) == pytest.approx(0.9)


def test_what_is_learned_has_the_quantiles_of_what_it_was_learned_from() -> None:
    """A normal about a line: its tenths lie 1.28 sd to either side."""
    rng = np.random.default_rng(1)
    x = rng.normal(size=(3000, 3))
    y = x[:, 0] + 0.7 * x[:, 1] + rng.normal(0.0, 0.5, 3000)
    [found] = Learned(x.tolist(), y.tolist()).says([[0.3, 1.0, -0.5]])
    assert (found.p10, found.p50, found.p90) == pytest.approx((0.36, 1.0, 1.64), abs=0.15)


@pytest.mark.long
def test_who_is_told_that_a_heating_failed_foretells_more_cold_than_who_knows_how_rare_it_is() -> None:
    seeds = range(8000, 8020)
    told, rare = (failures_of(seeds, often) for often in ("told that it failed", "as rare as they are"))
    colder = [rare[key].p50 - told[key].p50 for key in told]
    assert np.median(colder) > 0.3
