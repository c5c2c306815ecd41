"""Stages against FAO 428's hours and their own order."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.science import stages
from daemon.science.hatching import (
    SYNCHRONY_MEDIAN,
    T50_MEDIAN_H,
    dose_at_share,
    hatched_share,
    hours_to_instar_ii,
    pace,
)
from daemon.science.stages import (
    LifeStage,
    instar_ii_after_dose_h,
    middle_begins_h,
    reached_share,
    soaked_share_range,
    stage_shares,
)
from daemon.science.valid_range import OutOfRange

doses = st.floats(0.0, 200.0)
medians = st.floats(8.0, 60.0)
synchronies = st.floats(0.1, 2.0)


# FAO 428 annex 4 [R]: hydration 1–2 h.
@pytest.mark.parametrize(("hours", "least", "most"), [(0.5, 0.0, 0.0), (1.5, 0.0, 1.0), (2.0, 1.0, 1.0)])
def test_cysts_are_round_after_one_to_two_hours(hours: float, least: float, most: float) -> None:
    assert soaked_share_range(hours) == (least, most)


# FAO 428 annex 4 [R]: breaking after 12–20 h, best 25–28 °C. The middle half of the median lot breaks within
# those hours at 25 and at 28 °C; at 25 °C nearly all of it does.
def test_the_median_lot_breaks_in_the_hours_of_fao_428() -> None:
    for water_c in (25.0, 28.0):
        for share in (0.25, 0.5, 0.75):
            breaking_h = (
                stages.BREAKING_OF_HATCHING
                * dose_at_share(share, T50_MEDIAN_H, SYNCHRONY_MEDIAN)
                / pace(water_c)
            )
            assert 12.0 <= breaking_h <= 20.0
    shares = [reached_share(LifeStage.BREAKING, h, T50_MEDIAN_H, SYNCHRONY_MEDIAN) for h in stages.BREAKING_H]
    assert shares[0] < 0.05
    assert shares[1] > 0.90


# How 0.85 was got: geometric middles of 12–20 h and of the median lot's 1 to 95 in 100.
def test_breaking_comes_where_the_middles_of_both_times_have_it() -> None:
    first_h, last_h = (dose_at_share(share, T50_MEDIAN_H, SYNCHRONY_MEDIAN) for share in (0.01, 0.95))
    ratio = math.sqrt(stages.BREAKING_H[0] * stages.BREAKING_H[1] / (first_h * last_h))
    assert pytest.approx(ratio, abs=0.02) == stages.BREAKING_OF_HATCHING


def test_the_umbrella_comes_just_before_hatching() -> None:
    t50_h = T50_MEDIAN_H
    breaking, umbrella, hatched = (
        middle_begins_h(s, t50_h) for s in (LifeStage.BREAKING, LifeStage.UMBRELLA, LifeStage.INSTAR_I)
    )
    assert breaking < umbrella < hatched == t50_h
    assert hatched - umbrella < 3.0


# About 8 h at 25–28 °C [M].
def test_the_second_larva_follows_after_eight_hours() -> None:
    gap = middle_begins_h(LifeStage.INSTAR_II, T50_MEDIAN_H) - middle_begins_h(
        LifeStage.INSTAR_I, T50_MEDIAN_H
    )
    assert gap / pace(26.5) == pytest.approx(8.0)
    assert gap / pace(22.0) == pytest.approx(hours_to_instar_ii(22.0))
    assert instar_ii_after_dose_h() == pytest.approx(gap)


@given(doses, medians, synchronies)
def test_the_stages_share_all_cysts_among_them(dose_h: float, t50_h: float, synchrony: float) -> None:
    shares = stage_shares(dose_h, t50_h, synchrony)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert all(share >= 0.0 for share in shares.values())
    swimming = shares[LifeStage.INSTAR_I] + shares[LifeStage.INSTAR_II]
    assert swimming == pytest.approx(hatched_share(dose_h, t50_h, synchrony), abs=1e-12)


@given(st.sampled_from(LifeStage), doses, st.floats(0.0, 20.0), medians, synchronies)
def test_no_cyst_goes_back_a_stage(
    stage: LifeStage, dose_h: float, more_h: float, t50_h: float, synchrony: float
) -> None:
    now, later = (reached_share(stage, d, t50_h, synchrony) for d in (dose_h, dose_h + more_h))
    assert now <= later


@given(
    st.sampled_from([s for s in LifeStage if s not in (LifeStage.EMBRYO, LifeStage.INSTAR_II)]),
    medians,
    synchronies,
)
def test_the_middle_animal_is_where_half_have_come(stage: LifeStage, t50_h: float, synchrony: float) -> None:
    assert reached_share(stage, middle_begins_h(stage, t50_h), t50_h, synchrony) == pytest.approx(0.5)


def test_all_are_embryos_at_first_and_second_larvae_at_last() -> None:
    assert stage_shares(0.0, 19.0, 0.36)[LifeStage.EMBRYO] == 1.0
    assert stage_shares(1e5, 19.0, 0.36)[LifeStage.INSTAR_II] == pytest.approx(1.0)
    assert middle_begins_h(LifeStage.EMBRYO, 19.0) == 0.0


@pytest.mark.parametrize(
    "asked",
    [
        lambda: soaked_share_range(-1.0),
        lambda: soaked_share_range(math.nan),
        lambda: reached_share(LifeStage.UMBRELLA, -1.0, 19.0, 0.36),
        lambda: reached_share(LifeStage.EMBRYO, math.nan, 19.0, 0.36),
        lambda: stage_shares(10.0, 0.0, 0.36),
        lambda: middle_begins_h(LifeStage.INSTAR_I, math.nan),
    ],
)
def test_nonsense_is_refused(asked: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="allowed is"):
        asked()


# docs/explanation/science.md, *Stages*: by the clock, a cyst floats for 10–15 minutes; round after 1–2 h.
def test_a_cyst_floats_for_some_minutes_and_none_is_round_before_an_hour_and_all_after_two() -> None:
    assert stages.FLOATS_MIN == (10.0, 15.0)
    assert soaked_share_range(0.999) == (0.0, 0.0)
    assert soaked_share_range(1.0) == (0.0, 1.0)
    assert soaked_share_range(1.999) == (0.0, 1.0)
    assert soaked_share_range(2.0) == (1.0, 1.0)
