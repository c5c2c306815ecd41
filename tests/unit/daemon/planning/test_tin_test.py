"""The viability test of a tin: its interval, its verdict, and what hours and warmth do to both."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from daemon.errors import InputError
from daemon.planning.hatched_by import LONGEST_H, long_enough_h, out_by
from daemon.planning.tin_test import (
    COUNT_MORE,
    GO,
    MORE_TIME,
    REORDER,
    WILL_DO,
    TinTest,
    judged,
    times_that_tell,
)
from daemon.science.confidence_intervals import wilson
from daemon.science.strains import GREAT_SALT_LAKE, POZOS_COLORADOS, SINICA, STRAINS, UNKNOWN


# Van Stappen in Lavens & Sorgeloos 1996, FAO 361 ch. 4 [R, secondary]: of 100 full cysts, N/(N + U + E).
def test_the_hatching_percentage_is_of_full_cysts_as_the_trade_defines_it() -> None:
    found = judged(TinTest(110, 66, umbrella=4, full_left=30)).percentage
    assert found is not None
    assert (found.middle, found.low, found.high) == (0.66, *wilson(66, 100))
    assert judged(TinTest(110, 66, umbrella=4)).percentage is None
    assert judged(TinTest(10, 0, umbrella=0, full_left=0)).percentage is None


@pytest.mark.parametrize(
    ("hatched", "umbrella", "verdict"),
    [
        (20, 0, COUNT_MORE),  # 28 to 54 %
        (20, 3, MORE_TIME),
        (15, 0, REORDER),  # 19 to 44 %
        (15, 8, MORE_TIME),  # with them 33 to 60 %
        (5, 10, REORDER),  # even with all of them 19 to 44 %
        (38, 5, GO),
    ],
)
def test_those_in_the_umbrella_stage_are_on_their_way(hatched: int, umbrella: int, verdict: str) -> None:
    assert judged(TinTest(50, hatched, umbrella=umbrella)).verdict == verdict
    assert judged(TinTest(50, hatched, 72.0, 25.0, umbrella)).verdict == verdict


@given(st.integers(1, 300), st.data())
def test_a_look_at_stages_never_says_worse_and_never_go(put: int, data: st.DataObject) -> None:
    hatched = data.draw(st.integers(0, put))
    umbrella = data.draw(st.integers(0, put - hatched))
    full_left = data.draw(st.integers(0, put - hatched - umbrella))
    bare, found = (
        judged(TinTest(put, hatched)),
        judged(TinTest(put, hatched, None, None, umbrella, full_left)),
    )
    assert found.verdict in (bare.verdict, MORE_TIME)
    assert (found.share, found.low, found.high) == (bare.share, bare.low, bare.high)
    assert found.percentage is None or found.percentage.middle >= found.share


@pytest.mark.parametrize(
    ("umbrella", "full_left", "line"),
    [
        (31, None, "--umbrella: found 31; allowed: 0 to 30 cysts"),
        (-1, None, "--umbrella: found -1; allowed: 0 to 30 cysts"),
        (10, 21, "--full-left: found 21; allowed: 0 to 20 cysts"),
    ],
)
def test_more_than_were_put_in_are_refused(umbrella: int, full_left: int | None, line: str) -> None:
    with pytest.raises(InputError) as refused:
        judged(TinTest(50, 20, None, None, umbrella, full_left))
    assert refused.value.faults == (line,)


RANK = (REORDER, COUNT_MORE, GO)
WARMTH = st.floats(4.0, 33.0)
HOURS = st.floats(0.1, LONGEST_H)


@st.composite
def counts(draw: st.DrawFn, most: int = 600) -> tuple[int, int]:
    put = draw(st.integers(1, most))
    return put, draw(st.integers(0, put))


# Newcombe 1998, table I, method 3 [M]: four decimals.
@pytest.mark.parametrize(("put", "hatched", "low", "high"), [(263, 81, 0.2553, 0.3662), (20, 0, 0.0, 0.1611)])
def test_the_interval_is_wilsons(put: int, hatched: int, low: float, high: float) -> None:
    found = judged(TinTest(put, hatched))
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


# scipy.stats.binomtest().proportion_ci(method="wilson"): the same definition.
@given(counts())
def test_share_and_interval_agree_with_scipy_and_hold_each_other(sample: tuple[int, int]) -> None:
    put, hatched = sample
    found, library = judged(TinTest(put, hatched)), stats.binomtest(hatched, put)
    interval = library.proportion_ci(method="wilson")
    assert found.share == library.statistic
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), abs=1e-9)
    assert 0.0 <= found.low <= found.share <= found.high <= 1.0


@pytest.mark.parametrize(
    ("put", "hatched", "verdict"),
    [
        (50, 38, GO),  # 63 to 86 %
        (50, 20, COUNT_MORE),  # 28 to 54 %
        (50, 30, COUNT_MORE),  # 46 to 72 %
        (50, 5, REORDER),
        (50, 0, REORDER),
        (5, 4, COUNT_MORE),  # four of five are too few to say
        (3, 0, COUNT_MORE),  # up to 56 %
        (4, 0, REORDER),  # up to 49 %
        (1, 1, COUNT_MORE),
    ],
)
def test_the_verdict_goes_by_the_interval_and_not_by_its_middle(put: int, hatched: int, verdict: str) -> None:
    assert judged(TinTest(put, hatched)).verdict == verdict


@given(counts())
def test_more_hatched_never_makes_it_worse(sample: tuple[int, int]) -> None:
    put, hatched = sample
    here, more = judged(TinTest(put, hatched)), judged(TinTest(put, min(put, hatched + 1)))
    assert RANK.index(here.verdict) <= RANK.index(more.verdict)


@given(counts())
def test_more_put_in_for_as_many_hatched_never_makes_it_better(sample: tuple[int, int]) -> None:
    put, hatched = sample
    here, more = judged(TinTest(put, hatched)), judged(TinTest(put + 1, hatched))
    assert RANK.index(more.verdict) <= RANK.index(here.verdict)


@given(counts(), st.integers(2, 6))
def test_what_a_small_count_tells_a_larger_one_of_the_same_share_tells_too(
    sample: tuple[int, int], times: int
) -> None:
    here = judged(TinTest(*sample)).verdict
    assert here == COUNT_MORE or judged(TinTest(sample[0] * times, sample[1] * times)).verdict == here


@given(counts())
def test_as_many_more_as_it_asks_for_tell_and_a_tenth_fewer_do_not(sample: tuple[int, int]) -> None:
    found = judged(TinTest(*sample))
    if found.count_more is None:
        assert found.verdict == COUNT_MORE
        return
    if found.verdict != COUNT_MORE:
        assert found.count_more == 0
        return
    low, high = _wilson(found.share, sample[0] + found.count_more)
    assert low >= WILL_DO - 1e-9 or high <= WILL_DO + 1e-9
    low, high = _wilson(found.share, sample[0] + int(0.9 * found.count_more) - 1)
    assert low < WILL_DO < high


def _wilson(share: float, of: int) -> tuple[float, float]:
    """By its formula, of a share that need not come from whole animals (Newcombe 1998)."""
    z = float(stats.norm.ppf(0.975))
    middle, weight = share + z * z / (2 * of), 1 + z * z / of
    reach = z * (share * (1 - share) / of + z * z / (4 * of * of)) ** 0.5
    return (middle - reach) / weight, (middle + reach) / weight


def test_twenty_of_fifty_after_twenty_hours_at_20_c_need_more_time() -> None:
    early = judged(TinTest(50, 20, 20.0, 20.0))
    assert early.verdict == MORE_TIME
    assert early.waiting is not None
    assert not early.waiting.long_enough
    assert early.waiting.in_the_end.p10 > early.share
    assert judged(TinTest(50, 20, 72.0, 20.0)).verdict == judged(TinTest(50, 20)).verdict == COUNT_MORE


def test_what_hatched_is_hatched_so_enough_is_enough_at_any_hour() -> None:
    found = judged(TinTest(50, 40, 24.0, 20.0))
    assert found.waiting is not None
    assert (found.verdict, found.waiting.long_enough) == (GO, False)


def test_none_after_a_night_is_no_verdict_and_none_after_two_days_at_25_c_is_one() -> None:
    assert judged(TinTest(50, 0, 15.0, 25.0)).verdict == MORE_TIME
    assert judged(TinTest(50, 0, 48.0, 25.0)).verdict == REORDER


def test_a_tin_can_be_given_up_before_all_is_out_where_the_late_ones_cannot_help() -> None:
    found = judged(TinTest(200, 10, 33.0, 25.0))
    assert found.waiting is not None
    assert (found.verdict, found.waiting.long_enough) == (REORDER, False)


@given(counts(200), WARMTH, HOURS, HOURS, st.sampled_from(sorted(STRAINS)))
def test_more_hours_never_turn_a_verdict_back_into_more_time(
    sample: tuple[int, int], water_c: float, one: float, other: float, strain: str
) -> None:
    sooner, later = (
        judged(TinTest(*sample, hours, water_c), STRAINS[strain]) for hours in sorted((one, other))
    )
    assert later.verdict == sooner.verdict or sooner.verdict == MORE_TIME
    assert sooner.verdict != GO or later.verdict == GO


@pytest.mark.parametrize(
    ("hours", "water_c", "doubted"),
    [(30.0, 12.0, True), (8.0, 25.0, True), (30.0, 24.0, False), (60.0, 25.0, False), (None, None, False)],
)
def test_more_than_can_have_hatched_by_then_is_doubted(
    hours: float | None, water_c: float | None, doubted: bool
) -> None:
    assert judged(TinTest(120, 30, hours, water_c)).doubted == doubted
    assert not judged(TinTest(120, 0, hours, water_c)).doubted


@given(counts(200), WARMTH, HOURS)
def test_what_is_still_to_come_only_adds(sample: tuple[int, int], water_c: float, hours: float) -> None:
    found = judged(TinTest(*sample, hours, water_c))
    assert found.waiting is not None
    out, end = found.waiting.out, found.waiting.in_the_end
    assert 0.0 <= out.p10 <= out.p50 <= out.p90 <= 1.0
    assert 0.0 <= end.p10 <= end.p50 <= end.p90 <= 1.0
    assert end.p10 >= found.share


def test_a_test_that_was_long_enough_says_the_same_with_its_hours_and_without() -> None:
    found = judged(TinTest(400, 300, 72.0, 25.0))
    assert found.waiting is not None
    assert found.waiting.in_the_end.p50 == pytest.approx(0.75, abs=0.02)


# Trade laboratories count the hatching percentage after 24 and 48 h at 25 to 28 °C [M]: ours tell in between.
@pytest.mark.parametrize("water_c", [25.0, 28.0])
def test_the_hours_that_tell_lie_between_the_trades_two_counts(water_c: float) -> None:
    hours = long_enough_h(water_c, UNKNOWN)
    assert hours is not None
    assert 24.0 < hours < 48.0


# The handbook's rows: T80 38 h at 20 °C and 25 h at 24 °C (a literature compilation [R, secondary]); longest
# 24 h at about 28 °C (Great Salt Lake, Sorgeloos & Persoone 1975 [R, secondary]). A usual tin is far by then.
@pytest.mark.parametrize(
    ("hours", "water_c", "at_least"), [(38.0, 20.0, 0.8), (25.0, 24.0, 0.8), (24.0, 28.0, 0.9)]
)
def test_a_usual_tin_is_as_far_as_the_published_ones(hours: float, water_c: float, at_least: float) -> None:
    out = out_by(hours, water_c, GREAT_SALT_LAKE if water_c == 28.0 else UNKNOWN)
    assert out.p50 >= at_least
    assert out.p10 < out.p90


# Pozos Colorados (Eslava-Eljaiek et al. 2011 [R]): T90 15.67 h, at a warmth that what we hold does not name.
def test_a_quick_strain_is_judged_sooner() -> None:
    assert long_enough_h(25.0, POZOS_COLORADOS) < long_enough_h(25.0, UNKNOWN)  # type: ignore[operator]
    assert out_by(15.67, 28.0, POZOS_COLORADOS).p90 > 0.9


def test_a_warmer_dish_tells_sooner_up_to_28_c_and_a_cold_one_not_at_all() -> None:
    times = times_that_tell()
    assert sorted(times.values(), reverse=True) == list(times.values())
    assert long_enough_h(12.0, UNKNOWN) is None
    cold = judged(TinTest(50, 2, 300.0, 12.0))
    assert cold.waiting is not None
    assert (cold.verdict, cold.waiting.enough_h) == (MORE_TIME, None)


@given(WARMTH, st.sampled_from(sorted(STRAINS)))
def test_hours_that_tell_are_those_after_which_nine_tins_in_ten_are_nearly_out(
    water_c: float, strain: str
) -> None:
    hours = long_enough_h(water_c, STRAINS[strain])
    if hours is not None:
        assert out_by(hours, water_c, STRAINS[strain]).p10 == pytest.approx(0.9, abs=0.03)


def test_cysts_for_a_cup_come_from_the_interval() -> None:
    found, (low, high) = judged(TinTest(50, 38)), wilson(38, 50)
    assert found.cysts_a_cup == (-(-20 // high), 27, -(-20 // low))
    assert judged(TinTest(50, 0)).cysts_a_cup is None


@pytest.mark.parametrize(
    ("test", "lines"),
    [
        (TinTest(0, 0), ["--put: found 0; allowed: 1 to 10000 cysts"]),
        (TinTest(10_001, 0), ["--put: found 10001; allowed: 1 to 10000 cysts"]),
        (TinTest(50, 51), ["--hatched: found 51; allowed: 0 to 50 animals"]),
        (TinTest(50, -1), ["--hatched: found -1; allowed: 0 to 50 animals"]),
        (TinTest(50, 1, 0.0, 20.0), ["--hours: found 0; allowed: 0.1 to 336 h"]),
        (
            TinTest(50, 1, float("nan"), 34.0),
            ["--hours: found nan", "--water-c: found 34; allowed: 4 to 33 °C"],
        ),
        (TinTest(50, 1, 20.0), ["--water-c: none given"]),
        (TinTest(50, 1, None, 20.0), ["--hours: none given"]),
    ],
)
def test_a_test_that_cannot_be_is_refused_with_a_line_for_each_fault(test: TinTest, lines: list[str]) -> None:
    with pytest.raises(InputError) as refused:
        judged(test)
    assert len(refused.value.faults) == len(lines)
    for line, start in zip(refused.value.faults, lines, strict=True):
        assert line.startswith(start)


def test_a_strain_without_times_of_its_own_is_judged_as_any() -> None:
    assert long_enough_h(22.0, SINICA) == long_enough_h(22.0, UNKNOWN)
