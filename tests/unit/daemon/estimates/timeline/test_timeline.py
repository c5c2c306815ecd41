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


# To the second ---


def silence(seconds: int, every_s: int = 60) -> list[Stretch]:
    """20 °C, then nothing for so long, then 22 °C."""
    timeline = Timeline(every_s)
    timeline.feed_reading(START, "water_c", 20.0)
    timeline.feed_reading(START + seconds, "water_c", 22.0)
    return stretches(timeline.feed_reading(START + seconds + 1, "room_c", 20.0))


# "Over more than half an hour without readings it is taken from what else was read"; a station that reads
# more rarely is silent when three readings did not come.
@pytest.mark.parametrize(("every_s", "gap_s"), [(60, 1800), (600, 1800), (900, 2700), (3600, 3 * 3600)])
def test_a_silence_is_a_gap_after_half_an_hour_or_three_readings(every_s: int, gap_s: int) -> None:
    assert all(s.low_c == s.high_c for s in silence(gap_s, every_s))
    assert all(s.low_c < s.high_c for s in silence(gap_s + 1, every_s))


def test_a_gap_ends_its_stretches_at_whole_hours_and_is_straight_where_nothing_is_known() -> None:
    told = silence(3 * HOUR)
    edges = [s.began for s in told] + [told[-1].ended]
    assert edges == [START, *range(START // HOUR * HOUR + HOUR, START + 3 * HOUR, HOUR), START + 3 * HOUR]
    for s in told:
        middle = (s.began + s.ended) / 2 - START
        assert s.water_c == pytest.approx(20.0 + 2.0 * middle / (3 * HOUR), abs=0.05)


def test_looking_ahead_takes_the_last_water_for_half_an_hour_and_then_is_less_and_less_sure() -> None:
    timeline = Timeline(60)
    timeline.feed_reading(START, "water_c", 20.0)
    timeline.feed_reading(START + 60, "water_c", 21.0)
    near = stretches(timeline.copy().ahead(START + 60 + 1800))
    assert near[-1].ended == START + 60 + 1800
    assert near[-1].low_c == near[-1].high_c == 21.0
    far = stretches(timeline.copy().ahead(START + 60 + 1801))
    assert far[-1].low_c < 21.0 < far[-1].high_c
    assert timeline.now == START + 60
    assert timeline.last_water_c == 21.0


# Before any reading: a heated room, wide [P]; before the first one, about what it is found to be, less surely
# by the root of the hours and by 6 °C at most.
def test_before_a_first_reading_the_water_was_about_what_it_is_found_to_be() -> None:
    timeline = Timeline(60)
    timeline.feed_deed(Deed(START, "cup", "set"))
    [first, *_] = stretches(timeline.copy().ahead(START + HOUR))
    assert (first.water_c, first.low_c, first.high_c) == (22.0, 18.0, 26.0)
    timeline.feed_reading(START + 50 * HOUR, "water_c", 19.0)
    told = stretches(timeline.feed_reading(START + 50 * HOUR + 60, "water_c", 19.0))
    assert {s.water_c for s in told} == {19.0}
    for s in told[:: len(told) // 5]:
        hours = (START + 50 * HOUR - (s.began + s.ended) / 2) / HOUR
        assert s.high_c - s.water_c == pytest.approx(min(6.0, hours**0.5))
        assert s.water_c - s.low_c == pytest.approx(min(6.0, hours**0.5))


def test_a_rooms_air_is_as_last_seen_for_two_hours() -> None:
    for held_s, known in ((7200, True), (7201, False)):
        timeline = Timeline(60)
        timeline.feed_reading(START - held_s - 30, "room_c", 17.0)
        timeline.feed_reading(START - held_s - 30, "room_rh_pct", 40.0)
        timeline.feed_reading(START - 60, "water_c", 20.0)
        timeline.feed_reading(START, "water_c", 20.0)
        [last] = stretches(timeline.ahead(START))
        assert last.room_c == (17.0 if known else None)
        assert last.room_rh_pct == (40.0 if known else None)


def test_lux_tells_more_than_a_share_of_light_and_both_are_told_with_the_water() -> None:
    timeline = Timeline(60)
    for at in (START, START + 60):
        timeline.feed_reading(at, "light_fraction", 0.2)
        timeline.feed_reading(at, "light_lux", 3.0)
        timeline.feed_reading(at, "water_c", 20.0)
    [last] = stretches(timeline.ahead(START + 60))
    assert last.light == 3.0


def test_a_deed_of_the_future_waits_and_time_before_it_is_told_first() -> None:
    timeline = Timeline(60)
    timeline.feed_reading(START, "water_c", 20.0)
    deed = Deed(START + 30, "cup", "stir")
    assert timeline.feed_deed(deed) == []
    assert timeline.deeds_wait
    out = timeline.feed_reading(START + 60, "water_c", 20.0) + timeline.feed_reading(
        START + 61, "room_c", 1.0
    )
    assert [type(event) for event in out] == [Stretch, Deed]
    assert stretches(out)[0].ended == START + 30
    assert not timeline.deeds_wait


def test_while_the_water_is_read_every_sample_of_the_room_counts() -> None:
    timeline = Timeline(60)
    timeline.feed_reading(START, "water_c", 20.0)
    for after, room_c in ((0, 20.0), (300, 20.0), (600, 26.0), (900, 20.0)):
        timeline.feed_reading(START + after, "room_c", room_c)
    timeline.feed_reading(START + 1500, "water_c", 20.0)
    told = {s.began - START: s.room_c for s in stretches(timeline.ahead(START + 1500))}
    assert told[300] == told[600] == 23.0


@pytest.mark.parametrize("read", [True, False])
def test_of_the_silence_after_a_deed_of_years_ago_only_the_end_is_guessed_hour_by_hour(read: bool) -> None:
    old = Deed(START - 10 * 365 * 24 * HOUR, "cup", "set", 0.05)
    timeline = Timeline(60)
    out = timeline.feed_deed(old)
    for at in (START, START + 60):
        out += timeline.feed_reading(at, "water_c" if read else "room_c", 20.0)
    out += timeline.copy().ahead(START + 60)
    found = stretches(out)
    assert old in out
    assert len(found) <= 90 * 24 + 3
    assert all(a.ended == b.began for a, b in pairwise(found))
    assert abs(found[0].began - (START - 90 * 24 * HOUR)) <= 60
    assert found[-1].ended == START + 60


def test_between_deeds_of_long_ago_time_is_covered_without_holes() -> None:
    """Only of the first silence the beginning is left out: what is done later needs the time before it."""
    days = (400, 200, 100, 0)
    deeds = tuple(Deed(START - day * 24 * HOUR, "cup", "stir") for day in days)
    out = fed([(START, 20.0), (START + 60, 20.0)], deeds=deeds)
    found = stretches(out)
    assert found[0].began == START - (200 + 90) * 24 * HOUR
    assert all(a.ended == b.began for a, b in pairwise(found))
    assert [event.at for event in out if isinstance(event, Deed)] == [deed.at for deed in deeds]
