"""What may be poured: over any history of deeds, no plain water that does harm; and what is due instead."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.quantile import Z90, Estimate
from daemon.estimates.vessel import VesselBelief
from daemon.estimates.water.pour import (
    BrinePour,
    Pour,
    bears_plain_ml,
    brine_g_per_l,
    refill,
    until,
    up_to_the_mark,
)
from daemon.station import Vessel
from daemon.vessel_state import Stage, VesselState
from tests.kit.station import tray

START, HOUR, DAY = 1_800_000_000, 3600, 86_400
CUP = tray(count=1, brim_ml=0.0)
VESSELS = (
    CUP,
    tray(),
    tray(count=1, kind="jar", mark_ml=1800.0, surface_cm2=95.0, low_ml=400.0, salinity_low_g_per_kg=20.0),
    tray(count=1, kind="cone", mark_ml=2000.0, surface_cm2=130.0, low_ml=300.0, brim_ml=0.0),
)
SET = Stage.SET


def state(stage: Stage = SET, drawn_ml: float = 0.0, recipe: float | None = None) -> VesselState:
    return VesselState(stage, watched=True, set_at=START, drawn_ml=drawn_ml, recipe_g_per_l=recipe)


def believed(loss_ml: float, salinity: float) -> Mapping[str, Estimate]:
    return {
        "loss_ml": Estimate(loss_ml, loss_ml, loss_ml),
        "salinity_g_per_kg": Estimate(0.0, salinity, 90.0),
    }


def played(
    vessel: Vessel, *deeds: tuple[int, str, float, dict[str, float | str]]
) -> tuple[VesselBelief, int]:
    """A batch set with 25 g/L, deeds so many hours apart, and the water read every hour."""
    belief, at = VesselBelief(vessel, HOUR), START
    belief.feed_deed(Deed(at, vessel.id, "set", 0.2, {"salt_g_per_l": 25.0, "volume_ml": vessel.mark_ml}))
    for hours, deed, amount, detail in deeds:
        for _ in range(hours):
            belief.feed_reading(at, "water_c", 25.0)
            at += HOUR
        belief.feed_deed(Deed(at, vessel.id, deed, amount, detail))
    return belief, at


def keeps_salt(vessel: Vessel, plain_ml: float, seen: Mapping[str, Estimate], stands: VesselState) -> None:
    """Salt that was drawn off is not made up with plain water; 25 g in a litre are 24.46 g/kg (handbook)."""
    if plain_ml == 0.0 or stands.drawn_ml == 0.0 or stands.recipe_g_per_l != 25.0:
        return
    if vessel.salinity_low_g_per_kg <= 24.46 <= vessel.salinity_high_g_per_kg:
        there_ml = vessel.mark_ml - seen["loss_ml"].p50
        assert seen["salinity_g_per_kg"].p50 * there_ml >= 0.849 * 24.46 * (there_ml + plain_ml)


LITTLE = st.floats(0.0, 0.3)
DEEDS = st.one_of(
    st.tuples(st.just("top-up"), st.floats(0.0, 1.0), st.just({})),
    st.tuples(st.just("top-up"), LITTLE, st.just({"to": "mark"})),
    st.tuples(st.just("top-up"), LITTLE, st.just({"above_ml": 15.0})),
    st.tuples(
        st.just("brine"), LITTLE, st.sampled_from([{}, {"salt_g_per_l": 0.0}, {"salt_g_per_l": 100.0}])
    ),
    st.tuples(st.sampled_from(["harvest", "remove"]), st.floats(0.0, 1.2), st.just({})),
    st.tuples(
        st.just("set"), st.just(0.0005), st.sampled_from([{}, {"salt_g_per_l": 3.0}, {"salt_g_per_l": 60.0}])
    ),
    st.tuples(st.just("end"), st.just(0.0), st.just({})),
    st.tuples(st.just("salinity"), st.floats(0.004, 0.2), st.just({"with": "refractometer"})),
)


def no_harm(vessel: Vessel, plain_ml: float, seen: Mapping[str, Estimate], drawn_ml: float) -> None:
    """What issue 12 asks of every pour, worked out here once more."""
    if plain_ml == 0.0:
        return
    loss, salt = seen["loss_ml"].p50, seen["salinity_g_per_kg"].p50
    assert loss >= 0.0
    assert plain_ml - loss <= vessel.brim_ml + 1e-6
    there_ml = vessel.mark_ml - loss
    assert salt * there_ml / (there_ml + plain_ml) >= vessel.salinity_low_g_per_kg
    assert drawn_ml < 0.5 * vessel.mark_ml


@given(st.sampled_from(VESSELS), st.lists(st.tuples(st.integers(0, 40), DEEDS), min_size=1, max_size=5))
@example(VESSELS[1], [(2, ("top-up", 0.1, {"above_ml": 15.0}))])
@example(VESSELS[0], [(5, ("harvest", 0.3, {}))])
@example(VESSELS[2], [(5, ("harvest", 0.3, {}))])
@example(VESSELS[3], [(1, ("set", 0.0005, {"salt_g_per_l": 60.0})), (9, ("harvest", 0.6, {}))])
@settings(max_examples=12, deadline=None)
def test_after_any_deeds_no_advised_pour_does_harm(
    vessel: Vessel, some: list[tuple[int, tuple[str, float, dict[str, float | str]]]]
) -> None:
    drawn_ml, done = 0.0, []
    for hours, (deed, share, detail) in some:
        amount = share * (1000.0 if deed == "salinity" else vessel.mark_ml)
        done.append((hours, deed, amount, detail))
        if deed in ("set", "end") or (deed == "top-up" and detail):
            drawn_ml = 0.0
        elif deed in ("harvest", "remove"):
            drawn_ml += amount
        elif deed in ("top-up", "brine"):
            drawn_ml = max(0.0, drawn_ml - amount)
    belief, at = played(vessel, *done)
    for moment in (at, at + 9 * HOUR):
        seen = belief.estimates(moment)
        stands = belief.course.state(vessel, seen, moment)
        now = up_to_the_mark(vessel, stands, seen)
        if belief.running is None:
            assert now == Pour()
            continue
        no_harm(vessel, now.plain_ml, seen, drawn_ml)
        keeps_salt(vessel, now.plain_ml, seen, stands)
        assert now.brine is None or (now.plain_ml == 0.0 and stands.rule.keeps_water)
        fill, brine, filled = until(vessel, stands, belief.water_outlook(moment), moment + 3 * DAY)
        no_harm(vessel, fill.add_ml, seen, drawn_ml)
        keeps_salt(vessel, fill.add_ml, seen, stands)
        assert brine is None or fill.add_ml == 0.0
        missed_ml = Z90 * filled.fill_error_ml
        assert fill.fails != "brim" or -seen["loss_ml"].p50 > missed_ml  # "take some out"


def test_water_that_evaporated_is_made_up_with_plain_water() -> None:
    assert up_to_the_mark(CUP, state(), believed(30.0, 28.0)) == Pour(plain_ml=30.0)


def test_above_the_mark_nothing_is_poured() -> None:
    assert up_to_the_mark(CUP, state(), believed(-109.0, 20.0)) == Pour()


# 220 mL with 12 g/kg and 30 mL of plain water: 10.6 g/kg, and 10 g/kg and a tenth are to be left.
@pytest.mark.parametrize(("salinity", "plain"), [(12.0, False), (12.6, True)])
def test_where_plain_water_would_make_it_too_fresh_brine_is_due(salinity: float, plain: bool) -> None:
    pour = up_to_the_mark(CUP, state(), believed(30.0, salinity))
    assert (pour.plain_ml > 0.0, pour.brine is None) == (plain, plain)
    if pour.brine is not None:
        assert pour.brine.ml == 30.0


# 100 mL of a cup's 250 were drawn off and 10 had evaporated: plain water would leave 140/250 of 25.4 g/kg.
def test_in_the_place_of_what_was_drawn_off_brine_is_due_as_it_was_set() -> None:
    drawn = state(Stage.BEING_HARVESTED, 100.0, recipe=25.0)
    assert up_to_the_mark(CUP, drawn, believed(110.0, 25.4)) == Pour(brine=BrinePour(110.0, 25.0))


def test_what_a_look_takes_out_is_made_up_with_plain_water() -> None:
    drawn = state(Stage.HATCHING, 5.0, recipe=25.0)
    assert up_to_the_mark(CUP, drawn, believed(20.0, 25.9)) == Pour(plain_ml=20.0)


@pytest.mark.parametrize(
    ("recipe", "strength"),
    # 27.5 g in a kilogram of brine are 28.3 g to 1000 g of water; the cup's limits are 10 and 45 g/kg.
    [(25.0, 25.0), (None, 28.0), (5.0, 28.0), (60.0, 28.0)],
)
def test_a_harvested_vessel_is_filled_as_it_was_set_or_to_the_middle_of_its_limits(
    recipe: float | None, strength: float
) -> None:
    drawn = state(Stage.HARVESTED, 180.0, recipe)
    assert refill(CUP, drawn, 190.0) == BrinePour(190.0, strength)


def test_where_the_salt_is_short_the_brine_is_of_the_middle_of_the_limits_or_stronger() -> None:
    assert brine_g_per_l(CUP, state(recipe=15.0), 30.0, 6.0) == 28.0
    assert brine_g_per_l(CUP, state(recipe=35.0), 30.0, 6.0) == 35.0
    strong = replace(CUP, salinity_low_g_per_kg=150.0, salinity_high_g_per_kg=200.0)
    assert brine_g_per_l(strong, state(), 30.0, 20.0) == 100.0


def test_a_vessel_without_a_least_salt_bears_any_plain_water_where_nothing_was_drawn() -> None:
    unlimited = replace(CUP, salinity_low_g_per_kg=0.0)
    assert bears_plain_ml(unlimited, state(), 30.0, 1.0) == float("inf")
    assert bears_plain_ml(unlimited, state(Stage.BEING_HARVESTED, 30.0, 25.0), 30.0, 25.0) < 45.0


def test_into_a_harvested_vessel_nothing_is_poured_until_somebody_says_how_it_goes_on() -> None:
    drawn = state(Stage.HARVESTED, 180.0)
    assert up_to_the_mark(CUP, drawn, believed(190.0, 29.0)) == Pour()
    again = refill(CUP, drawn, 190.0)
    assert again is not None
    assert again.ml == 190.0
    assert refill(CUP, state(), 190.0) is None


def test_without_a_batch_nothing_is_poured() -> None:
    assert up_to_the_mark(CUP, state(Stage.NOTHING_SET), {}) == Pour()
    assert up_to_the_mark(CUP, state(Stage.ENDED), believed(30.0, 28.0)) == Pour()


def test_before_an_absence_the_salt_bounds_the_fill_as_the_brim_does() -> None:
    roomy = replace(CUP, brim_ml=30.0, salinity_low_g_per_kg=21.0)
    belief, at = played(roomy, (30, "note", 0.0, {}))
    free, _, _ = until(
        replace(roomy, salinity_low_g_per_kg=5.0), state(), belief.water_outlook(at), at + 5 * DAY
    )
    bound, brine, filled = until(roomy, state(), belief.water_outlook(at), at + 5 * DAY)
    assert brine is None
    assert 0.0 < bound.above_mark_ml < free.above_mark_ml
    assert bound.fails == "low"
    assert filled.salinity().p50 == pytest.approx(1.1 * 21.0, rel=0.01)


def test_before_an_absence_brine_is_poured_to_the_mark_where_plain_water_would_make_it_too_fresh() -> None:
    salty = replace(CUP, salinity_low_g_per_kg=23.0, salinity_high_g_per_kg=45.0)
    belief, at = played(salty, (40, "note", 0.0, {}))
    water = belief.water_outlook(at)
    fill, brine, filled = until(salty, state(), water, at + 3 * DAY)
    assert (fill.add_ml, fill.above_mark_ml) == (0.0, pytest.approx(0.0, abs=0.1))
    assert brine is not None
    assert brine.ml == pytest.approx(water.loss_ml().p50)
    assert filled.salinity().p50 > 24.46  # what it was set with (handbook: 25 g in a litre)


def test_what_is_left_alone_is_not_known_better_for_it() -> None:
    belief, at = played(CUP, (4, "harvest", 150.0, {}))
    water = belief.water_outlook(at)
    _, _, filled = until(CUP, state(Stage.HARVESTED, 150.0), water, at + DAY)
    assert filled is water
