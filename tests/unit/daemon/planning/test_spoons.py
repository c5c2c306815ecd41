"""Salt by the spoon never claims to be surer than it is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.planning.spoons import GRAINS, MOST_SPOONS, SPOONS, best_spoonfuls, spoon_g, spoonfuls, spread

amounts = st.floats(0.01, 5000.0)


def test_a_heaping_tablespoon_of_table_salt_is_about_25_g() -> None:
    """Common practice [P]."""
    assert spoon_g("heaping-tablespoon", "fine") == pytest.approx(25.0)
    found = spoonfuls(25.0, "heaping-tablespoon", "fine")
    assert found is not None
    assert found.number == 1.0


def test_level_spoons_of_table_salt_hold_what_household_tables_say() -> None:
    """A teaspoon 6 g, a tablespoon 18 g (US Department of Agriculture, household measures [M])."""
    assert spoon_g("level-teaspoon", "fine") == pytest.approx(6.0)
    assert spoon_g("level-tablespoon", "fine") == pytest.approx(18.0)


def test_coarser_salt_takes_more_spoons_and_is_less_sure() -> None:
    for spoon in SPOONS:
        held = [spoon_g(spoon, grain) for grain in GRAINS]
        assert held == sorted(held, reverse=True)
        assert spread(spoon, "fine") <= spread(spoon, "coarse") <= spread(spoon, "flakes")


@given(amounts, st.sampled_from(SPOONS), st.sampled_from(GRAINS))
def test_spoons_hold_the_amount_and_are_counted_no_finer_than_they_are_sure(
    salt_g: float, spoon: str, grain: str
) -> None:
    found = spoonfuls(salt_g, spoon, grain)  # type: ignore[arg-type]  # one of them
    if found is None:
        return
    assert found.low_g < salt_g < found.high_g
    assert 0.0 < found.number <= MOST_SPOONS
    off = spread(spoon, grain)  # type: ignore[arg-type]  # as above
    assert (found.high_g - found.low_g) / (found.high_g + found.low_g) == pytest.approx(off)
    wanted = salt_g / spoon_g(spoon, grain)  # type: ignore[arg-type]
    step = next(step for step in (1.0, 0.5, 0.25) if found.number % step == 0.0)
    # A part of a spoon is told apart from the next one; of whole ones the nearest is named.
    assert step == 1.0 or step >= 0.5 * off * wanted * (1.0 - 1e-9)
    assert abs(found.number - wanted) <= 0.5 + 1e-9


@pytest.mark.parametrize(("salt_g", "grain", "number"), [(168.0, "coarse", 11.0), (150.0, "flakes", 18.0)])
def test_the_nearest_number_of_spoons_is_named(salt_g: float, grain: str, number: float) -> None:
    """15 g of coarse salt and 8.25 g of flakes in a level tablespoon, as above."""
    found = best_spoonfuls(salt_g, grain)  # type: ignore[arg-type]  # one of them
    assert found is not None
    assert (found.spoon, found.number) == ("level-tablespoon", number)


def test_an_amount_that_no_spoon_comes_near_has_none() -> None:
    assert best_spoonfuls(0.2, "fine") is None
    assert best_spoonfuls(5000.0, "flakes") is None


def test_the_surest_and_largest_spoon_that_fits_is_named() -> None:
    assert [best_spoonfuls(g, "fine").spoon for g in (168.0, 6.0)] == ["level-tablespoon", "level-teaspoon"]  # type: ignore[union-attr]  # both are found
