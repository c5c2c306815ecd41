"""Series as paths: inside the panel, every gap and every extreme kept, time going on to the right."""

import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st

from reports.page.plot.lines import (
    band_paths,
    believed_pieces,
    line_path,
    measured_pieces,
    path,
    steps,
    straightened,
)
from reports.page.plot.scale import PlotScale
from reports.page.plot.span import COLUMNS, PlotSpan
from reports.records import Point

BEGAN = datetime(2027, 1, 15, 20, tzinfo=UTC)
DAY = PlotSpan(BEGAN, BEGAN + timedelta(days=1), BEGAN + timedelta(days=1), UTC, "C", (), now=False)
SCALE = PlotScale(10.0, 40.0, 140)
MINUTE = timedelta(minutes=1)

_STEP = re.compile(r"([MhvlzH])|(-?\d+)")
places = st.lists(st.tuples(st.integers(0, 20), st.integers(0, 140)), min_size=1, max_size=80).map(
    lambda found: sorted(found, key=lambda place: place[0])
)
warmth = st.lists(st.one_of(st.none(), st.floats(10.0, 40.0)), min_size=1, max_size=300)


def drawn(text: str) -> list[list[tuple[int, int]]]:
    """Where the pen of a relative path goes, a list a piece (SVG 1.1, 8.3)."""
    pieces: list[list[tuple[int, int]]] = []
    letter, numbers = "", list[int]()
    for name, number in _STEP.findall(text):
        if name:
            assert not numbers, text
            letter = name
            continue
        numbers.append(int(number))
        if len(numbers) < {"M": 2, "l": 2}.get(letter, 1):
            continue
        if letter == "M":
            pieces.append([(numbers[0], numbers[1])])
        else:
            x, y = pieces[-1][-1]
            step = {"h": (numbers[0], 0), "v": (0, numbers[0]), "l": tuple(numbers)}[letter]
            pieces[-1].append((x + step[0], y + step[1]))
        numbers = []
    return pieces


def read(values: list[float | None]) -> tuple[Point, ...]:
    return tuple(Point(BEGAN + n * MINUTE, value) for n, value in enumerate(values))


@given(places)
def test_a_path_ends_where_it_should_and_passes_both_ends_of_a_column(
    found: list[tuple[int, int]],
) -> None:
    (pen,) = drawn(path(found))
    assert (pen[0], pen[-1]) == (found[0], found[-1])
    for column, _ in found:
        ys = [y for x, y in found if x == column]
        for y in (min(ys), max(ys)):
            assert any(_is_on(column, y, *here, *there) for here, there in pairwise(pen))


def _is_on(x: int, y: int, x0: int, y0: int, x1: int, y1: int) -> bool:
    on_it = (x - x0) * (y1 - y0) == (y - y0) * (x1 - x0)
    return on_it and x0 <= x <= x1 and min(y0, y1) <= y <= max(y0, y1)


@given(warmth)
def test_a_line_stays_in_its_panel_goes_on_to_the_right_and_keeps_both_extremes(
    values: list[float | None],
) -> None:
    known = [value for value in values if value is not None]
    assume(known)
    pieces = drawn(line_path(measured_pieces(read(values), DAY), DAY, SCALE, lambda value: value))
    for pen in pieces:
        assert all(before[0] <= after[0] for before, after in pairwise(pen))
    heights = [y for pen in pieces for _, y in pen]
    assert (min(heights), max(heights)) == (SCALE.y_px(max(known)), SCALE.y_px(min(known)))
    assert 0 <= min(heights) <= max(heights) <= SCALE.height_px
    assert all(0 <= x <= COLUMNS for pen in pieces for x, _ in pen)


@given(warmth)
def test_a_none_always_breaks_a_line_and_nothing_else_does_where_every_minute_was_read(
    values: list[float | None],
) -> None:
    found = [[value for _, value in piece] for piece in measured_pieces(read(values), DAY)]
    expected: list[list[float]] = []
    for before, value in pairwise([None, *values]):
        if value is not None:
            expected = [*expected, []] if before is None else expected
            expected[-1].append(value)
    assert found == expected


def test_a_silence_breaks_a_line_without_a_none() -> None:
    minutes = [*range(60), *range(120, 180)]
    points = tuple(Point(BEGAN + n * MINUTE, 20.0) for n in minutes)
    assert [len(piece) for piece in measured_pieces(points, DAY)] == [60, 60]


def test_readings_that_a_store_thinned_to_one_an_hour_are_one_line() -> None:
    hourly = [Point(BEGAN + n * timedelta(hours=1), 20.0) for n in range(12)]
    by_the_minute = [Point(BEGAN + timedelta(hours=11) + n * MINUTE, 20.0) for n in range(1, 300)]
    assert len(measured_pieces((*hourly, *by_the_minute), DAY)) == 1


def test_what_lies_outside_the_span_is_not_drawn() -> None:
    points = tuple(Point(BEGAN + timedelta(hours=n), 20.0) for n in (-2, -1, 25, 26))
    assert measured_pieces(points, DAY) == []


def test_a_lone_reading_is_a_dot() -> None:
    assert path([(300, 70)]) == "M300 70h0"
    assert path([]) == ""


@given(places)
def test_fewer_places_pass_all_others_within_a_pixel(found: list[tuple[int, int]]) -> None:
    rising = [place for n, place in enumerate(found) if n == 0 or place[0] > found[n - 1][0]]
    kept = straightened(rising)
    assert set(kept) <= set(rising)
    assert (kept[0], kept[-1]) == (rising[0], rising[-1])
    for (x0, y0), (x1, y1) in pairwise(kept):
        for x, y in rising:
            if x0 < x < x1:
                assert abs(y0 + (y1 - y0) * (x - x0) / (x1 - x0) - y) <= 1.0 + 1e-9


spread = st.tuples(st.floats(12.0, 38.0), st.floats(0.0, 6.0), st.floats(0.0, 6.0))


@given(st.lists(spread, min_size=1, max_size=25))
def test_the_middle_of_a_band_never_leaves_it(found: list[tuple[float, float, float]]) -> None:
    series = [
        (BEGAN + n * timedelta(hours=1), mid - below, mid, mid + above)
        for n, (mid, below, above) in enumerate(found)
    ]
    area, middle = band_paths(believed_pieces(series[:25], DAY), DAY, SCALE, lambda value: value)
    (edge,), (line,) = drawn(area.replace("z", "")), drawn(middle)
    turn = max(n for n, place in enumerate(edge) if place[0] == max(x for x, _ in edge))
    for x, y in line:
        top, foot = _at(edge[: turn + 1], x, min), _at(edge[turn:], x, max)
        assert top - 1 <= y <= foot + 1, "each of the three lines passes its values within a pixel"


def _at(edge, x, end):
    """The highest or lowest place of an edge over a column."""
    found = [
        y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        for (x0, y0), (x1, y1) in pairwise(edge)
        if x0 != x1 and min(x0, x1) <= x <= max(x0, x1)
    ]
    return end(found or [y for _, y in edge])


def test_a_band_is_as_wide_as_the_widest_of_its_column() -> None:
    series = [
        (BEGAN + n * timedelta(seconds=10), 20.0, 21.0, 22.0 if n != 100 else 39.0) for n in range(24 * 360)
    ]
    area, _ = band_paths(believed_pieces(series, DAY), DAY, SCALE, lambda value: value)
    assert min(y for _, y in drawn(area.replace("z", ""))[0]) == SCALE.y_px(39.0)


def test_a_band_is_cut_where_nothing_was_calculated() -> None:
    hours = [*range(6), *range(12, 20)]
    series = [(BEGAN + n * timedelta(hours=1), 20.0, 21.0, 22.0) for n in hours]
    area, middle = band_paths(believed_pieces(series, DAY), DAY, SCALE, lambda value: value)
    assert (area.count("M"), middle.count("M")) == (2, 2)


def test_steps_that_go_on_in_a_line_are_one() -> None:
    assert steps([(0, 5), (1, 5), (3, 5), (3, 9), (4, 8), (5, 7), (6, 9)]) == "h3v4l2-2 1 2"
