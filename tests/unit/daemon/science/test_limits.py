"""What a formula does with a value it is not known for."""

import math

import pytest

from daemon.science.valid_range import OutOfRange, within


def test_a_value_inside_its_range_comes_back_unchanged() -> None:
    assert within("level", 3.5, 0.0, 4.0, "cm") == 3.5


@pytest.mark.parametrize("edge", [0.0, 4.0])
def test_both_ends_of_a_range_are_allowed(edge: float) -> None:
    assert within("level", edge, 0.0, 4.0, "cm") == edge


@pytest.mark.parametrize("value", [-0.001, 4.001, math.nan, math.inf, -math.inf])
def test_a_value_outside_is_refused_with_the_limits_in_the_message(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"^level is .*; allowed is 0 to 4 cm$"):
        within("level", value, 0.0, 4.0, "cm")


def test_a_refusal_carries_its_facts() -> None:
    with pytest.raises(OutOfRange) as caught:
        within("share", 2.0, 0.0, 1.0)
    refused = caught.value
    assert (refused.what, refused.value, refused.low, refused.high) == ("share", 2.0, 0.0, 1.0)
    assert str(refused) == "share is 2; allowed is 0 to 1"
