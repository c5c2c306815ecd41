"""Many nodes in few parts: what is kept of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.estimates.water.members import Member, pooled

NODES = st.builds(
    Member,
    weight=st.floats(0.01, 5.0),
    loss_ml=st.floats(-50.0, 200.0),
    variance=st.floats(0.0, 100.0),
    ahead_ml_per_day=st.floats(0.0, 500.0),
    lately_ml_per_day=st.floats(0.0, 500.0),
)


@given(st.lists(NODES, min_size=1, max_size=80))
def test_pooling_keeps_weight_level_spread_and_paces_in_at_most_48_parts(nodes: list[Member]) -> None:
    parts = pooled(nodes)
    assert 1 <= len(parts) <= 48

    def sums(some: tuple[Member, ...] | list[Member]) -> list[float]:
        return [
            sum(n.weight for n in some),
            sum(n.weight * n.loss_ml for n in some),
            sum(n.weight * (n.variance + n.loss_ml**2) for n in some),
            sum(n.weight * n.ahead_ml_per_day for n in some),
            sum(n.weight * n.lately_ml_per_day for n in some),
        ]

    assert sums(parts) == pytest.approx(sums(nodes), rel=1e-9, abs=1e-6)


def test_only_nodes_of_about_the_same_pace_are_joined() -> None:
    nodes = [Member(1.0, float(n), 1.0, 2.0 ** (n / 10), 1.0) for n in range(97)]
    parts = pooled(nodes)
    assert len(parts) == 48
    paces = np.log([part.ahead_ml_per_day for part in parts])
    assert np.all(np.diff(paces) > 0)
    assert max(part.weight for part in parts) <= 3.0


def test_nodes_of_one_pace_are_one() -> None:
    [part] = pooled([Member(1.0, 10.0, 4.0, 8.0, 5.0), Member(3.0, 20.0, 4.0, 8.0, 9.0)])
    assert part == Member(4.0, 17.5, 4.0 + (7.5**2 + 3 * 2.5**2) / 4, 8.0, 8.0)


def test_paces_of_next_to_nothing_are_told_apart_no_further() -> None:
    assert len(pooled([Member(1.0, 0.0, 1.0, 0.0, 0.0), Member(1.0, 0.0, 1.0, 1e-9, 0.0)])) == 1
