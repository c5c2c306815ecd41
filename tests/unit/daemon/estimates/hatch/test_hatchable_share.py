"""How many will hatch at all: the law of fifteen lots in cells, and what age and other hatches make of it."""

import numpy as np
import pytest
from scipy import stats

from daemon.estimates.hatch.hatchable_share import (
    aged,
    estimate,
    normal,
    of_lot,
    of_next,
    share_prior,
    shares,
    three_points,
)
from daemon.science.hatch_needs import hatchable_share_quantile


# López-Torres & Lizárraga-Partida 2001 [R]: 15 commercial lots, median 79 %; their ends are those of a
# logit-normal law with an sd of 2.43, which `hatch_needs` has and this must share.
def test_the_prior_is_that_of_the_fifteen_lots_cell_by_cell() -> None:
    law = stats.norm(np.log(0.79 / 0.21), 2.43)
    edges = np.linspace(0.0, 1.0, 41)
    with np.errstate(divide="ignore"):
        logits = np.log(edges / (1.0 - edges))
    assert share_prior() == pytest.approx(np.diff(law.cdf(logits)))
    assert shares() == pytest.approx((edges[:-1] + edges[1:]) / 2)
    found = estimate(share_prior())
    for share, told in ((0.1, found.p10), (0.5, found.p50), (0.9, found.p90)):
        assert told == pytest.approx(hatchable_share_quantile(share), abs=0.0125), "to half a cell"


# [P]: every year takes a third of the way to "any share alike".
@pytest.mark.parametrize(("days", "left"), [(0.0, 1.0), (365.25, 2 / 3), (730.5, 4 / 9), (-50.0, 1.0)])
def test_every_year_takes_a_third_of_the_way_to_any_share_alike(days: float, left: float) -> None:
    fresh = np.array(share_prior())
    assert share_prior(days) == pytest.approx(left * fresh + (1 - left) / 40)
    assert sum(aged([2.0] * 40, days)) == pytest.approx(80.0)


# Two hatches of one lot: sd 0.35 of the logit. Carried from a lot of one share to its next hatch.
@pytest.mark.parametrize("cell", [12, 20, 30])
def test_the_next_hatch_of_a_lot_scatters_about_it_on_the_logit_scale(cell: int) -> None:
    lot = [float(place == cell) for place in range(40)]
    found = np.array(of_next(lot))
    logit = np.log(np.array(shares()) / (1 - np.array(shares())))
    mean = float(found @ logit)
    assert mean == pytest.approx(float(logit[cell]), abs=0.02)
    assert float(np.sqrt(found @ (logit - mean) ** 2)) == pytest.approx(0.35, abs=0.02)


def test_what_a_hatch_says_of_its_lot_is_the_likelihood_of_it() -> None:
    evidence = [float(place == 25) for place in range(40)]
    by_lot = of_lot(evidence)
    assert int(np.argmax(by_lot)) in (24, 25, 26)
    for cell in (15, 25, 33):
        assert by_lot[cell] == pytest.approx(of_next([float(c == cell) for c in range(40)])[25])
    assert of_lot([1.0] * 40) == pytest.approx([1.0] * 40)


def test_weights_have_the_sum_one_and_are_alike_where_nothing_is_left() -> None:
    assert normal([1.0, 3.0]) == (0.25, 0.75)
    assert normal([0.0] * 4) == (0.25,) * 4
    assert normal([float("nan"), 1.0]) == (0.5, 0.5)


def test_three_points_are_the_quantiles_with_swansons_weights() -> None:
    found = estimate(share_prior())
    assert three_points(share_prior()) == ((found.p10, 0.3), (found.p50, 0.4), (found.p90, 0.3))
