"""What batches of a tin gave, by the measures of the trade, which stay apart."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import counted_shares
from daemon.planning.tin_history import BatchOfTin, batch_gave, counted_hatch
from daemon.planning.tin_test import KeptTest, TinTest
from daemon.planning.tins import tin
from daemon.science.counts import expected_efficiency_per_g, hatching_fraction
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import LotPlan

SET_AT = 1_800_000_000
OUT = Estimate(0.95, 0.99, 1.0)
PLAN = LotPlan("blue", "unknown", date(2027, 1, 4), "fridge", 50.0, 252_678.0)


def batch(
    *counts: tuple[float, dict[str, float], float],
    grams: float | None = 0.05,
    out: Estimate | None = OUT,
    cups: int = 1,
    set_at: int = SET_AT,
    **believed: Estimate,
) -> BatchOfTin:
    """A batch in which animals were counted: how many, with which detail, so many hours after it was set."""
    deeds = tuple(
        Deed(round(set_at + hours * HOUR_S), "cup", "count", animals, detail)
        for animals, detail, hours in counts
    )
    return BatchOfTin(
        1, Deed(set_at, "cup", "set", grams), cups, 250.0, None, deeds, (out,) * len(deeds), believed
    )


def at_hours(hours: float) -> Estimate:
    return Estimate(*(SET_AT + (hours + off) * HOUR_S for off in (-1.0, 0.0, 1.0)))


# Pozos Colorados (Eslava-Eljaiek et al. 2011, Intropica 6:101-108 [R]): T10 10 h, T90 15.67 h, Ts 5.67 h,
# H 66 % at 15 g/kg, 252,678 cysts and 165,270 nauplii a gram.
def test_the_published_row_comes_out_with_each_of_its_measures() -> None:
    aliquot = (165_270 * 0.5 / 250.0, {"volume_ml": 1.0}, 30.0)
    gave = batch_gave(
        batch(
            (66.0, {"of_cysts": 100.0}, 30.0),
            aliquot,
            grams=0.5,
            hatch_t10=at_hours(10.0),
            hatch_t50=at_hours(12.5),
            hatch_t90=at_hours(15.67),
        )
    )
    assert gave.percentage is not None
    assert gave.percentage.range.p50 == hatching_fraction(66, 4, 30).middle == 0.66
    assert gave.synchrony_h is not None
    assert gave.synchrony_h.p50 == pytest.approx(5.67)
    assert gave.efficiency_per_g is not None
    assert gave.efficiency_per_g.p50 == pytest.approx(165_270)
    # Percentage times cysts a gram agrees with the efficiency reported beside it: 166,767 [C].
    expected = expected_efficiency_per_g(gave.percentage.range.p50, 252_678)
    assert expected == pytest.approx(166_767, abs=1)
    assert gave.efficiency_per_g.p50 == pytest.approx(expected, rel=0.01)
    assert gave.t50_h is not None
    assert gave.t50_h.p50 == pytest.approx(12.5)


def test_what_nobody_counted_is_none_and_no_measure_stands_for_another() -> None:
    of_cysts, of_water = (38.0, {"of_cysts": 50.0}, 40.0), (12.0, {"volume_ml": 1.0}, 40.0)
    bare, by_cysts, by_water = (batch_gave(batch(*counts)) for counts in ((), (of_cysts,), (of_water,)))
    assert (bare.percentage, bare.efficiency_per_g, bare.believed_share) == (None, None, None)
    assert by_cysts.percentage is not None
    assert (by_cysts.percentage.hatched, by_cysts.percentage.of) == (38.0, 50.0)
    assert by_cysts.efficiency_per_g is None
    assert by_water.percentage is None
    assert by_water.efficiency_per_g is not None
    assert by_water.efficiency_per_g.p50 == pytest.approx(12.0 * 250.0 / 0.05)


def test_an_aliquot_of_a_counted_number_is_no_percentage_and_grams_make_an_efficiency() -> None:
    count = (9.0, {"volume_ml": 10.0, "of_cysts": 300.0}, 40.0)
    gave = batch_gave(batch(count))
    assert gave.percentage is None
    assert batch_gave(batch((12.0, {"volume_ml": 1.0}, 40.0), grams=None)).efficiency_per_g is None


def test_a_slip_of_the_pen_is_no_efficiency() -> None:
    assert batch_gave(batch((12.0, {"volume_ml": 1e-12}, 40.0))).efficiency_per_g is None
    assert batch_gave(batch((12.0, {"volume_ml": 1.0}, 40.0), grams=1e-9)).efficiency_per_g is None


def test_a_pinch_has_a_wider_efficiency_than_what_was_weighed() -> None:
    pinch, weighed = (
        batch_gave(batch((300.0, {"volume_ml": 1.0}, 40.0), grams=grams)).efficiency_per_g
        for grams in (0.05, 2.0)
    )
    assert pinch is not None
    assert weighed is not None
    assert pinch.p90 / pinch.p10 > 2.0 * weighed.p90 / weighed.p10


@pytest.mark.parametrize(("out", "early"), [(OUT, False), (Estimate(0.2, 0.5, 0.8), True), (None, False)])
def test_a_count_before_all_are_out_is_called_early_where_the_warmth_is_known(
    out: Estimate | None, early: bool
) -> None:
    gave = batch_gave(batch((38.0, {"of_cysts": 50.0}, 40.0), out=out))
    assert gave.percentage is not None
    assert (gave.percentage.early, gave.percentage.warmth_known) == (early, out is not None)


def test_what_is_counted_after_four_days_says_how_many_live() -> None:
    late = batch((8.0, {"of_cysts": 50.0}, 120.0))
    assert batch_gave(late).percentage is None
    assert counted_hatch(late) is None


def test_the_last_count_of_each_sort_stands() -> None:
    gave = batch_gave(batch((20.0, {"of_cysts": 50.0}, 20.0), (40.0, {"of_cysts": 50.0}, 50.0)))
    assert gave.percentage is not None
    assert gave.percentage.hatched == 40.0


def test_a_time_later_than_can_be_said_is_not_known() -> None:
    assert batch_gave(batch(hatch_t90=at_hours(30 * 24.0))).t90_h is None


def test_a_trays_grams_are_those_of_all_its_cups_and_what_is_left_never_falls_below_none() -> None:
    tray = batch(grams=0.05, cups=28)
    found = tin(PLAN, [tray, batch(grams=None)], (), SET_AT, 6.0)
    assert (found.used_g, found.unweighed) == (pytest.approx(1.4), 1)
    assert found.left_g == pytest.approx(48.6)
    assert tin(PLAN, [batch(grams=60.0)], (), SET_AT, 6.0).left_g == 0.0
    assert tin(LotPlan("red", "unknown", None), [tray], (), SET_AT, None).left_g is None


def test_only_counts_of_cysts_when_all_were_out_make_the_trend() -> None:
    early = batch((20.0, {"of_cysts": 50.0}, 20.0), out=Estimate(0.2, 0.5, 0.8))
    late = batch((40.0, {"of_cysts": 50.0}, 50.0), set_at=SET_AT + 9 * DAY_S)
    by_water = batch((12.0, {"volume_ml": 1.0}, 40.0))
    hatches = [found for one in (early, late, by_water) if (found := counted_hatch(one)) is not None]
    assert len(hatches) == 2
    assert [(one.hatched, one.of) for one in counted_shares(hatches)] == [(40.0, 50.0)]


def test_a_test_with_more_hatched_than_can_have_says_nothing_of_its_tin() -> None:
    cold = KeptTest(1, SET_AT, "blue", TinTest(120, 30, 30.0, 12.0))
    assert tin(PLAN, (), [cold], SET_AT, 6.0).share == tin(PLAN, (), (), SET_AT, 6.0).share
    warm = replace(cold, test=replace(cold.test, water_c=25.0))
    assert tin(PLAN, (), [warm], SET_AT, 6.0).share.p50 < 0.5


amounts = st.one_of(st.just(0.0), st.floats(0.01, 1e6))
quantiles = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3).map(lambda ends: Estimate(*sorted(ends)))
histories = st.lists(
    st.tuples(
        st.one_of(st.none(), st.just(0.0), st.floats(1e-4, 1000.0)),
        st.lists(
            st.tuples(
                amounts,
                st.fixed_dictionaries({}, optional={"volume_ml": amounts, "of_cysts": st.floats(1.0, 1e6)}),
                st.floats(0.0, 200.0),
            ),
            max_size=4,
        ),
        st.one_of(st.none(), quantiles),
        st.integers(1, 30),
        st.integers(0, 400),
    ),
    max_size=6,
)


@settings(max_examples=150)
@given(histories)
def test_random_histories_never_crash_and_never_mix_the_measures(drawn: list[tuple]) -> None:  # type: ignore[type-arg]  # as drawn above
    batches = [
        batch(*counts, grams=grams, out=out, cups=cups, set_at=SET_AT + day * DAY_S)
        for grams, counts, out, cups, day in drawn
    ]
    found = tin(PLAN, batches, (), SET_AT + 500 * DAY_S, 3.0)
    assert found.left_g is not None
    assert found.left_g >= 0.0
    assert 0.0 <= found.share.p10 <= found.share.p50 <= found.share.p90 <= 1.0
    for one, gave in zip(batches, found.batches, strict=True):
        told = [count for count in one.counts if count.at - one.set.at <= 4 * DAY_S]
        by_cysts = any(set(count.detail) == {"of_cysts"} for count in told)
        by_water = any((count.number("volume_ml") or 0.0) > 0.0 for count in told) and bool(one.set.amount)
        assert (gave.percentage is not None) == by_cysts
        assert (gave.efficiency_per_g is not None) == by_water
        if gave.percentage is not None:
            assert (
                0.0
                <= gave.percentage.range.p10
                <= gave.percentage.range.p50
                <= gave.percentage.range.p90
                <= 1.0
            )
        assert (gave.t10_h, gave.t90_h, gave.synchrony_h) == (None, None, None)
