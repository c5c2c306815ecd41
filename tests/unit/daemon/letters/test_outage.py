"""What a stretch without readings is said to have cost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.letters.outage import delay_h
from daemon.science.hatching import pace
from daemon.store.runs import Outage

NINE_HOURS = Outage(1_800_000_000, 1_800_000_000 + 9 * 3600, True)


def test_nine_hours_that_cooled_from_24_to_17_degrees_cost_some_hours_and_not_all_nine() -> None:
    cost = delay_h(NINE_HOURS, 24.0, 17.0)
    assert cost is not None
    # San Francisco Bay cysts take 25 h to the first nauplius at 20 °C and 17 h at 24 (handbook, a literature
    # compilation): a gap at about 20.5 °C that should have been at 24 loses somewhat less than a third.
    assert cost.p50 == pytest.approx(9 * (1 - 17 / 25), rel=0.25)
    assert 0.0 < cost.p10 < cost.p50 < cost.p90 < 9.0


def test_a_gap_in_which_nothing_cooled_most_likely_cost_nothing() -> None:
    cost = delay_h(NINE_HOURS, 24.0, 24.0)
    assert cost is not None
    assert cost.p50 == pytest.approx(0.0, abs=1e-9)


def test_a_hatch_that_stood_still_before_has_nothing_to_lose() -> None:
    assert delay_h(NINE_HOURS, 8.0, 8.0) is None


@given(st.floats(-5, 60), st.floats(-5, 60), st.integers(60, 30 * 86_400))
def test_the_cost_lies_between_nothing_and_the_whole_gap(before_c: float, after_c: float, gap_s: int) -> None:
    cost = delay_h(Outage(0, gap_s, True), before_c, after_c)
    assert (cost is None) == (pace(before_c) <= 0.0)
    if cost is not None:
        assert 0.0 <= cost.p10 <= cost.p50 <= cost.p90 <= gap_s / 3600 + 1e-9
