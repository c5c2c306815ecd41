"""A cone's harvest before it is set: windows, yield and cold holding, against the handbook's figures."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.planning.cone import ConeHatch, ConeWish, planned_cone
from daemon.planning.hatched_by import start_of
from daemon.planning.tin_yield import any_tin, given_tin
from daemon.science.hatching import hours_to_instar_ii
from daemon.science.strains import (
    GREAT_SALT_LAKE,
    POZOS_COLORADOS,
    SAN_FRANCISCO_BAY,
    STRAINS,
    UNKNOWN,
    Strain,
)
from daemon.science.valid_range import OutOfRange

WISH = ConeWish(1500.0, 3.0, 27.0, UNKNOWN, any_tin())
strains = st.sampled_from(list(STRAINS.values()))


@cache
def hatch(water_c: float, strain: Strain = UNKNOWN, salt: float = 25.0) -> ConeHatch:
    return ConeHatch(water_c, salt, start_of(strain))


@given(st.floats(15.0, 33.0), strains, st.floats(5.0, 80.0))
def test_half_hatch_before_it_opens_and_it_closes_an_hour_later_at_least(
    water_c: float, strain: Strain, salt: float
) -> None:
    found = ConeHatch(water_c, salt, start_of(strain))
    for low, middle, high in zip(
        *(_three(one) for one in (found.half_h, found.opens_h, found.closes_h)), strict=True
    ):
        assert 0.0 < low < middle
        assert middle + 0.95 <= high
    assert 0.0 <= found.two_harvests_chance <= 1.0


def _three(found: object) -> tuple[float, float, float]:
    return found.p10, found.p50, found.p90  # type: ignore[attr-defined]  # an estimate


@given(st.floats(15.0, 27.0), st.floats(15.0, 27.0), strains)
def test_warmer_is_never_later_between_15_and_27_degrees(
    one_c: float, other_c: float, strain: Strain
) -> None:
    cold, warm = (ConeHatch(water_c, 25.0, start_of(strain)) for water_c in sorted((one_c, other_c)))
    for quantity in ("half_h", "opens_h", "closes_h"):
        for earlier, later in zip(
            _three(getattr(warm, quantity)), _three(getattr(cold, quantity)), strict=True
        ):
            assert earlier <= later * 1.002


@pytest.mark.parametrize("water_c", [14.9, 33.1, float("nan")])
def test_where_no_hatching_times_are_known_nothing_is_planned(water_c: float) -> None:
    with pytest.raises(OutOfRange, match="allowed is 15 to 33"):
        ConeHatch(water_c, 25.0, start_of(UNKNOWN))


def test_it_opens_when_an_acceptable_product_has_hatched() -> None:
    """25 °C, 33 g/L: first after 12–16 h, all within 8 h after it, so by 20–24 h: FAO 361 §4.2 [M]."""
    opens = hatch(25.0, UNKNOWN, 33.0).opens_h
    assert opens.p10 < 20.0 < 24.0 < opens.p90


@pytest.mark.parametrize(("strain", "longest_h"), [(SAN_FRANCISCO_BAY, 18.0), (GREAT_SALT_LAKE, 24.0)])
def test_the_longest_of_two_strains_at_28_degrees_lies_in_the_range_of_the_opening(
    strain: Strain, longest_h: float
) -> None:
    """Sorgeloos & Persoone 1975 [R, secondary]."""
    opens = hatch(28.0, strain).opens_h
    assert opens.p10 < longest_h < opens.p90


def test_a_strain_s_own_t90_lies_in_the_range_of_its_opening() -> None:
    """T90 15.67 h (Eslava-Eljaiek et al. 2011 [R]); the source's warmth, 25 to 28 °C, is not known."""
    for water_c in (25.0, 28.0):
        opens = hatch(water_c, POZOS_COLORADOS).opens_h
        assert opens.p10 < 15.67 < opens.p90


@pytest.mark.parametrize("water_c", [25.0, 26.5, 28.0])
def test_the_middle_animal_feeds_about_8_hours_after_it_hatched(water_c: float) -> None:
    """Instar I to II takes about 8 h at 25–28 °C [M]; lots that are spread close later, an hour after T90."""
    found = hatch(water_c)
    assert hours_to_instar_ii(water_c) == pytest.approx(8.0, abs=1.2)
    assert found.closes_h.p50 - found.half_h.p50 == pytest.approx(8.0, abs=1.5)


def test_two_harvests_are_for_lots_whose_first_feed_before_the_last_are_out() -> None:
    """Synchrony of even lots 5.7 to 8.8 h, of a diapausing lot 23.5 to 27.4 h (handbook [R])."""
    even = replace(UNKNOWN, uneven_share=0.0)
    spread = replace(UNKNOWN, synchrony_median=1.3, uneven_share=0.0)
    assert ConeHatch(27.0, 25.0, start_of(even)).two_harvests_chance < 0.4
    found = ConeHatch(27.0, 25.0, start_of(spread))
    assert found.two_harvests_chance > 0.9
    assert planned_cone(replace(WISH, strain=spread)).two_harvests
    assert found.first_of_two is not None
    first, out = found.first_of_two
    # About when half are out, and well before it opens.
    assert 0.35 < out.p50 < 0.75
    assert first.p50 < found.opens_h.p50 - 2.0


def test_the_chance_of_the_window_is_that_of_its_edges() -> None:
    found = hatch(27.0)
    assert found.chance_open(1.0) == 0.0
    assert found.chance_open(200.0) == 0.0
    assert found.chance_open(found.opens_h.p50) > 0.25
    assert found.chance_open(found.opens_h.p10) < 0.15


@given(st.floats(0.0, 300.0), st.floats(0.0, 300.0))
def test_ever_more_are_out(one_h: float, other_h: float) -> None:
    early, late = (hatch(25.0).out_after(hours) for hours in sorted((one_h, other_h)))
    assert 0.0 <= early.p10 <= early.p50 <= early.p90 <= 1.0
    assert early.p50 <= late.p50 + 1e-9


def test_the_yield_is_grams_times_cysts_a_gram_times_the_share() -> None:
    """3 g of a good product, 200,000 to 300,000 nauplii a gram (Treece 2000 [R]): 600,000 to 900,000."""
    plan = planned_cone(replace(WISH, tin=given_tin(0.0, None, 0.9)))
    assert 600_000 < plan.animals.p50 < 900_000
    assert plan.animals.p10 < plan.animals.p50 < plan.animals.p90


def test_cold_holding_takes_a_litre_for_8_million() -> None:
    """At most 8 million a litre, under 10 °C, up to 24 h: Ghent University course notes [R]."""
    plan = planned_cone(replace(WISH, cysts_g=30.0, volume_ml=15_000.0, tin=given_tin(0.0, 280_000.0, 0.95)))
    assert plan.hold_l.p50 == pytest.approx(plan.animals.p50 / 8e6)
    assert plan.hold_l.p50 == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(("litres", "most_g"), [(1.5, 7.5), (19.9, 99.5), (20.0, 40.0)])
def test_the_density_limit_is_that_of_fao_428(litres: float, most_g: float) -> None:
    """5 g/L under 20 L, 2 g/L above [R]."""
    plan = planned_cone(replace(WISH, volume_ml=1000.0 * litres, cysts_g=most_g))
    assert plan.air_enough
    assert not planned_cone(replace(plan.wish, cysts_g=1.01 * most_g)).air_enough
