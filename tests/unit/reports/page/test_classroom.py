"""What children read is no more than is known."""

from hypothesis import given
from hypothesis import strategies as st

from reports.page.classroom import for_children
from reports.records import Range, RangePoint
from tests.kit.report_samples import at_hour, here, night, vessel


def said(stage: str, low: float, middle: float, seen: float | None) -> str:
    """Of a cup, as it stands for the class."""
    hatched = (RangePoint(at_hour(23.9), Range(low, middle, 0.92)),)
    record = night(vessels=(vessel("cup", count=1, stage=stage, hatched_fraction=hatched),))
    (cup,) = for_children(here(), record, {"cup": seen})
    return cup.sentence


def test_where_nobody_looked_and_none_may_be_out_nobody_is_told_that_they_are() -> None:
    assert said("hatching", 0.0, 0.2, None).startswith("The first ones may be out.")
    assert said("hatching", 0.0, 0.2, 0.0).startswith("The first ones may be out.")
    assert said("hatched", 0.0, 0.95, None).startswith("They may have hatched.")


def test_what_was_seen_or_is_sure_is_told() -> None:
    assert said("hatching", 0.0, 0.2, 0.01) == "The first ones are out! Look for tiny swimmers."
    assert said("hatching", 0.05, 0.2, None) == "The first ones are out! Look for tiny swimmers."
    assert said("hatching", 0.3, 0.5, None) == "About half are out and swim."
    assert said("hatching", 0.0, 0.8, 0.8) == "Nearly all are out and swim."
    assert said("hatched", 0.9, 0.97, None).startswith("They have hatched.")


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.one_of(st.none(), st.floats(0.0, 1.0)))
def test_that_some_are_out_is_said_only_where_it_was_seen_or_is_sure(
    low: float, middle: float, seen: float | None
) -> None:
    known = max(low, seen or 0.0) >= 0.01
    told = said("hatching", low, max(low, middle), seen)
    assert ("may be out" in told) != known
