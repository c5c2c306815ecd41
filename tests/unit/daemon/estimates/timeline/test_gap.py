"""A silence of the water probe, filled from what else was read."""

import math
import random
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.estimates.local_hour import PlainCalendar
from daemon.estimates.timeline.gap import OtherReadings, fill
from daemon.estimates.timeline.stretch import Series, Stretch
from daemon.estimates.timeline.timeline import Event, Timeline
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.science.cup_heat_balance import CUP_UA_W_PER_K, cup_c_after, heat_capacity_j_per_k

START = 1_800_000_000  # a whole hour
HOUR = 3600
HEAT = CupHeat(1.59, 0.0, 0.0, -1.0, 0.2)  # of `cup_c_after` with the coefficients below
HOURS = [(START + h * HOUR, START + (h + 1) * HOUR) for h in range(12)]


def series(values: list[float]) -> Series:
    """A sample an hour from the start on."""
    found = Series(7200)
    for hour, value in enumerate(values):
        found.add(START + hour * HOUR, value, thinned=False)
    return found


def seen(room: list[float] | None = None, neighbour: list[float] | None = None) -> OtherReadings:
    empty = Series(7200)
    return OtherReadings(series(room or []), series(neighbour or []), empty, PlainCalendar(), HEAT)


def cup(room_c: list[float], water_c: float) -> list[float]:
    """The water at every hour by the lumped balance of `science.warmth`, 0.18 W of evaporation."""
    found = [water_c]
    for air_c in room_c:
        capacity = heat_capacity_j_per_k(250.0)
        found.append(cup_c_after(1.0, found[-1], air_c, 0.0, CUP_UA_W_PER_K, capacity, 0.18))
    return found


def test_with_nothing_known_it_is_a_straight_line_with_margins_widest_in_the_middle() -> None:
    found = fill(HOURS, 24.0, 18.0, seen())
    assert [f.water_c for f in found] == pytest.approx([24.0 - 0.5 * (h + 0.5) for h in range(12)])
    assert max(f.margin_c for f in found) == pytest.approx(math.sqrt(3.0), rel=0.01)  # a bridge of 6 and 6 h
    assert found[0].margin_c < found[5].margin_c > found[-1].margin_c


def test_a_vessel_that_a_heater_holds_stays_where_it_is_held_in_a_colder_room() -> None:
    held = replace(seen([15.0] * 13), heat=replace(HEAT, held_c=27.0))
    assert [f.water_c for f in fill(HOURS, 27.0, None, held)] == pytest.approx([27.0] * 12)
    warmer = replace(seen([31.0] * 13), heat=replace(HEAT, held_c=27.0))
    assert fill(HOURS, 27.0, None, warmer)[-1].water_c > 29.0, "it cools nothing"


def test_a_measured_room_tells_how_the_cup_cooled_and_warmed_again() -> None:
    room = [15.0] * 6 + [21.0] * 6
    true = cup(room, 22.0)
    by_room, blind = fill(HOURS, 22.0, true[-1], seen([*room, 21.0])), fill(HOURS, 22.0, true[-1], seen())
    middles = [0.5 * (a + b) for a, b in pairwise(true)]
    missed = [
        max(abs(f.water_c - t) for f, t in zip(found, middles, strict=True)) for found in (by_room, blind)
    ]
    assert missed[0] < 1.2
    assert missed[1] > 4.0
    assert max(f.margin_c for f in by_room) < 0.7 * max(f.margin_c for f in blind)


def test_while_silence_lasts_the_cup_follows_the_room() -> None:
    room = [12.0] * 12
    found = fill(HOURS, 22.0, None, seen([*room, 12.0]))
    assert found[-1].water_c == pytest.approx(11.0, abs=0.2)
    assert max(f.margin_c for f in found) <= 2.5


def test_a_neighbour_tells_more_than_the_room() -> None:
    other = [20.0 + 3.0 * math.sin(h) for h in range(13)]
    found = fill(HOURS, 21.5, other[-1] + 1.0, seen([18.0] * 13, other))
    for hour, f in enumerate(found):
        # It began 1.5 K above its neighbour and ended 1 K above.
        between = 0.5 * (other[hour] + other[hour + 1]) + 1.5 - 0.5 * (hour + 0.5) / 12.0
        assert f.water_c == pytest.approx(between, abs=1e-6)
    by_room = fill(HOURS, 21.5, other[-1] + 1.0, seen([18.0] * 13))
    assert max(f.margin_c for f in found) < max(f.margin_c for f in by_room)


def test_a_room_that_was_not_read_either_says_nothing() -> None:
    lost = Series(7200)
    lost.add(START, 10.0, thinned=False)
    lost.add(START + 12 * HOUR, 10.0, thinned=False)
    empty = Series(7200)
    found = fill(HOURS, 22.0, 22.0, OtherReadings(lost, empty, empty, PlainCalendar(), HEAT))
    assert found[6].water_c == pytest.approx(22.0, abs=0.5)


def test_the_margins_hold_the_truth_about_four_times_in_five() -> None:
    """Walks of 1 °C/√h in °C of one tenth to either side: what a margin of nothing known stands for."""
    rng, held, asked = random.Random(7), 0, 0
    sd = 1.0 / 1.2816
    for _ in range(300):
        path = [20.0]
        for _ in range(24):
            path.append(path[-1] + rng.gauss(0.0, sd * math.sqrt(0.5)))
        found = fill(HOURS, path[0], path[-1], seen())
        for hour in (2, 6, 9):
            asked += 1
            held += abs(found[hour].water_c - path[2 * hour + 1]) <= found[hour].margin_c
    assert 0.76 <= held / asked <= 0.84


def test_a_neighbours_water_narrows_a_silence_in_the_timeline() -> None:
    def widest(neighbour: bool) -> float:
        timeline, out = Timeline(60), list[Event]()
        for minute in range(0, 12 * 60 + 1, 5):
            at = START + 60 * minute
            if neighbour:
                out += timeline.feed_reading(at, "neighbour_c", 20.0 + minute / 300.0)
            if minute in (0, 5, 715, 720):
                out += timeline.feed_reading(at, "water_c", 21.0 + minute / 300.0)
        return max(e.high_c - e.low_c for e in out if isinstance(e, Stretch))

    assert widest(True) < 0.5 * widest(False)


@given(
    st.lists(st.one_of(st.none(), st.floats(-20.0, 60.0)), min_size=13, max_size=13),
    st.lists(st.one_of(st.none(), st.floats(-5.0, 60.0)), min_size=13, max_size=13),
    st.floats(-5.0, 60.0),
    st.one_of(st.none(), st.floats(-5.0, 60.0)),
)
@settings(max_examples=60, deadline=None)
def test_whatever_else_was_read_the_water_is_finite_and_its_margin_bounded(
    room: list[float | None], neighbour: list[float | None], before_c: float, after_c: float | None
) -> None:
    beside = []
    for values in (room, neighbour):
        found = Series(7200)
        for hour, value in enumerate(values):
            if value is not None:
                found.add(START + hour * HOUR, value, thinned=False)
        beside.append(found)
    told = fill(HOURS, before_c, after_c, OtherReadings(*beside, Series(7200), PlainCalendar(), HEAT))
    assert len(told) == len(HOURS)
    for one in told:
        assert math.isfinite(one.water_c)
        assert 0.0 <= one.margin_c <= 6.0
