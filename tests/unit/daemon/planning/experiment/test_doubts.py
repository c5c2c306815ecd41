"""What speaks against a design, and what its cups could show at best."""

from math import factorial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.planning.experiment.design import ExperimentDesign
from daemon.planning.experiment.doubts import doubts, enough_cups, smallest_p


def design(
    levels: str = "10 g/L;25 g/L", cups: int = 4, cysts: int = 50, factor: str = "salt"
) -> ExperimentDesign:
    return ExperimentDesign("", factor, tuple(levels.split(";")), cups, cysts, "window", 1)


def kinds(of: ExperimentDesign) -> list[str]:
    return [doubt.kind for doubt in doubts(of)]


@pytest.mark.parametrize(
    ("of", "kind"),
    [
        (design(cups=1), "one-cup"),
        (design(cups=2), "few-cups"),
        (design("10 g/L;25 °C"), "two-things"),
        (design("light + salt;dark"), "two-things"),
        (design("light und Salz;dark"), "two-things"),
        (design("0 g/L;25 g/L"), "outside"),
        (design("25 g/L;120 g/L"), "outside"),
        (design("18 °C;25 °C", factor="warmth"), "places"),
        (design("cool;warm", factor="warmth"), "places"),
        (design("18 °C;26 °C", factor="water"), "places"),
        (design("0 g/L;2 g/L", factor="soda"), "outside"),
        (design("1 g/L;6 g/L", factor="cysts"), "outside"),
        (design(cysts=19), "few-cysts"),
        (design("ten;much"), "no-numbers"),
        (design("10 g/L;much"), "no-numbers"),
        (design("little;much", factor="soda"), "no-numbers"),
    ],
)
def test_each_doubt_has_its_cause(of: ExperimentDesign, kind: str) -> None:
    assert kinds(of) == [kind]


@pytest.mark.parametrize(
    "of",
    [
        design("5 g/L;35 g/L;90 g/L"),  # FAO 428: good at 5 to 35 g/kg, hardly any above 85 to 90
        design("0.5 g/L;1 g/L", factor="soda"),
        design("dark;light", factor="light"),
        design("1 spoon;2 spoon"),
        design("old;new", factor="tin"),
        design("sand;candle", factor="other words"),
        design("without cover;with cover", factor="cover"),
    ],
)
def test_what_is_sound_is_left_alone(of: ExperimentDesign) -> None:
    assert kinds(of) == []


@pytest.mark.parametrize("levels", ["14 °C;25 °C", "25 °C;34,5 °C", "15 °C;33 °C"])
def test_warmth_that_animals_do_not_live_through_is_named_beside_its_places(levels: str) -> None:
    fits = levels == "15 °C;33 °C"
    assert kinds(design(levels, factor="warmth")) == (["places"] if fits else ["places", "outside"])


def test_only_the_levels_that_are_outside_are_named() -> None:
    (doubt,) = doubts(design("0 g/L;25 g/L;120 g/L"))
    assert doubt.levels == ("0 g/L", "120 g/L")


@given(st.integers(2, 3), st.integers(2, 4))
def test_the_smallest_p_is_the_share_of_dealings_that_part_all_levels(levels: int, cups: int) -> None:
    # Ranks of each level side by side, the levels in any order: L!·(c!)^L of (L·c)! dealings.
    ways = factorial(levels) * factorial(cups) ** levels / factorial(levels * cups)
    named = ";".join(f"{n} g/L" for n in range(10, 10 + levels))
    assert smallest_p(design(named, cups)) == pytest.approx(ways)


@pytest.mark.parametrize(
    ("levels", "cups"),
    [("10;25", 4), ("10;25;40", 3), ("5;10;20;30", 3), ("5;10;20;30;40", 3), ("5;10;20;30;40;50", 3)],
)
def test_the_fewest_cups_that_could_show_a_difference(levels: str, cups: int) -> None:
    assert enough_cups(design(levels, cups=1)) == cups


def test_one_cup_a_level_has_no_p_at_all() -> None:
    assert smallest_p(design(cups=1)) is None
