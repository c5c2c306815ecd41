"""Shares over cups: seeds on 21 plates, limiting cases, and coverage over simulated cups."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.science.confidence_intervals import clopper_pearson, wilson
from daemon.science.replicate_cups import deviance, dispersion, share_over_cups
from daemon.science.valid_range import OutOfRange
from tests.kit.counted_cups import PLATES

cups = st.lists(
    st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))), min_size=2, max_size=8
)


# Handbook [R for the results]: interaction model's deviance 33.278 on 17 degrees, dispersion 1.862; 3
# decimals.
def test_crowders_plates_are_overdispersed_as_published() -> None:
    found, degrees = deviance(list(PLATES.values()))
    assert found == pytest.approx(33.278, abs=0.0005)
    assert degrees == 17
    assert dispersion(list(PLATES.values())) == pytest.approx(1.862, abs=0.0005)


# The ratio estimator worked by hand for bean on O75: Σy 99, Σn 272, p 0.36397; residuals −4.195, 0.434,
# −6.482, 7.438, 2.805, squares 122.99; √(5/4·122.99)/272 = 0.04558.
def test_the_ratio_estimators_error_is_that_worked_by_hand() -> None:
    found = share_over_cups(PLATES["O75", "bean"])
    assert found.share == pytest.approx(99 / 272)
    assert found.standard_error == pytest.approx(0.04558, abs=2e-5)
    reach = 2.7764 * 0.04558 / (0.36397 * 0.63603)  # t of 4 degrees, 97.5 % [M]
    logit = math.log(0.36397 / 0.63603)
    ends = [1.0 / (1.0 + math.exp(-logit - sign * reach)) for sign in (-1.0, 1.0)]
    assert [found.low, found.high] == pytest.approx(ends, abs=2e-4)


def test_cups_that_differ_make_the_interval_wider_than_their_cysts_alone() -> None:
    for plates in PLATES.values():
        found = share_over_cups(plates)
        total = found.high - found.low
        exact = clopper_pearson(sum(y for y, _ in plates), sum(n for _, n in plates))
        assert total > exact[1] - exact[0]


# Equal cups: the estimator is the mean with scipy.stats.sem, and dispersion Pearson's X² (chi2_contingency)
# by df.
def test_equal_cups_give_the_mean_and_its_standard_error() -> None:
    counts = [30, 45, 38, 41]
    found = share_over_cups([(y, 60) for y in counts])
    assert found.share == pytest.approx(sum(counts) / 240)
    assert found.standard_error == pytest.approx(float(stats.sem([y / 60 for y in counts])))
    table = [counts, [60 - y for y in counts]]
    library = stats.chi2_contingency(table, correction=False)
    assert dispersion([[(y, 60) for y in counts]]) == pytest.approx(library.statistic / library.dof)
    likelihood = stats.chi2_contingency(table, correction=False, lambda_="log-likelihood")
    assert deviance([[(y, 60) for y in counts]])[0] == pytest.approx(likelihood.statistic)


def test_cups_alike_by_luck_are_not_taken_as_certain() -> None:
    found = share_over_cups([(30, 60), (30, 60), (30, 60)])
    assert found.standard_error == pytest.approx(math.sqrt(0.25 / 180))


@pytest.mark.parametrize("hatched", [0, 20])
def test_all_or_none_hatched_falls_back_on_the_exact_interval(hatched: int) -> None:
    found = share_over_cups([(hatched, 20), (hatched, 20)])
    assert (found.low, found.high) == clopper_pearson(2 * hatched, 40)


@given(cups)
def test_a_share_lies_in_its_interval_and_turned_round_mirrors(sample: list[tuple[int, int]]) -> None:
    found = share_over_cups(sample)
    assert 0.0 <= found.low <= found.share <= found.high <= 1.0
    back = share_over_cups([(n - y, n) for y, n in sample])
    assert (back.low, back.high) == pytest.approx((1.0 - found.high, 1.0 - found.low), abs=1e-9)
    assert dispersion([sample]) >= 0.0


# Simulated cups whose own shares differ (beta-binomial, share 0.6, between-cup sd 0.1): "95 %" must mean
# about that over 1000 trays of 5 cups (seeded; 0.7 % is one standard error), where Wilson's interval of the
# pooled cysts, blind to cups, covers far less.
def test_the_interval_covers_as_often_as_it_says_where_cups_differ() -> None:
    chance, trays = random.Random(7), 1000
    covered = pooled = 0
    for _ in range(trays):
        tray = []
        for _ in range(5):
            of, share = chance.randint(80, 120), chance.betavariate(13.8, 9.2)
            tray.append((sum(chance.random() < share for _ in range(of)), of))
        found = share_over_cups(tray)
        covered += found.low <= 0.6 <= found.high
        low, high = wilson(sum(y for y, _ in tray), sum(n for _, n in tray))
        pooled += low <= 0.6 <= high
    assert 0.93 <= covered / trays <= 0.97
    assert pooled / trays < 0.75


# Hurlbert 1984: one cup a treatment has no replication.
def test_one_cup_gives_no_interval() -> None:
    with pytest.raises(OutOfRange, match="cups is 1; allowed is 2"):
        share_over_cups([(30, 60)])
    with pytest.raises(OutOfRange, match="cups beyond one a treatment is 0"):
        dispersion([[(30, 60)], [(20, 60)]])


@pytest.mark.parametrize("sample", [[(61, 60), (1, 2)], [(0, 0), (1, 2)], [(-1, 60), (1, 2)]])
def test_a_cup_that_cannot_be_is_refused(sample: list[tuple[int, int]]) -> None:
    with pytest.raises(OutOfRange, match="in a cup"):
        share_over_cups(sample)


def test_cups_in_which_none_or_all_hatched_differ_by_nothing() -> None:
    assert dispersion([[(0, 9), (0, 12)]]) == dispersion([[(9, 9), (12, 12)]]) == 0.0
    assert deviance([[(0, 9), (0, 12)]]) == (0.0, 1)


def test_one_cup_a_treatment_tells_nothing_of_how_cups_differ() -> None:
    for measure in (dispersion, deviance):
        with pytest.raises(OutOfRange, match="cups beyond one a treatment"):
            measure([[(3, 9)], [(4, 9)]])
