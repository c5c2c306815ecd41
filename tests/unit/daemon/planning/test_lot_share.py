"""What is expected of a tin's next hatch, by what was counted of it."""

from math import exp, log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import (
    CountedHatch,
    counted_shares,
    disagreeing,
    lot_share,
    of_test,
    share_count,
)
from daemon.planning.tin_test import TinTest
from daemon.planning.tin_trend import tin_trend
from daemon.science.hatch_needs import hatchable_share_quantile
from daemon.science.strains import UNKNOWN
from daemon.seconds import DAY_S

AT = 1_800_000_000
ALL_OUT = Estimate(1.0, 1.0, 1.0)


def hatch(hatched: float, of: float, days_ago: float = 0.0, out: Estimate = ALL_OUT) -> CountedHatch:
    return CountedHatch(round(AT - days_ago * DAY_S), (share_count(hatched, of, out),))


# 15 commercial lots: median 79 %, from 5 to 99.6 % (López-Torres & Lizárraga-Partida 2001 [R]).
def test_of_a_tin_of_which_nothing_was_counted_it_is_that_of_commercial_lots() -> None:
    share = lot_share([], AT)
    assert share.p50 == pytest.approx(0.79, abs=0.03)
    assert share.p10 == pytest.approx(hatchable_share_quantile(0.1), abs=0.06)
    assert share.p90 == pytest.approx(hatchable_share_quantile(0.9), abs=0.04)


def test_a_large_test_leaves_the_scatter_between_hatches_and_a_small_one_more() -> None:
    large, small = lot_share([hatch(300, 500)], AT), lot_share([hatch(6, 10)], AT)
    assert large.p50 == pytest.approx(0.60, abs=0.04)
    assert 0.1 < large.p90 - large.p10 < small.p90 - small.p10


def test_a_test_in_which_some_are_on_their_way_is_none_that_is_over() -> None:
    for hours in (None, 72.0):
        water_c = None if hours is None else 25.0
        over, under_way = (
            of_test(TinTest(50, 30, hours, water_c, umbrella), UNKNOWN, AT) for umbrella in (0, 6)
        )
        assert (over.counts[0].all_out, under_way.counts[0].all_out) == (True, False)


def test_several_hatches_say_more_than_one() -> None:
    one, four = lot_share([hatch(30, 50)], AT), lot_share([hatch(30, 50)] * 4, AT)
    assert four.p90 - four.p10 < one.p90 - one.p10


def test_of_a_tin_that_falls_off_the_newest_count_alone() -> None:
    falling = [hatch(hatched, 100, 20.0 * (5 - place)) for place, hatched in enumerate((90, 80, 65, 45, 25))]
    assert lot_share(falling, AT) == lot_share(falling[-2:], AT)
    assert lot_share(falling, AT).p90 < 0.55
    assert lot_share(falling[::-1], AT) == lot_share(falling, AT)


# Four dishes of one tin of which three disagree: the newest gave a quarter. With the usual scatter alone the
# answer was 79 % (48 to 92), and a fifth dish of 24 made 34 % of it.
UNEVEN = (96, 110, 60, 30, 24)


def test_results_that_disagree_widen_the_range_and_no_single_one_turns_it_over() -> None:
    four, five = (lot_share([hatch(hatched, 120) for hatched in UNEVEN[:count]], AT) for count in (4, 5))
    assert four.p10 < 0.25 < 0.8 < four.p90
    assert abs(five.p50 - four.p50) < 0.15
    alike = lot_share([hatch(74, 120)] * 4, AT)
    assert four.p90 - four.p10 > 2.0 * (alike.p90 - alike.p10)


def test_results_that_disagree_are_named_with_their_ends_and_those_that_agree_are_not() -> None:
    assert disagreeing([hatch(hatched, 120) for hatched in UNEVEN[:4]], AT) == (0.25, 110 / 120)
    for alike in ([], [hatch(30, 120)], [hatch(70, 120), hatch(84, 120), hatch(76, 120), hatch(65, 120)]):
        assert disagreeing(alike, AT) is None


def test_a_tin_that_falls_off_is_said_to_fall_and_not_to_disagree() -> None:
    falling = [hatch(hatched, 120, 10.0 * (5 - place)) for place, hatched in enumerate(UNEVEN)]
    trend = tin_trend(counted_shares(falling))
    assert trend is not None
    assert trend.falls
    assert disagreeing(falling, AT) is None
    share = lot_share(falling, AT)
    assert share.p10 < trend.last < share.p90


def test_of_steady_tins_hardly_any_is_ever_said_to_disagree_in_ten_looks() -> None:
    """With hatches and dishes that scatter as in the test of falling tins, drawn as no formula has it."""
    draws, said, tins = Random(20261130), 0, 100
    for _ in range(tins):
        logit = min(4.0, max(-1.5, log(0.79 / 0.21) + draws.gauss(0.0, 1.2)))
        hatches = []
        for days_ago in range(200, 0, -20):
            share = 1.0 / (1.0 + exp(-logit - draws.gauss(0.0, 0.35)))
            alike = 99 / 0.862 - 1.0
            share = draws.betavariate(max(1e-6, share * alike), max(1e-6, (1.0 - share) * alike))
            hatches.append(hatch(sum(draws.random() < share for _ in range(100)), 100, days_ago))
        said += any(disagreeing(hatches[:count], AT) is not None for count in range(2, 11))
    assert said / tins <= 0.03


def test_what_is_old_counts_less_and_an_old_tin_is_less_sure() -> None:
    fresh, old = lot_share([hatch(100, 200)], AT), lot_share([hatch(100, 200, 600)], AT)
    assert old.p90 - old.p10 > fresh.p90 - fresh.p10
    assert lot_share([], AT, 800.0).p10 < lot_share([], AT).p10


def test_an_early_test_counts_for_what_it_tells_and_no_more() -> None:
    early = lot_share([of_test(TinTest(50, 5, 24.0, 22.0), UNKNOWN, AT)], AT)
    late = lot_share([of_test(TinTest(50, 5, 72.0, 22.0), UNKNOWN, AT)], AT)
    assert early.p50 > 0.5
    assert late.p90 < 0.35
    without_hours = lot_share([of_test(TinTest(50, 5), UNKNOWN, AT)], AT)
    assert without_hours.p50 == pytest.approx(late.p50, abs=0.01)
    assert early.p90 > 0.9


def test_ranges_hold_the_next_hatch_four_times_in_five_in_a_world_of_other_scatter() -> None:
    """Tins as commercial ones, tested with 50; hatches of one tin and dishes scatter as beta-binomials do."""
    draws, held, tins = Random(20261130), 0, 600
    for _ in range(tins):
        tin = hatchable_share_quantile(draws.uniform(0.002, 0.998))
        logit = log(tin / (1.0 - tin))
        dish, following = (1.0 / (1.0 + exp(-logit - draws.gauss(0.0, 0.35))) for _ in range(2))
        alike = 49 / 0.862 - 1.0
        share = draws.betavariate(max(1e-3, dish * alike), max(1e-3, (1.0 - dish) * alike))
        found = lot_share([hatch(sum(draws.random() < share for _ in range(50)), 50)], AT)
        held += found.p10 <= following <= found.p90
    assert held / tins == pytest.approx(0.8, abs=0.05)


@settings(max_examples=50)
@given(
    st.lists(
        st.tuples(st.integers(1, 5000), st.floats(0, 1), st.floats(0, 2000), st.floats(0, 1)), max_size=15
    )
)
def test_any_hatches_have_three_quantiles_in_order(drawn: list[tuple[int, float, float, float]]) -> None:
    share = lot_share(
        [hatch(of * part, of, days, Estimate(out, out, out)) for of, part, days, out in drawn], AT
    )
    assert 0.0 <= share.p10 <= share.p50 <= share.p90 <= 1.0


@given(st.integers(2, 300), st.data())
def test_more_hatched_never_lowers_it(put: int, data: st.DataObject) -> None:
    few = data.draw(st.integers(0, put - 1))
    less, more = lot_share([hatch(few, put)], AT), lot_share([hatch(few + 1, put)], AT)
    assert less.p50 <= more.p50 + 0.01  # a count may be wrong altogether: that counts for most at the ends
