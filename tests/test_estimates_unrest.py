"""Fixed paths that stand for chance: as spread out as a normal, and as hardly alike as they should be."""

from itertools import combinations
from statistics import NormalDist

import numpy as np
import pytest

from daemon.estimates.warmth.coming import FALL_ORDER, NOT_KNOWN, NOW_ORDER, PROBE_ORDER, RISE_ORDER, TO_COME
from daemon.estimates.warmth.unrest import HOURS_MOST, PATHS, by_hour, order


@pytest.mark.parametrize("number", [0, 1, 17, 401, 1000])
def test_an_order_is_the_middles_of_47_equal_shares_of_a_normal(number: int) -> None:
    middles = [NormalDist().inv_cdf((path + 0.5) / 47) for path in range(47)]
    assert sorted(order(number)) == pytest.approx(middles)


def test_the_orders_that_are_used_together_hardly_correlate() -> None:
    used = [NOT_KNOWN[0], NOT_KNOWN[0] + 1, TO_COME[0], TO_COME[0] + 1, RISE_ORDER, NOW_ORDER, FALL_ORDER]
    used.append(PROBE_ORDER)
    for a, b in combinations(used, 2):
        assert abs(np.corrcoef(order(a), order(b))[0, 1]) < 0.35, (a, b)
    many = [abs(np.corrcoef(order(n), order(n + 1))[0, 1]) for n in range(150)]
    assert float(np.mean(many)) < 0.2
    assert sum(value > 0.9 for value in many) <= 3


# By hand: `own` of the variance is a path's own for all hours, the rest fades with e-folding `fades_h`; so
# two hours apart by h correlate by own + (1 − own)·e^(−h/fades).
@pytest.mark.parametrize(("first", "own", "fades_h"), [NOT_KNOWN, TO_COME, (7, 0.0, 5.0)])
def test_the_paths_of_two_hours_are_as_alike_as_they_are_told_to_be(
    first: int, own: float, fades_h: float
) -> None:
    paths = np.array(by_hour(first, own, fades_h))
    assert paths.shape == (HOURS_MOST, PATHS) == (192, 47)
    assert float(np.mean(paths.var(axis=1))) == pytest.approx(1.0, abs=0.15)
    for apart in (1, 4, 12):
        alike = [np.corrcoef(paths[hour], paths[hour + apart])[0, 1] for hour in range(HOURS_MOST - apart)]
        assert float(np.mean(alike)) == pytest.approx(own + (1.0 - own) * np.exp(-apart / fades_h), abs=0.12)


def test_two_sets_of_different_orders_hardly_correlate() -> None:
    one, other = np.array(by_hour(*NOT_KNOWN)), np.array(by_hour(*TO_COME))
    alike = [np.corrcoef(one[hour], other[hour])[0, 1] for hour in range(HOURS_MOST)]
    assert abs(float(np.mean(alike))) < 0.3
