"""What follows from a belief about the water: one or two levels, whose every answer can be worked out."""

from dataclasses import replace
from math import hypot

import pytest

from daemon.estimates.water.level import PacedLevel
from daemon.estimates.water.outlook import Fill, WaterOutlook
from daemon.estimates.water.rim_shelter import Rim, rim_of
from daemon.estimates.water.salt import Salt
from daemon.science.brine import salt_g_of
from tests.kit.one_cup import CUP

NOW = 1_800_000_000
DAY = 86_400
Z90 = 1.2815515655446004
SIX_GRAMS = Salt(6.0, 0.0)
NO_RIM = replace(rim_of(CUP), per_ml=1e-9)


def outlook(
    *levels: PacedLevel,
    rim: Rim = NO_RIM,
    ahead_sd: float = 0.0,
    lately_sd: float = 0.0,
    salt: Salt = SIX_GRAMS,
    since_d: float = 10.0,
) -> WaterOutlook:
    """A cup of 250 mL in which every day is alike; water was last moved ten days ago."""
    return WaterOutlook(
        at=NOW,
        since=NOW - round(since_d * DAY),
        mark_ml=250.0,
        water_c=25.0,
        rim=rim,
        levels=levels or (PacedLevel(1.0, 30.0, 4.0, 10.0, 8.0),),
        salt=salt,
        days_ahead=lambda t: (t - NOW) / DAY,
        days_back=lambda t: (NOW - t) / DAY,
        ahead_sd_share=lambda _t: ahead_sd,
        lately_sd_share=lately_sd,
        fill_error_ml=3.0,
    )


def quantiles(mean: float, sd: float) -> tuple[float, float, float]:
    return mean - Z90 * sd, mean, mean + Z90 * sd


def told(estimate: object) -> tuple[float, float, float]:
    return estimate.p10, estimate.p50, estimate.p90  # type: ignore[attr-defined]


# The level ---


@pytest.mark.parametrize("days", [0.0, 1.0, 3.5])
def test_the_loss_goes_on_at_its_pace_and_less_surely(days: float) -> None:
    found = outlook(ahead_sd=0.2).loss_ml_at(NOW + round(days * DAY))
    assert told(found) == pytest.approx(quantiles(30.0 + 10.0 * days, hypot(2.0, 2.0 * days)), abs=0.01)
    assert outlook().loss_ml() == outlook().loss_ml_at(NOW)


def test_no_more_than_all_is_lost() -> None:
    assert told(outlook().loss_ml_at(NOW + 40 * DAY)) == pytest.approx((250.0,) * 3, abs=3.0)
    assert outlook().loss_ml_at(NOW + 40 * DAY).p90 <= 250.0


def test_what_was_lost_a_while_ago_is_less() -> None:
    assert outlook().loss_ml_at(NOW - 2 * DAY).p50 == pytest.approx(10.0, abs=0.01)


def test_below_the_rim_the_loss_slows_and_its_slowing_is_a_guess() -> None:
    rim = rim_of(CUP)
    found = outlook(PacedLevel(1.0, 0.0, 1e-9, 40.0, 40.0), rim=rim).loss_ml_at(NOW + 2 * DAY)
    sunk = rim.sunk(0.0, 80.0)
    assert found.p50 == pytest.approx(sunk, abs=0.01)
    assert (found.p90 - found.p10) / (2 * Z90) == pytest.approx(rim.spread(0.0, sunk), rel=0.01)


def test_the_last_days_loss_is_told_with_its_own_error() -> None:
    assert told(outlook(lately_sd=0.1).loss_ml_per_day()) == pytest.approx(quantiles(8.0, 0.8), abs=0.01)


# Salt ---


def test_salt_stays_while_water_leaves() -> None:
    salt_g = salt_g_of(220.0, 24.0, 25.0)
    found = outlook(salt=Salt(salt_g, 0.03)).salinity()
    assert told(found) == pytest.approx(quantiles(24.0, 24.0 * hypot(2.0 / 220.0, 0.03)), abs=0.05)
    later = outlook(salt=Salt(salt_g, 0.0)).salinity_at(NOW + 11 * DAY)
    assert later.p50 == pytest.approx(47.2, abs=0.3)  # twice, less what the denser brine takes


def test_a_dry_vessel_has_a_twentieth_left_to_divide_by() -> None:
    found = outlook(PacedLevel(1.0, 249.9, 1.0, 0.0, 0.0), salt=Salt(0.6, 0.0)).salinity()
    assert found.p50 == pytest.approx(1000 * 0.6 / 12.5 / 1.03, rel=0.02)


# The low mark ---


def test_the_low_mark_comes_when_the_loss_reaches_it() -> None:
    found = outlook(PacedLevel(1.0, 30.0, 1e-6, 10.0, 8.0)).low_mark_at(45.0)
    assert told(found) == pytest.approx((NOW + 1.5 * DAY,) * 3, abs=120)


def test_how_sure_it_is_goes_with_the_level_and_with_the_pace_ahead() -> None:
    found = outlook().low_mark_at(45.0)
    assert told(found) == pytest.approx(tuple(NOW + x * DAY for x in quantiles(1.5, 0.2)), abs=200)
    wide = outlook(PacedLevel(1.0, 30.0, 1e-6, 10.0, 8.0), ahead_sd=0.2).low_mark_at(45.0)
    assert (wide.p10 - NOW) / DAY == pytest.approx(1.5 / (1 + 0.2 * Z90), rel=0.01)
    assert (wide.p90 - NOW) / DAY == pytest.approx(1.5 / (1 - 0.2 * Z90), rel=0.01)


# A part of the belief lies in the past where that much of it has sunk below the mark already.
@pytest.mark.parametrize(("low_ml", "past"), [(27.0, 3), (29.0, 2), (31.0, 1), (34.0, 0)])
def test_what_is_believed_past_is_told_as_past(low_ml: float, past: int) -> None:
    found = told(outlook().low_mark_at(low_ml))
    assert sum(moment < NOW for moment in found) == past
    assert found == pytest.approx(tuple(NOW + x * DAY for x in quantiles((low_ml - 30) / 10, 0.2)), abs=400)


def test_it_was_not_low_before_water_was_last_moved_and_will_be_within_sixty_days_or_is_told_so() -> None:
    assert outlook(since_d=1.0).low_mark_at(5.0).p50 == NOW - DAY
    assert told(outlook(PacedLevel(1.0, 0.0, 1.0, 0.01, 0.01)).low_mark_at(200.0)) == (NOW + 60 * DAY,) * 3


def test_members_are_weighed() -> None:
    fast, slow = PacedLevel(3.0, 0.0, 1e-6, 40.0, 8.0), PacedLevel(1.0, 0.0, 1e-6, 10.0, 8.0)
    found = outlook(fast, slow).low_mark_at(40.0)
    assert told(found) == pytest.approx((NOW + DAY, NOW + DAY, NOW + 4 * DAY), abs=400)


# What to pour ---


def test_water_is_poured_to_the_mark_where_that_lasts() -> None:
    found = outlook(PacedLevel(1.0, 30.0, 4.0, 10.0, 8.0)).safe_fill(NOW + 2 * DAY, 40.0, 30.0)
    assert found == Fill(pytest.approx(30.0, abs=0.01), 0.0, True)


# 6 days at 10 mL to a mark 40 mL down: 20 mL above would just do in the middle; so that it lasts nine times
# in ten the line is higher by the fill's own error, 1.28·3 mL, and over a brim of 40 mL that is hardly ever.
def test_above_the_mark_no_more_is_poured_than_lasts_nine_times_in_ten() -> None:
    found = outlook().safe_fill(NOW + 6 * DAY, 40.0, 40.0)
    assert found.above_mark_ml == pytest.approx(20.0 + Z90 * 3.0, abs=0.05)
    assert found.add_ml == pytest.approx(30.0 + found.above_mark_ml, abs=0.01)
    assert (found.holds, found.fails) == (True, None)


def test_where_nothing_lasts_the_fullest_is_poured_that_the_brim_allows_and_it_says_so() -> None:
    found = outlook().safe_fill(NOW + round(6.8 * DAY), 40.0, 30.0)
    assert found.above_mark_ml == pytest.approx(30.0 - Z90 * 3.0, abs=0.5)
    assert (found.holds, found.fails) == (False, "low")
    flat = outlook().safe_fill(NOW + 12 * DAY, 40.0, 0.0)
    assert (flat.above_mark_ml, flat.add_ml, flat.fails) == (0.0, pytest.approx(30.0, abs=0.01), "low")


def test_the_chance_over_the_brim_counts_against_the_chance_of_low_water() -> None:
    # 15 mL above the mark are needed and 18 are there: 1.28 sd to either side are not to be had.
    found = outlook().safe_fill(NOW + round(5.5 * DAY), 40.0, 18.0)
    assert not found.holds
    assert found.above_mark_ml <= 18.0 - Z90 * 3.0 + 1e-9


@pytest.mark.parametrize(("loss_ml", "add_ml"), [(2.9, 0.0), (3.1, 3.1)])
def test_less_than_can_be_read_is_not_asked_for(loss_ml: float, add_ml: float) -> None:
    found = outlook(PacedLevel(1.0, loss_ml, 1.0, 1.0, 1.0)).safe_fill(NOW + DAY, 40.0, 30.0)
    assert found.add_ml == pytest.approx(add_ml, abs=0.01)
    assert found.holds


def test_water_left_alone_may_fail_on_either_side() -> None:
    over = outlook(PacedLevel(1.0, -35.0, 4.0, 1.0, 1.0)).safe_fill(NOW + DAY, 40.0, 30.0)
    assert over == Fill(0.0, pytest.approx(35.0, abs=0.01), False, "brim")
    low = outlook(PacedLevel(1.0, -20.0, 4.0, 40.0, 1.0)).safe_fill(NOW + 2 * DAY, 40.0, 20.5)
    assert (low.add_ml, low.holds, low.fails) == (0.0, False, "low")


@pytest.mark.parametrize(("above_ml", "fails"), [(3.5, None), (4.5, "brim")])
def test_nothing_is_taken_out_that_a_filling_may_have_left(above_ml: float, fails: str | None) -> None:
    """A filling misses the mark by 3 mL (sd) here: one in ten ends 3.8 mL above it, where the brim may be."""
    left = outlook(PacedLevel(1.0, -above_ml, 4.0, 1.0, 1.0)).safe_fill(NOW + DAY, 40.0, 0.0)
    assert (left.add_ml, left.fails) == (0.0, fails)


def test_once_filled_the_level_is_known_as_well_as_a_line_can_be_seen() -> None:
    found = outlook().filled_to(12.0)
    assert told(found.loss_ml()) == pytest.approx(quantiles(-12.0, 3.0), abs=0.01)
    assert found.since == NOW
    assert found.levels[0].ahead_ml_per_day == 10.0


# Level known, salt of two explanations: 6 g or 9 g in 220 mL; the range stands on both, its middle on the
# likelier.
def test_salinity_of_two_explanations_has_the_ends_of_both() -> None:
    salt = Salt(6.9, 0.2, ((0.7, 6.0 / 6.9, 0.02**2), (0.3, 9.0 / 6.9, 0.02**2)))
    level = PacedLevel(1.0, 30.0, 1e-6, 10.0, 8.0)
    found = outlook(level, salt=salt).salinity()
    low, high = (outlook(level, salt=Salt(g, 0.02)).salinity() for g in (6.0, 9.0))
    assert low.p10 < found.p10 < found.p50 < low.p90
    assert high.p10 < found.p90 < high.p90
