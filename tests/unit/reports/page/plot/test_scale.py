"""A panel's scale: inside the panel, in order, with round values beside it; words where they meet least."""

import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from reports.page.plot.field import limit
from reports.page.plot.scale import PlotScale, round_values
from reports.page.plot.span import COLUMNS

values = st.floats(-1e4, 1e5, allow_nan=False)


@given(st.lists(values, min_size=2, max_size=9), st.booleans())
def test_what_is_more_never_stands_lower_and_nothing_leaves_the_panel(read: list[float], bends: bool) -> None:
    scale = PlotScale(min(read), max(read), 100, bends=bends)
    heights = [scale.y_px(value) for value in sorted(read)]
    assert heights == sorted(heights, reverse=True)
    assert all(0 <= y <= 100 for y in heights)


def test_where_it_bends_each_step_is_ten_times_as_much() -> None:
    scale = PlotScale(0.0, 100_000.0, 1000, bends=True)
    decades = [scale.y_px(10.0**power) for power in (2, 3, 4, 5)]
    steps = [before - after for before, after in pairwise(decades)]
    assert max(steps) - min(steps) <= 0.06 * max(steps), "log10(1 + x/10) from a hundred on"


@given(st.floats(-1e4, 1e4), st.floats(0.01, 1e4), st.integers(2, 8))
def test_round_values_are_few_inside_and_evenly_apart(low: float, wide: float, most: int) -> None:
    named = round_values(low, low + wide, most)
    assert len(named) <= most
    assert all(low - 1e-9 * wide <= value <= low + wide * (1 + 1e-9) for value in named)
    digits = {f"{abs(after - before):.1e}"[0] for before, after in pairwise(named)}
    assert digits <= {"1", "2", "5"}


def test_round_values_of_a_usual_day() -> None:
    assert round_values(16.7, 32.1, 6) == [20.0, 25.0, 30.0]
    assert round_values(-46.0, 5.0, 4) == [-40.0, -20.0, 0.0]
    assert round_values(5.0, 5.0, 4) == []


def place_of(html: str) -> tuple[str, int]:
    found = re.search(r'<text x="([\d.]+%)" y="(\d+)"', html)
    assert found
    return found[1], int(found[2])


def test_a_limits_words_stand_where_nothing_is_drawn() -> None:
    whole = range(COLUMNS)
    assert place_of(limit(70, "cold below 18.0", "cold", 140, [])) == ("1%", 66)
    above = [(column, 62) for column in whole]
    assert place_of(limit(70, "cold below 18.0", "cold", 140, above)) == ("1%", 83)
    left = [(column, y) for column in whole if column < 400 for y in (62, 78)]
    assert place_of(limit(70, "cold below", "cold", 140, left)) == ("99%", 66)
    assert place_of(limit(2, "hot above 30.0", "hot", 140, [])) == ("1%", 15), "not above the panel"
