"""How many cups: cups drawn as they are said to be, borders that are the test's, answers that agree."""

import random
from dataclasses import replace

import pytest

from daemon.errors import InputError
from daemon.planning.experiment.chosen_test import judged
from daemon.planning.experiment.power import (
    ENOUGH,
    PlayedDesign,
    drawn,
    faults_of_design,
    found_share,
    power_of,
)
from daemon.science.significance import critical_h

CLASS = PlayedDesign(levels=3, cups=4, of=50, share=0.8, difference=0.2)


# Kruskal & Wallis 1952, exact tables at 5 % [M]: 5.692 for 4, 4, 4; 5.600 for 3, 3, 3. None for 3, 3.
@pytest.mark.parametrize(
    ("sizes", "border"), [([4, 4, 4], 5.692), ([3, 3, 3], 5.600), ([3, 3], float("inf"))]
)
def test_borders_of_the_rank_test_are_the_tabled_ones(sizes: list[int], border: float) -> None:
    assert critical_h(sizes, 0.05, 1) == pytest.approx(border, abs=5e-4)


def test_a_border_from_drawn_dealings_comes_near_the_chi_squared_one() -> None:
    assert critical_h([12, 12, 12], 0.05, 1) == pytest.approx(5.99, abs=0.25)  # chi-squared of 2 at 5 % [M]


# The border stands in for the exact p, which few ties change: both must find about as much.
@pytest.mark.parametrize(
    "design", [CLASS, replace(CLASS, levels=2), replace(CLASS, cups=5), replace(CLASS, cups=3)]
)
def test_the_power_is_the_share_of_experiments_that_the_test_itself_finds(design: PlayedDesign) -> None:
    chance, played = random.Random(9), 250
    found = sum((judged(drawn(design, chance)).p or 1.0) <= 0.05 for _ in range(played)) / played
    print(f"{found:.3f} by the test, {found_share(design):.3f} said")  # noqa: T201 - with -rP
    assert found_share(design) == pytest.approx(found, abs=0.1)


def test_more_cups_find_more_and_enough_are_enough() -> None:
    power = power_of(CLASS)
    assert power.enough_cups is not None
    assert found_share(replace(CLASS, cups=power.enough_cups)) >= ENOUGH
    assert found_share(replace(CLASS, cups=power.enough_cups - 1)) < ENOUGH
    assert power == power_of(CLASS)


def test_three_cups_against_three_find_nothing_and_a_whisper_of_a_difference_takes_too_many() -> None:
    assert found_share(replace(CLASS, levels=2, cups=3)) == 0.0
    assert power_of(replace(CLASS, difference=0.01)).enough_cups is None


def test_where_there_is_no_difference_few_experiments_find_one() -> None:
    for cups in (4, 6):
        assert found_share(replace(CLASS, cups=cups, difference=0.0)) <= 0.07


def test_wells_of_one_animal_are_judged_by_fishers_test() -> None:
    power = power_of(PlayedDesign(levels=2, cups=12, of=1, share=0.9, difference=0.7, dispersion=1.0))
    assert power.test == "Fisher exact"
    assert power.found > 0.7


ONE_CUP = "for of a single cup nobody knows whether it was the level or just that cup"


@pytest.mark.parametrize(
    ("wrong", "fault"),
    [
        ({"levels": 1}, ("levels", "found 1; allowed: 2 to 20")),
        ({"cups": 1}, ("cups", f"found 1; allowed: 2 to 40, {ONE_CUP}")),
        ({"of": 0}, ("of", "found 0; allowed: 1 to 1000")),
        ({"share": 1.2}, ("share", "found 1.2; allowed: 0 to 1")),
        ({"difference": 0.9}, ("difference", "found 0.9; allowed: up to the share, 0.8")),
        ({"dispersion": 0.5}, ("dispersion", "found 0.5; allowed: 1 to 10")),
        ({"of": 4, "dispersion": 3.0}, ("dispersion", "found 3; allowed: 1 to 2")),
        ({"share": float("nan")}, ("share", "found nan; allowed: 0 to 1")),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(wrong: dict[str, float], fault: tuple[str, str]) -> None:
    design = replace(CLASS, **wrong)  # type: ignore[arg-type]
    assert faults_of_design(design) == [fault]
    with pytest.raises(InputError, match=fault[0]):
        power_of(design)
