"""When a hatch will be how far: in steady water a dose is time by pace, so every answer can be worked out.

To a fiftieth. A node stands for the lots about it: its weight lies evenly over a step of T50, 5.6 %.
"""

from math import exp

import pytest

from daemon.estimates.hatch import hatchable_share
from daemon.estimates.hatch.grid import NODES, PATHS, nodes
from daemon.estimates.hatch.outlook import DoseRecord, HatchOutlook
from daemon.estimates.quantile import Estimate
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.science.hatching import dose_at_share, hatched_share, pace, pace_range

SET = 1_800_000_000 // 3600 * 3600
HOUR, DAY = 3600, 86_400
STEP = 0.28 * 0.2  # of ln T50, between two nodes
MIDDLE = 15 * 8 + 2  # T50 19 h, synchrony 0.36


def outlook(
    water_c: float | list[float] = 25.0,
    *,
    after_h: float = 0.0,
    delay: float = 1.0,
    path: int = 4,
    dose: float | None = None,
) -> HatchOutlook:
    """A hatch of the middle lot under one path of the law, so many hours after `set` at 25 °C."""
    weight = [[0.0] * NODES for _ in PATHS]
    weight[path][MIDDLE] = 1.0
    doses = (after_h / delay if dose is None else dose,) * 9
    history = ((SET, (0.0,) * 9),) + (((SET + round(after_h * HOUR), doses),) if after_h else ())
    hourly = (water_c,) * 96 if isinstance(water_c, float) else tuple(water_c)
    now = SET + round(after_h * HOUR)
    return HatchOutlook(
        DoseRecord(history, doses, delay),
        weight,
        hatchable_share.share_prior(),
        now,
        [WarmthCourse(1.0, hourly)],
    )


def hours(estimate: Estimate) -> float:
    return (estimate.p50 - SET) / HOUR


def dose(share: float) -> float:
    return dose_at_share(share, *nodes()[MIDDLE])


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("water_c", [20.0, 25.0, 29.0])
def test_in_steady_water_a_share_comes_when_its_dose_is_reached(water_c: float, share: float) -> None:
    found = outlook(water_c).time_of(share)
    assert hours(found) == pytest.approx(dose(share) / pace_range(water_c)[1], rel=0.02)
    assert found.p90 - found.p10 == pytest.approx(0.8 * STEP * (found.p50 - SET), rel=0.05)


def test_salt_delays_and_the_laws_slope_bends() -> None:
    assert hours(outlook(20.0, delay=1.1).time_of(0.5)) == pytest.approx(
        1.1 * dose(0.5) / pace(20.0), abs=0.02
    )
    assert hours(outlook(20.0, path=1).time_of(0.5)) == pytest.approx(dose(0.5) / pace(20.0) ** 0.8, rel=0.02)
    assert hours(outlook(20.0, path=7).time_of(0.5)) == pytest.approx(dose(0.5) / pace(20.0) ** 1.2, rel=0.02)


# Below 15 °C and above 27 °C the sources part, and a path goes by one of them.
@pytest.mark.parametrize("water_c", [10.0, 14.0, 29.0])
@pytest.mark.parametrize("margin", [0, 1, 2])
def test_where_the_sources_part_a_path_goes_by_one_of_them(water_c: float, margin: int) -> None:
    found = outlook([water_c] * 10 + [25.0] * 86, path=3 + margin).time_of(0.5)
    gone = 10 * pace_range(water_c)[margin]
    assert hours(found) == pytest.approx(10 + dose(0.5) - gone, rel=0.02)


def test_courses_that_reach_where_the_sources_part_keep_the_paths_apart() -> None:
    """Weights over all three paths of a slope: at 30 °C they spread, at 26 °C they do not."""
    weight = [[0.0] * NODES for _ in PATHS]
    for path in (3, 4, 5):
        weight[path][MIDDLE] = 1.0 / 3.0
    record = DoseRecord(((SET, (0.0,) * 9),), (0.0,) * 9, 1.0)

    def spread(water_c: float) -> float:
        courses = [WarmthCourse(1.0, (water_c,) * 96)]
        found = HatchOutlook(record, weight, hatchable_share.share_prior(), SET, courses).time_of(0.5)
        return (found.p90 - found.p10) / (found.p50 - SET)

    assert spread(26.0) == pytest.approx(0.8 * STEP, rel=0.05)
    assert spread(30.0) > 0.25


def test_what_heat_has_killed_never_comes_and_no_more_can_hatch_than_have() -> None:
    weight = [[0.0] * NODES for _ in PATHS]
    weight[4][MIDDLE] = 1.0
    doses = (19.0,) * 9
    record = DoseRecord(((SET, (0.0,) * 9), (SET + 19 * HOUR, doses)), doses, 1.0, over=True)
    courses = [WarmthCourse(1.0, (25.0,) * 96)]
    found = HatchOutlook(record, weight, hatchable_share.share_prior(), SET + 20 * HOUR, courses)
    assert hours(found.time_of(0.1)) == pytest.approx(dose(0.1), rel=0.02), "what had hatched has"
    assert hours(found.time_of(0.9)) == pytest.approx(20 + 30 * 24)
    assert found.hatched_fraction().p50 == pytest.approx(0.5)
    assert found.hatched_fraction_at(SET + 100 * HOUR).p50 == pytest.approx(0.5)
    alive = hatchable_share.estimate(hatchable_share.share_prior())
    assert found.hatchable_share().p50 == pytest.approx(0.5 * alive.p50, rel=0.03)


def test_hours_that_are_used_up_come_again() -> None:
    found = outlook([25.0] * 3 + [20.0] * 3).time_of(0.9)
    a_round = 3 + 3 * pace(20.0)
    rounds, rest = divmod(dose(0.9), a_round)
    expected = 6 * rounds + (rest if rest <= 3 else 3 + (rest - 3) / pace(20.0))
    assert hours(found) == pytest.approx(expected, rel=0.02)


def test_what_was_reached_already_stays_where_it_was_and_the_rest_follows() -> None:
    found = outlook(20.0, after_h=19.0)
    assert hours(found.time_of(0.1)) == pytest.approx(dose(0.1), rel=0.02)
    later = 19.0 + (dose(0.9) - 19.0) / pace(20.0)
    assert hours(found.time_of(0.9)) == pytest.approx(later, rel=0.02)


def test_what_does_not_come_within_thirty_days_is_told_as_the_horizon() -> None:
    assert hours(outlook(5.0).time_of(0.5)) == pytest.approx(30 * 24)
    assert hours(outlook(5.0, after_h=3.0).time_of(0.5)) == pytest.approx(3 + 30 * 24)


def test_the_share_that_has_hatched_is_the_laws_at_the_dose_so_far() -> None:
    found = outlook(after_h=20.0).hatched_fraction()
    assert found.p50 == pytest.approx(hatched_share(20.0, *nodes()[MIDDLE]))
    assert outlook().hatched_fraction().p50 == 0.0
    assert outlook().hatchable_share() == hatchable_share.estimate(hatchable_share.share_prior())


def test_what_is_known_of_the_lot_is_its_node() -> None:
    known = outlook().knowns()
    assert known["t50_h_at_25_c"].p50 == pytest.approx(19.0)
    assert known["synchrony"].p50 == pytest.approx(0.36)


# science.md: instar II comes 8 h at 26.5 °C after the hatch, a quarter more or less. A harvest opens when
# nine in ten have hatched, and never closes within the hour.
def test_when_the_middle_animal_can_feed_is_told_by_its_dose() -> None:
    found = outlook()
    assert hours(found.time_of(0.5)) == pytest.approx(19.0, rel=0.02)
    more, instar_ii = 8.0 * pace(26.5), found.instar_ii_at()
    assert hours(instar_ii) == pytest.approx(19.0 + more, rel=0.02)
    assert (instar_ii.p10 - SET) / HOUR == pytest.approx(19.0 + 0.75 * more, rel=0.02)
    assert (instar_ii.p90 - SET) / HOUR == pytest.approx(19.0 + 1.25 * more, rel=0.02)


def test_a_harvest_opens_with_nine_in_ten_and_closes_with_instar_ii() -> None:
    found = outlook()
    assert found.harvest_opens_at() == found.time_of(0.9)
    assert found.harvest_closes_at().p50 == pytest.approx(found.instar_ii_at().p50)
    weight = [[0.0] * NODES for _ in PATHS]
    weight[4][15 * 8 + 5] = 1.0  # a spread hatch: nine in ten come long after the middle animal eats
    record = DoseRecord(((SET, (0.0,) * 9),), (0.0,) * 9, 1.0)
    late = HatchOutlook(record, weight, hatchable_share.share_prior(), SET, [WarmthCourse(1.0, (25.0,) * 96)])
    opens, closes = late.harvest_opens_at(), late.harvest_closes_at()
    assert (closes.p10 - opens.p10, closes.p50 - opens.p50) == (HOUR, HOUR)
    assert closes.p90 == pytest.approx(late.instar_ii_at().p90)


def test_courses_that_differ_are_weighed() -> None:
    weight = [[0.0] * NODES for _ in PATHS]
    weight[4][MIDDLE] = 1.0
    courses = [WarmthCourse(3.0, (25.0,) * 96), WarmthCourse(1.0, (20.0,) * 96)]
    found = HatchOutlook(
        DoseRecord(((SET, (0.0,) * 9),), (0.0,) * 9, 1.0), weight, hatchable_share.share_prior(), SET, courses
    )
    told = found.time_of(0.5)
    assert (told.p10 - SET) / HOUR == pytest.approx(19.0, rel=0.03)
    assert hours(told) == pytest.approx(19.0, rel=0.02)
    assert (told.p90 - SET) / HOUR == pytest.approx(19.0 / pace(20.0), rel=0.02)


def test_the_weight_of_a_node_lies_evenly_about_its_dose() -> None:
    weight = [[0.0] * NODES for _ in PATHS]
    weight[4][14 * 8 + 2] = weight[4][16 * 8 + 2] = 0.5
    record = DoseRecord(((SET, (0.0,) * 9),), (0.0,) * 9, 1.0)
    found = HatchOutlook(
        record, weight, hatchable_share.share_prior(), SET, [WarmthCourse(1.0, (25.0,) * 96)]
    ).time_of(0.5)
    low, high, half = 19.0 * exp(-STEP), 19.0 * exp(STEP), exp(0.5 * STEP)
    # A fifth of the way through the lower one's lots, and a fifth from the end of the upper one's.
    assert (found.p10 - SET) / HOUR == pytest.approx(low / half + 0.2 * low * (half - 1.0 / half), abs=0.05)
    assert (found.p90 - SET) / HOUR == pytest.approx(high * half - 0.2 * high * (half - 1.0 / half), abs=0.05)
    assert low * half - 0.05 <= hours(found) <= high / half + 0.05
