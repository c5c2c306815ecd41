"""The coming water for the hatch: the forecast of warmth as a few ways, wider the less is known."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.hatch.belief import HatchBelief
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.belief import FORESEEN_H, WarmthBelief, WarmthCourse

HOUR = 3600
TUESDAY = 1_800_316_800  # 2027-01-19 00:00 UTC


def fed(at: int, hours: int, water_c: float = 22.0) -> WarmthBelief:
    warmth = WarmthBelief()
    for began in range(at - hours * HOUR, at, HOUR // 2):
        warmth.feed_stretch(Stretch(began, began + HOUR // 2, water_c, water_c, water_c, None, None))
    return warmth


def spread(warmth: WarmthBelief, at: int, hour: int) -> float:
    some = [course.hourly_c[hour] for course in warmth.courses_ahead(at)]
    return max(some) - min(some)


def test_the_ways_are_alike_likely_and_spread_about_what_is_foreseen() -> None:
    at = TUESDAY + 33 * HOUR
    courses = fed(at, 72).courses_ahead(at)
    assert sum(course.weight for course in courses) == pytest.approx(1.0)
    assert {len(course.hourly_c) for course in courses} == {FORESEEN_H}
    assert courses[2].hourly_c[0] == pytest.approx(22.0, abs=0.5)


def test_the_water_hears_the_middle_of_the_ways_of_that_moment() -> None:
    at = TUESDAY + 33 * HOUR
    warmth = fed(at, 72)
    warmth.feed_stretch(Stretch(at, at + HOUR // 2, 25.0, 25.0, 25.0, None, None))
    for moment in (at + HOUR // 2, at + 3 * HOUR):
        middle = warmth.middle_ahead(moment)
        assert middle == tuple(c for c, _ in warmth.hours_ahead(moment, FORESEEN_H))
        assert middle == warmth.courses_ahead(moment)[2].hourly_c
    warmth.feed_stretch(Stretch(at + HOUR // 2, at + HOUR, 17.0, 17.0, 17.0, None, None))
    assert warmth.middle_ahead(at + 3 * HOUR)[2] < middle[2] - 0.3


def test_what_is_further_ahead_or_less_seen_is_wider() -> None:
    at = TUESDAY + 14 * HOUR
    assert spread(fed(at, 72), at, 20) > spread(fed(at, 72), at, 1)
    assert spread(fed(at, 4), at, 14) > spread(fed(at, 240), at, 14)


def test_nothing_known_is_told_as_a_heated_room() -> None:
    some = [course.hourly_c[0] for course in WarmthBelief().courses_ahead(TUESDAY)]
    assert min(some) < 19.0 < 25.0 < max(some)


def test_the_hatch_follows_the_way_the_water_goes() -> None:
    hatch = HatchBelief()
    hatch.feed_deed(Deed(TUESDAY, "cup", "set", 0.5))
    hatch.feed_stretch(Stretch(TUESDAY, TUESDAY + HOUR, 22.0, 22.0, 22.0, None, None))
    warm, cool = (hatch.outlook(TUESDAY + HOUR, [WarmthCourse(2.0, (c,))]).time_of(0.5) for c in (28.0, 18.0))
    # Handbook [R]: longest for the quick and the slow strain at about 28 °C 18 to 24 h; at 20 °C T0 is 25 h.
    assert warm.p50 - TUESDAY < 20 * HOUR
    assert cool.p50 - TUESDAY > 30 * HOUR


stretches = st.lists(st.tuples(st.integers(0, 60), st.floats(-5.0, 60.0)), min_size=0, max_size=40)


@given(stretches, st.integers(0, 200))
@settings(max_examples=60)
def test_whatever_came_there_are_five_ways_in_order(some: list[tuple[int, float]], after: int) -> None:
    warmth, at = WarmthBelief(), TUESDAY
    for skip, water_c in some:
        at += skip * HOUR
        warmth.feed_stretch(Stretch(at, at + HOUR, water_c, water_c, water_c, None, None))
        at += HOUR
    courses = warmth.courses_ahead(at + after * HOUR)
    assert [course.weight for course in courses] == [0.2] * 5
    for hour in zip(*(course.hourly_c for course in courses), strict=True):
        assert list(hour) == sorted(hour)
