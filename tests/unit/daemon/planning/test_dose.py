"""Doses: what a recipe weighs, what it makes, and what is bought, against the handbook and its sources."""

from dataclasses import replace

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.planning.dose import (
    CystWish,
    DoseWish,
    brine_of,
    planned,
    salinity_of,
    salt_g_per_l_of,
    shopping,
)
from daemon.planning.tin_yield import any_tin, given_tin
from daemon.science.hydrometer import Scale, density_of
from daemon.science.valid_range import OutOfRange

CUPS = DoseWish(28, 200.0, any_tin(), salt_g_per_l=30.0, soda_g_per_l=0.5)
volumes = st.floats(1.0, 100_000.0)
recipes = st.floats(0.0, 120.0)
means = st.sampled_from(["in", "to"])


def test_28_cups_of_200_ml_at_30_g_a_litre_take_6_g_each_and_168_g_in_all() -> None:
    """The task's own figures."""
    dose = planned(CUPS)
    assert dose.brine.salt_g == 6.0
    assert dose.brine.salt_g * dose.wish.vessels == 168.0
    assert dose.brine.water_ml * dose.wish.vessels == 5600.0


def test_25_g_in_a_litre_and_to_a_litre_make_the_brines_of_the_handbook() -> None:
    """24.46 and 24.64 g/kg at 25 °C: handbook [C]."""
    assert salinity_of(25.0, "in", 25.0) == pytest.approx(24.46, abs=0.005)
    assert salinity_of(25.0, "to", 25.0) == pytest.approx(24.64, abs=0.005)


@given(st.integers(1, 500), volumes, recipes, means, st.floats(1.0, 50.0))
def test_salt_grows_with_vessels_and_with_volume_and_none_is_lost(
    vessels: int, volume_ml: float, salt: float, meant: str, times: float
) -> None:
    wish = replace(CUPS, vessels=vessels, volume_ml=volume_ml, salt_g_per_l=salt, salt_means=meant)
    one = brine_of(wish)
    more = brine_of(replace(wish, volume_ml=min(1e6, volume_ml * times)))
    assert more.salt_g * volume_ml == pytest.approx(one.salt_g * min(1e6, volume_ml * times))
    # By the brine's own mass and salinity the salt is still there: nothing but salt and water went in.
    mass_g = one.water_ml * 0.997047 + one.salt_g
    assert mass_g * one.salinity_g_per_kg / 1000.0 == pytest.approx(one.salt_g, rel=1e-6, abs=1e-9)


@given(st.floats(0.0, 100.0), means, st.floats(5.0, 35.0))
def test_a_recipe_in_or_to_a_litre_finds_its_way_back(salinity: float, meant: str, water_c: float) -> None:
    there = salt_g_per_l_of(salinity, meant, water_c)  # type: ignore[arg-type]  # one of the two
    assert salinity_of(there, meant, water_c) == pytest.approx(salinity, abs=1e-6)  # type: ignore[arg-type]


def test_a_litre_made_up_to_takes_less_water_than_a_litre_stirred_in() -> None:
    made_up = brine_of(replace(CUPS, salt_means="to"))
    assert made_up.water_ml < 200.0 == made_up.brine_ml
    assert brine_of(CUPS).water_ml == 200.0 < brine_of(CUPS).brine_ml


@pytest.mark.parametrize("against_c", [20.0, 25.0])
def test_what_the_card_says_the_hydrometer_reads_is_the_brine_s_density_over_water_s(
    against_c: float,
) -> None:
    """Water's density by TEOS-10 (gsw); the brine's by the fit to Rogers & Pitzer, 1014.70 at 25 g/kg [C]."""
    wish = replace(CUPS, salt_g_per_l=25.639, scale=Scale(calibrated_c=25.0, reference_c=against_c))
    brine = brine_of(wish)  # 25.0 g/kg
    assert brine.salinity_g_per_kg == pytest.approx(25.07, abs=0.02)
    expected = density_of(25.0, brine.salinity_g_per_kg) / gsw.rho_t_exact(0.0, against_c, 0.0)
    assert brine.reading == pytest.approx(expected, abs=1e-5)
    assert density_of(25.0, 25.0) == pytest.approx(1014.70, abs=0.05)


def test_colder_brine_reads_higher_by_its_own_density_and_the_smaller_glass() -> None:
    """R = ρ(S, T)·(1 + β(T − T_cal))/ρw(T_ref), β 25e-6 1/K [M]; water's density by TEOS-10 (gsw)."""
    brine = brine_of(replace(CUPS, salt_g_per_l=25.0, water_c=15.0))
    glass = 1.0 + 25e-6 * (15.0 - 25.0)
    expected = density_of(15.0, brine.salinity_g_per_kg) * glass / gsw.rho_t_exact(0.0, 25.0, 0.0)
    assert brine.reading == pytest.approx(expected, abs=1e-5)
    warm = brine_of(replace(CUPS, salt_g_per_l=25.0)).reading
    assert warm is not None
    assert brine.reading > warm + 0.001


def test_brine_beyond_what_is_known_of_hydrometers_has_no_reading() -> None:
    assert brine_of(replace(CUPS, salt_g_per_l=80.0)).reading is None


def test_soda_s_ph_is_that_of_phreeqc_within_what_is_stated() -> None:
    """25 g/L, 0.5 and 1 g/L of soda, long open to air of 420 ppm: 8.66 and 8.89 (PHREEQC [C])."""
    for soda, ph in ((0.5, 8.66), (1.0, 8.89)):
        aired = brine_of(replace(CUPS, salt_g_per_l=25.0, soda_g_per_l=soda)).ph_aired
        assert aired is not None
        assert aired.low <= ph <= aired.high


def test_without_soda_nothing_is_said_of_its_ph() -> None:
    assert brine_of(replace(CUPS, soda_g_per_l=0.0)).ph_mixed is None


@pytest.mark.parametrize(
    ("litres", "grams", "enough"),
    [(1.0, 5.0, True), (1.0, 5.01, False), (25.0, 50.0, True), (25.0, 51.0, False)],
)
def test_the_density_limit_is_that_of_fao_428(litres: float, grams: float, enough: bool) -> None:
    """Up to 5 g/L under 20 L, 2 g/L above [R]."""
    dose = planned(replace(CUPS, volume_ml=1000.0 * litres, cysts=CystWish("g", grams)))
    assert dose.cysts is not None
    assert dose.cysts.air_enough is enough


def test_a_pinch_too_many_is_noticed_by_the_large_pinch_not_the_middle_one() -> None:
    dose = planned(replace(CUPS, volume_ml=30.0, cysts=CystWish("pinches", 1.0)))
    assert dose.cysts is not None
    assert dose.cysts.g.p50 < dose.cysts.most_g < dose.cysts.g.p90
    assert not dose.cysts.air_enough


def test_what_is_bought_has_the_stated_spare_and_is_never_less_than_needed() -> None:
    buy = shopping([planned(CUPS)])
    assert (buy.salt_g, buy.water_ml, buy.soda_g) == (210.0, 7000.0, 3.5)
    assert buy.cysts_g == 2.3  # 28 times 0.04 g, twice


@given(st.integers(1, 200), st.floats(1.0, 5000.0), st.floats(0.1, 100.0))
def test_what_is_bought_is_at_most_a_tenth_over_need_and_spare(vessels: int, ml: float, salt: float) -> None:
    dose = planned(replace(CUPS, vessels=vessels, volume_ml=ml, salt_g_per_l=salt))
    needed = 1.25 * vessels * dose.brine.salt_g
    assert needed * (1.0 - 1e-9) <= shopping([dose]).salt_g <= 1.1 * needed + 1e-9


@pytest.mark.parametrize(
    "wrong",
    [
        {"vessels": 0},
        {"volume_ml": 0.0},
        {"volume_ml": float("nan")},
        {"salt_g_per_l": 121.0},
        {"soda_g_per_l": 5.1},
        {"water_c": 50.0},
        {"cysts": CystWish("animals", 0.0)},
        {"cysts": CystWish("g", float("inf"))},
    ],
)
def test_what_is_beyond_all_sense_is_refused_with_its_limits(wrong: dict[str, object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        planned(replace(CUPS, **wrong))  # type: ignore[arg-type]  # one field of each


def test_wanted_animals_and_their_cysts_find_their_way_back() -> None:
    for tin in (any_tin(), given_tin(0.0, 260_000.0, 0.8)):
        dose = planned(replace(CUPS, tin=tin, cysts=CystWish("animals", 200.0)))
        assert dose.cysts is not None
        assert dose.cysts.animals.p50 == pytest.approx(200.0, rel=0.02)
        assert dose.cysts.animals.p10 < 200.0 < dose.cysts.animals.p90
