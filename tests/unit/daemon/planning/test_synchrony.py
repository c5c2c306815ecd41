"""The range of a hatch's synchrony, from what is kept of T10, T50 and T90, against that of the grid."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.estimates.hatch.grid import HatchGrid, nodes
from daemon.estimates.quantile import Estimate, of_points
from daemon.planning.hatched_by import doses_h, start_of
from daemon.planning.synchrony import synchrony_h
from daemon.science.hatching import dose_at_share
from daemon.science.strains import STRAINS, Strain

LOOKS = {"none": (), "one": ((18.0, 0.5),), "two": ((16.0, 0.3), (22.0, 0.8))}


def believed(strain: Strain, water_c: float, looks: tuple[tuple[float, float], ...]) -> list[Estimate]:
    """T10, T50, T90 and T90 − T10 of all ways that it may go, hours, after some shares were judged by eye."""
    grid = HatchGrid()
    for hours, seen in looks:
        doses = [(dose,) for dose in doses_h(hours, water_c)]
        grid = grid.see(doses, lambda share, seen=seen: exp(-0.5 * ((share - seen) / 0.12) ** 2) + 1e-3)
    rows, _ = grid.believed(start_of(strain))
    ways = [
        ([dose_at_share(share, *nodes()[node]) / pace for share in (0.1, 0.5, 0.9)], weight)
        for row, pace in zip(rows, doses_h(1.0, water_c), strict=True)
        for node, weight in enumerate(row)
        if weight > 1e-7
    ]
    times = [of_points((way[at], weight) for way, weight in ways) for at in range(3)]
    return [*times, of_points((way[2] - way[0], weight) for way, weight in ways)]


@pytest.mark.parametrize("looks", LOOKS)
@pytest.mark.parametrize("water_c", [20.0, 27.0])
@pytest.mark.parametrize("strain", STRAINS)
def test_its_range_is_about_that_of_all_ways(strain: str, water_c: float, looks: str) -> None:
    t10, t50, t90, truth = believed(STRAINS[strain], water_c, LOOKS[looks])
    found = synchrony_h(t10, t50, t90)
    assert found is not None
    assert found.p50 == pytest.approx(truth.p50, rel=0.16)
    assert 0.85 < found.p90 / truth.p90 < 1.2
    assert 0.55 < found.p10 / truth.p10 < 1.15


def test_ends_that_move_together_are_not_taken_apart() -> None:
    """All three unsure by as much and together: the difference is unsure by as much, and no more."""
    found = synchrony_h(*(Estimate(0.8 * hours, hours, 1.25 * hours) for hours in (16.0, 20.0, 25.0)))
    assert found is not None
    assert (found.p10, found.p50, found.p90) == pytest.approx((7.2, 9.0, 11.25))


hours = st.lists(st.floats(0.0, 400.0), min_size=9, max_size=9).map(sorted)


@given(hours)
def test_whatever_was_believed_it_is_in_order_or_not_known(told: list[float]) -> None:
    t10, t50, t90 = (Estimate(told[at], told[at + 3], told[at + 6]) for at in range(3))
    found = synchrony_h(t10, t50, t90)
    assert found is None or 0.0 < found.p10 <= found.p50 <= found.p90
