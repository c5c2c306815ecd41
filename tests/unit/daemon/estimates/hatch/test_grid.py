"""What was seen in one hatch, over the lot's speed and evenness and the law's slope: sums by numpy."""

from math import exp, log, sqrt

import numpy as np
import pytest

from daemon.estimates.hatch import hatchable_share
from daemon.estimates.hatch.grid import (
    NODES,
    PATH_WEIGHT,
    PATHS,
    HatchGrid,
    Start,
    densities_for,
    edges_for,
    lot_prior,
    nodes,
    scattered,
)
from daemon.science.hatching import hatched_share
from daemon.science.strains import GREAT_SALT_LAKE, UNKNOWN

T50, SYNCHRONY = (np.array(column) for column in zip(*nodes(), strict=True))
START = Start((lot_prior(UNKNOWN),) * 3, hatchable_share.share_prior())


def told(weights: np.ndarray, of: np.ndarray) -> tuple[float, float]:
    """Median-like mean and sd of a logarithm."""
    mean = float(np.average(np.log(of), weights=weights))
    return exp(mean), float(np.sqrt(np.average((np.log(of) - mean) ** 2, weights=weights)))


# science.md: T50 19 h ± 28 %, synchrony 0.36 ± 28 % (in logarithms); the lot itself without the 5 % by which
# two hatches of it differ. Cut at three sd of T50.
def test_a_lot_begins_lognormal_about_what_is_published() -> None:
    prior = np.array(lot_prior(UNKNOWN))
    assert prior.sum() == pytest.approx(1.0)
    assert told(prior, T50) == (
        pytest.approx(19.0, rel=1e-3),
        pytest.approx(sqrt(0.28**2 - 0.05**2), rel=0.03),
    )
    # One lot in ten hatches over a day; the even ones are 0.36 ± 28 %, cut at two sd below.
    assert 0.07 < prior[SYNCHRONY > 0.76].sum() < 0.13
    even = np.where(SYNCHRONY < 0.65, prior, 0.0)
    assert told(even, SYNCHRONY) == (pytest.approx(0.36, rel=0.04), pytest.approx(0.28, rel=0.06))
    assert SYNCHRONY.max() > 27.4 / 20.0, "the least even lot published hatches over 23.5 to 27.4 h"
    lake = np.array(lot_prior(GREAT_SALT_LAKE))
    assert told(lake, T50)[0] == pytest.approx(21.3, rel=0.01)


def test_a_hatch_scatters_about_its_lot_by_a_twentieth() -> None:
    prior = np.array(lot_prior(UNKNOWN))
    hatch = np.array(scattered(prior))
    assert hatch.sum() == pytest.approx(1.0, abs=1e-3)
    assert told(hatch, T50) == (pytest.approx(19.0, rel=1e-3), pytest.approx(0.28, rel=0.03))
    one = np.zeros(NODES)
    one[15 * 8 + 2] = 1.0
    spread = np.array(scattered(one))
    assert told(spread, T50) == (pytest.approx(19.0, rel=1e-3), pytest.approx(0.05, rel=0.05))
    assert told(spread, SYNCHRONY)[1] == pytest.approx(0.0, abs=1e-9)


def test_the_law_has_nine_paths_that_weigh_by_swansons_rule() -> None:
    assert len(PATHS) == len(PATH_WEIGHT) == 9
    weights = dict(zip(PATHS, PATH_WEIGHT, strict=True))
    assert weights[1.0, 0] == pytest.approx(0.16)
    assert weights[0.8, -1] == weights[1.2, 1] == pytest.approx(0.09)
    assert weights[0.8, 0] == weights[1.0, 1] == pytest.approx(0.12)
    assert sum(PATH_WEIGHT) == pytest.approx(1.0)


def test_each_node_lies_between_two_edges_about_its_dose_and_weighs_one() -> None:
    found, half = edges_for(0.3), exp(0.5 * 0.28 * 0.2)
    assert [dose for dose, *_ in found] == sorted(dose for dose, *_ in found)
    began = {above: dose for dose, _, above in found if above is not None}
    ended = {below: dose for dose, below, _ in found if below is not None}
    assert sorted(began) == sorted(ended) == list(range(NODES))
    for node in range(0, NODES, 7):
        assert hatched_share(began[node] * half, *nodes()[node]) == pytest.approx(0.3)
        assert hatched_share(ended[node] / half, *nodes()[node]) == pytest.approx(0.3)
        assert densities_for(0.3)[node] * (ended[node] - began[node]) == pytest.approx(1.0)


def fit(share: float) -> float:
    return 0.01 + exp(-0.5 * ((share - 0.5) / 0.1) ** 2)


def hatched(dose: float) -> np.ndarray:
    return np.array([hatched_share(dose, *node) for node in nodes()])


def test_looks_weigh_every_node_of_every_path_by_how_likely_they_were() -> None:
    doses = [(10.0 + path,) for path in range(9)]
    grid = HatchGrid().see(doses, fit).see([(19.0,)] * 9, fit)
    rows, shares = grid.believed(START)
    expected = np.array(
        [
            PATH_WEIGHT[path]
            * np.array(START.nodes[path // 3])
            * np.array([fit(s) for s in hatched(10.0 + path)])
            * np.array([fit(s) for s in hatched(19.0)])
            for path in range(9)
        ]
    )
    assert np.array(rows) == pytest.approx(expected / expected.sum(), abs=1e-12)
    assert shares == pytest.approx(hatchable_share.normal(START.shares))
    before, _ = HatchGrid().believed(START)
    assert np.array(before).sum(axis=1) == pytest.approx(PATH_WEIGHT)


# A count of so many of so many cysts speaks of the product of both shares.
def test_a_count_weighs_what_has_hatched_and_what_can_hatch_together() -> None:
    grid = HatchGrid().count([19.0] * 9, fit)
    rows, shares = grid.believed(START)
    steps = np.round(32 * hatched(19.0)) / 32
    joint = np.array(lot_prior(UNKNOWN))[:, None] * np.array(START.shares)[None, :]
    joint = joint * np.array([[fit(step * share) for share in hatchable_share.shares()] for step in steps])
    joint = joint / joint.sum()
    assert np.array(rows).sum(axis=0) == pytest.approx(joint.sum(axis=1), abs=1e-9)
    assert shares == pytest.approx(joint.sum(axis=0), abs=1e-9)


def test_two_counts_are_both_heard() -> None:
    one = HatchGrid().count([19.0] * 9, fit)
    two = one.count([30.0] * 9, fit)
    rows, _ = two.believed(START)
    first, second = (np.round(32 * hatched(dose)) / 32 for dose in (19.0, 30.0))
    joint = np.array(lot_prior(UNKNOWN))[:, None] * np.array(START.shares)[None, :]
    for steps in (first, second):
        joint = joint * np.array(
            [[fit(step * share) for share in hatchable_share.shares()] for step in steps]
        )
    assert np.array(rows).sum(axis=0) == pytest.approx((joint / joint.sum()).sum(axis=1), abs=1e-9)
    assert one.believed(START)[0] != rows


# What one hatch says is a likelihood: the prior has no part in it, the scatter within a lot has.
def test_a_hatch_tells_its_lot_what_was_seen_and_not_what_was_believed() -> None:
    grid = HatchGrid().see([(19.0,)] * 9, fit)
    said = grid.evidence(START)
    likely = np.array([fit(s) for s in hatched(19.0)])
    expected = np.array(scattered(likely))
    for slope, share in enumerate((0.3, 0.4, 0.3)):
        assert np.array(said.nodes[slope]) == pytest.approx(share / 0.4 * expected / expected.max(), abs=1e-9)
    assert said.shares == pytest.approx([said.shares[0]] * 40), "a look says nothing of how many can hatch"
    other = Start((lot_prior(GREAT_SALT_LAKE),) * 3, START.shares)
    assert np.array(grid.evidence(other).nodes[1]) == pytest.approx(np.array(said.nodes[1]))


def test_a_count_tells_the_lot_how_many_can_hatch() -> None:
    grid = HatchGrid().count([1000.0] * 9, lambda share: fit(share) - 0.01)
    said = np.array(grid.evidence(START).shares)
    assert abs(hatchable_share.shares()[int(np.argmax(said))] - 0.5) < 0.05
    assert log(said.max() / said[35]) > 3.0
