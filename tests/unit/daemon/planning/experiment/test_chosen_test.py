"""The test is chosen by the design, never by the result; it rejects no more often than it says."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from daemon.planning.experiment.chosen_test import Test, chosen_for, judged
from daemon.planning.experiment.drawn_cups import drawn_cup
from daemon.science.replicate_cups import Cup
from tests.kit.counted_cups import CLASS


@pytest.mark.parametrize(
    ("cups", "single", "test"),
    [
        ([4], False, "none"),
        ([1, 1, 1], False, "none"),
        ([4, 4, 1], False, "none"),
        ([1, 1], True, "none"),
        ([8, 8], True, "Fisher exact"),
        ([3, 3, 3], True, "Kruskal-Wallis exact"),
        ([8, 8, 8], True, "Kruskal-Wallis by drawn dealings"),
        ([2, 2], False, "Kruskal-Wallis exact"),
        ([4, 4, 4], False, "Kruskal-Wallis exact"),
        ([9, 9, 4], False, "Kruskal-Wallis by drawn dealings"),
        ([5, 5], False, "quasi-binomial F"),
        ([7, 5, 6], False, "quasi-binomial F"),
    ],
)
def test_each_design_has_its_test(cups: list[int], single: bool, test: Test) -> None:
    assert chosen_for(cups, single_animals=single) == test


def test_cups_with_far_more_cysts_at_one_level_are_not_ranked() -> None:
    assert judged([[(5, 10)] * 3, [(50, 100)] * 3]).test == "quasi-binomial F"
    assert judged([[(25, 50)] * 3, [(50, 100)] * 3]).test == "Kruskal-Wallis exact"
    assert judged([[(5, 10)], [(50, 100)] * 3]).test == "none"


cup = st.integers(0, 50).map(lambda y: (y, 50))
levels_of_cups = st.lists(st.integers(1, 6), min_size=1, max_size=4).flatmap(
    lambda sizes: st.tuples(*(st.lists(cup, min_size=n, max_size=n) for n in sizes))
)


@pytest.mark.long
@given(levels_of_cups, st.randoms(use_true_random=False))
@settings(deadline=None)
def test_other_counts_of_the_same_design_get_the_same_test(
    levels: tuple[list[Cup], ...], chance: random.Random
) -> None:
    other = [[(chance.randint(0, 50), 50) for _ in cups] for cups in levels]
    one, two = judged(levels), judged(other)
    assert (one.test, one.smallest_p, one.degrees) == (two.test, two.smallest_p, two.degrees)
    assert (one.p is None) == (one.test == "none") == bool(one.why_none)


@given(levels_of_cups)
@settings(deadline=None)
def test_no_p_lies_below_the_smallest_these_cups_could_give(levels: tuple[list[Cup], ...]) -> None:
    found = judged(levels)
    if found.p is not None:
        assert found.smallest_p is not None
        assert found.smallest_p * (1 - 1e-9) <= found.p <= 1.0


# Hurlbert 1984: one cup a level is no replication, however far apart the levels lie.
@given(st.lists(st.lists(cup, min_size=1, max_size=5), min_size=1, max_size=4), cup)
@settings(deadline=None)
def test_one_cup_at_any_level_gives_no_p(levels: list[list[Cup]], lone: Cup) -> None:
    found = judged([*levels, [lone]])
    assert (found.test, found.p, found.smallest_p, found.why_none) == ("none", None, None, "one cup")


# scipy documentation of fisher_exact [R]: [[8, 2], [1, 5]] 0.034965.
def test_wells_of_one_animal_get_fishers_test() -> None:
    wells = [[(1, 1)] * 8 + [(0, 1)] * 2, [(1, 1)] + [(0, 1)] * 5]
    assert judged(wells).p == pytest.approx(0.034965, abs=5e-7)
    assert judged(wells).smallest_p == pytest.approx(stats.fisher_exact([[10, 0], [0, 6]])[1])


# Handbook [C]: 3 against 3 cups cannot go below p 0.10, 4 against 4 not below 0.029.
@pytest.mark.parametrize(("cups", "least"), [(2, 1 / 3), (3, 0.1), (4, 2 / 70)])
def test_few_cups_say_how_little_they_can_show(cups: int, least: float) -> None:
    found = judged([[(1, 50)] * cups, [(49, 50)] * cups])
    assert found.smallest_p == pytest.approx(least)


# scipy 1.17.1 [C], see the science's own test.
def test_the_class_of_three_levels_gets_the_exact_rank_test() -> None:
    found = judged(CLASS)
    assert found.test == "Kruskal-Wallis exact"
    assert found.statistic == pytest.approx(9.2692, abs=5e-5)
    assert found.p == pytest.approx(18 / 34_650)
    assert found.p_chi_squared == pytest.approx(0.00971, abs=5e-6)


def test_too_many_dealings_are_drawn_and_give_the_same_p_again() -> None:
    levels = [[(y + shift, 50) for y in (10, 14, 18, 22)] for shift in (0, 3, 6, 9, 12)]
    assert judged(levels).test == "Kruskal-Wallis by drawn dealings"
    assert judged(levels).p == judged(levels).p
    assert judged(levels).smallest_p == 1e-4


# 600 experiments a design in which no level mattered (cups beta-binomial, dispersion 1.9, seeded): at most
# about 5 in 100 may look as if one did; 0.9 % is one standard error. 2 and 3 cups against as many never can.
@pytest.mark.parametrize(
    ("levels", "cups"),
    [
        (2, 2),
        (2, 3),
        (2, 4),
        (3, 2),
        *(pytest.param(*case, marks=pytest.mark.long) for case in [(3, 4), (2, 5), (3, 6)]),
    ],
)
def test_where_no_level_matters_five_in_a_hundred_experiments_say_so(levels: int, cups: int) -> None:
    chance, experiments, rejected = random.Random(f"{levels}x{cups}"), 600, 0
    for _ in range(experiments):
        drawn = [[(drawn_cup(chance, 50, 0.7, 1.9), 50) for _ in range(cups)] for _ in range(levels)]
        p = judged(drawn).p
        rejected += p is not None and p <= 0.05
    print(f"{levels} levels of {cups}: {rejected / experiments:.3f} rejected")  # noqa: T201 - with -rP
    assert rejected / experiments <= 0.075
    assert rejected == 0 or (levels, cups) not in ((2, 2), (2, 3))


# The same where one level's cups hold ten times as many cysts, at a share of 0.95: ranks would reject 0.23.
@pytest.mark.parametrize(("cups", "held"), [(4, (10, 100)), (3, (15, 60, 100)), (4, (30, 60))])
def test_uneven_cups_look_different_no_more_often(cups: int, held: tuple[int, ...]) -> None:
    chance, experiments, rejected = random.Random(f"{held}"), 600, 0
    for _ in range(experiments):
        drawn = [[(drawn_cup(chance, of, 0.95, 1.9), of) for _ in range(cups)] for of in held]
        rejected += (judged(drawn).p or 1.0) <= 0.05
    print(f"{cups} cups of {held}: {rejected / experiments:.3f} rejected")  # noqa: T201 - with -rP
    assert rejected / experiments <= 0.075
