"""Heights for millilitres: the less water the lower, the same everywhere between brim and low mark."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.page.picture.level import scale_of
from tests.kit.vessel_pictures import of_kind, pictures

HEIGHTS = (76.0, 100.0, 202.0, 288.0)


@given(pictures(), st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))
def test_the_less_water_the_lower_it_is_drawn(picture, one: float, other: float) -> None:
    scale = scale_of(picture, *HEIGHTS)
    fuller, emptier = sorted((one, other))
    assert HEIGHTS[0] <= scale.y(fuller) <= scale.y(emptier) <= HEIGHTS[-1]


@given(pictures(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_between_brim_and_low_mark_a_millilitre_is_as_high_everywhere(picture, a: float, b: float) -> None:
    scale = scale_of(picture, *HEIGHTS)
    whole_ml = scale.low_ml + scale.brim_ml
    step = (scale.y(-scale.brim_ml + b * whole_ml) - scale.y(-scale.brim_ml + a * whole_ml)) / (202.0 - 100.0)
    assert step == pytest.approx(b - a, abs=1e-6)


@pytest.mark.parametrize(("kind", "line_ml", "count"), [("cup", 10, 8), ("jar", 20, 11), ("cone", 50, 9)])
def test_lines_on_the_glass_are_a_round_number_of_millilitres_apart(
    kind: str, line_ml: int, count: int
) -> None:
    scale = scale_of(of_kind(kind), *HEIGHTS)
    assert scale.line_ml == line_ml
    assert len(scale.lines()) == count
    assert 0 in scale.lines()


@given(pictures())
def test_there_are_lines_enough_to_count_by_and_no_more_than_can_be_told_apart(picture) -> None:
    scale = scale_of(picture, *HEIGHTS)
    assert 3 <= len(scale.lines()) <= 14
    heights = [scale.y(loss) for loss in scale.lines()]
    assert heights == sorted(heights)
    assert all(100.0 - 1e-3 <= y <= 202.0 + 1e-3 for y in heights)


def test_the_glass_is_drawn_broken_only_where_the_scale_changes() -> None:
    assert scale_of(of_kind("cone"), *HEIGHTS).is_broken
    even = scale_of(of_kind("cup", low_ml=60.0, brim_ml=42.0, loss_ml=None), 76.0, 100.0, 202.0, 392.0)
    assert not even.is_broken
