"""A long span in fewer readings: nothing that a chart would show is lost."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from daemon.letters.points import fewer

HOUR = 3600
WEEK = (0, 7 * 24 * HOUR)
MINUTE_BY_MINUTE = [(at, 20.0 + (at // 60) % 7) for at in range(*WEEK, 60)]


def test_a_night_is_kept_whole() -> None:
    night = [reading for reading in MINUTE_BY_MINUTE if reading[0] <= 26 * HOUR]
    assert fewer(night, (0, 26 * HOUR)) == night


def test_a_week_by_the_minute_becomes_some_seven_hundred_readings() -> None:
    assert 700 <= len(fewer(MINUTE_BY_MINUTE, WEEK)) <= 730


@given(
    st.lists(st.tuples(st.integers(*WEEK), st.floats(-5.0, 45.0)), min_size=1, unique_by=lambda one: one[0])
)
def test_no_extreme_and_not_the_last_is_lost_and_none_is_made_up(readings: list[tuple[int, float]]) -> None:
    readings = sorted(readings)
    kept = fewer(readings, WEEK)
    assert set(kept) <= set(readings)
    assert kept == sorted(kept)
    assert kept[-1] == readings[-1]
    for end in (min, max):
        assert end(value for _, value in kept) == end(value for _, value in readings)


def test_no_gap_is_made_and_none_is_closed() -> None:
    part_s = WEEK[1] / 720
    holed = [reading for reading in MINUTE_BY_MINUTE if not 50 * HOUR < reading[0] < 56 * HOUR]
    times = [at for at, _ in fewer(holed, WEEK)]
    steps = [after - before for before, after in pairwise(times)]
    assert sum(step > 2 * part_s for step in steps) == 1
    assert max(steps) >= 6 * HOUR
