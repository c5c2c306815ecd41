"""Readings and deeds cut into stretches of time."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.timeline.timeline import Event, Timeline

START = 1_800_000_000  # a whole hour
HOUR = 3600


def stretches(events: list[Event]) -> list[Stretch]:
    return [e for e in events if isinstance(e, Stretch)]


def fed(samples: list[tuple[int, float]], every_s: int = 60, deeds: tuple[Deed, ...] = ()) -> list[Event]:
    """Everything that comes out, looked ahead to the last sample."""
    timeline = Timeline(every_s)
    out: list[Event] = []
    moments = [(at, 0, c) for at, c in samples] + [(d.at, 1, d) for d in deeds]
    for at, _, thing in sorted(moments, key=lambda m: m[:2]):
        if isinstance(thing, Deed):
            out += timeline.feed_deed(thing)
        else:
            out += timeline.feed_reading(at, "water_c", thing)
    return out + timeline.copy().ahead(max(at for at, _, _ in moments))


def mean_c(some: list[Stretch]) -> float:
    return sum(s.water_c * s.hours for s in some) / sum(s.hours for s in some)


def test_stretches_end_at_every_fifth_minute_and_at_deeds() -> None:
    deed = Deed(START + 700, "cup", "stir")
    out = fed([(START + 60 * i, 20.0) for i in range(21)], deeds=(deed,))
    ends = [e.ended - START for e in stretches(out)]
    assert ends == [300, 600, 700, 900, 1200]
    assert out.index(deed) == 3


def test_time_is_covered_once_without_holes() -> None:
    out = stretches(fed([(START + 97 * i, 20.0 + i % 7) for i in range(200)]))
    assert all(a.ended == b.began for a, b in pairwise(out))
    assert (out[0].began, out[-1].ended) == (START, START + 97 * 199)


def test_hourly_samples_of_a_straight_line_give_the_same_means_as_samples_every_minute() -> None:
    def line(every: int) -> list[tuple[int, float]]:
        return [(START + t, 20.0 + t / HOUR) for t in range(0, 10 * HOUR + 1, every)]

    often, rarely = stretches(fed(line(60))), stretches(fed(line(HOUR), every_s=HOUR))
    assert [s.ended for s in often] == [s.ended for s in rarely]
    assert [s.water_c for s in rarely] == pytest.approx([s.water_c for s in often])
    assert all(s.low_c == s.water_c == s.high_c for s in rarely)


def test_a_gap_is_filled_straight_with_margins_widest_in_its_middle() -> None:
    out = stretches(
        fed([(START, 24.0), (START + 60, 24.0), (START + 8 * HOUR, 20.0), (START + 8 * HOUR + 60, 20.0)])
    )
    gap = [s for s in out if s.high_c > s.low_c]
    assert sum(s.hours for s in gap) == pytest.approx(8.0 - 1 / 60)
    assert mean_c(gap) == pytest.approx(22.0)
    widths = [s.high_c - s.low_c for s in gap]
    assert max(widths) == pytest.approx(2.0 * math.sqrt(2.0), rel=0.05)  # 1 °C/√h, a bridge of 4 and 4 hours
    assert widths[0] < widths[3] > widths[-1]


def test_looking_ahead_over_silence_widens_and_leaves_the_timeline_as_it_was() -> None:
    timeline = Timeline(60)
    for i in range(30):
        timeline.feed_reading(START + 60 * i, "water_c", 22.0)
    first = timeline.copy().ahead(START + 12 * HOUR)
    assert timeline.copy().ahead(START + 12 * HOUR) == first
    widths = [s.high_c - s.low_c for s in stretches(first)]
    assert widths[-1] == pytest.approx(2.0 * math.sqrt(11.0), rel=0.1)
    assert widths == sorted(widths)


def test_deeds_before_any_reading_wait_for_it() -> None:
    timeline = Timeline(60)
    deed = Deed(START, "cup", "set", 0.5)
    assert timeline.feed_deed(deed) == []
    assert timeline.feed_reading(START + HOUR, "water_c", 23.0) == []
    out = timeline.feed_reading(START + HOUR + 60, "water_c", 23.0)
    assert deed in out
    assert (stretches(out)[0].water_c, stretches(out)[0].began) == (23.0, START)


def test_the_room_is_the_mean_of_what_was_measured_and_none_where_it_was_not() -> None:
    timeline = Timeline(60)
    out: list[Event] = []
    for i in range(61):
        out += timeline.feed_reading(START + 60 * i, "water_c", 24.0)
        out += timeline.feed_reading(START + 60 * i, "room_c", 20.0 + i / 60)
    some = stretches(out)
    assert some[0].room_c == pytest.approx(20.0 + 2.5 / 60)
    assert all(s.room_rh_pct is None for s in some)


def test_the_room_of_a_gap_in_the_water_is_kept() -> None:
    timeline = Timeline(60)
    out: list[Event] = []
    for i in range(0, 10 * 60 + 1, 5):
        at = START + 60 * i
        out += timeline.feed_reading(at, "room_c", 15.0 + i / 60)
        if i in (0, 600):
            out += timeline.feed_reading(at, "water_c", 20.0)
    out += timeline.copy().ahead(START + 10 * HOUR)
    assert [s.room_c for s in stretches(out)] == pytest.approx([15.5 + h for h in range(10)], abs=0.3)


@given(
    st.lists(st.tuples(st.integers(1, 4000), st.floats(0.0, 40.0), st.booleans()), min_size=2, max_size=40),
    st.data(),
)
def test_a_deed_fed_before_or_after_its_seconds_reading_gives_the_same(
    steps: list[tuple[int, float, bool]], data: st.DataObject
) -> None:
    one, other = Timeline(60), Timeline(60)
    out_one: list[Event] = []
    out_other: list[Event] = []
    at = START
    for gap, value, done in steps:
        at += gap
        deed = Deed(at, "cup", "stir")
        out_one += one.feed_reading(at, "water_c", value)
        if done:
            out_one += one.feed_deed(deed)
            out_other += other.feed_deed(deed)
        out_other += other.feed_reading(at, "water_c", value)
        if data.draw(st.booleans()):
            other.copy().ahead(at + 50)  # a question in between changes nothing
    assert out_one == out_other
    assert one.ahead(at + 100) == other.ahead(at + 100)
