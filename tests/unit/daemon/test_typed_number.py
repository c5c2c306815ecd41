"""Numbers as people type and paste them."""

from contextlib import suppress
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.input.typed_number import NotTyped, celsius, converted_number, typed_number


@pytest.mark.parametrize(
    ("text", "units", "number"),
    [
        ("200", (), 200.0),
        ("0,5", (), 0.5),
        (".5", (), 0.5),
        ("0,025", (), 0.025),
        ("200 mL", ("mL",), 200.0),
        ("200ML", ("mL",), 200.0),
        (" 22 °C ", ("°C", "C"), 22.0),
        ("76%", ("%",), 76.0),
        ("30 g/l", ("g/L",), 30.0),
        ("-1", (), -1.0),
        ("1.500", (), 1.5),
    ],
)
def test_a_number_may_have_its_unit_behind_it(text: str, units: tuple[str, ...], number: float) -> None:
    assert typed_number(text, units) == number


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "number"),
        ("many", "number"),
        ("nan", "number"),
        ("1 500", "number"),
        ("1,2,3", "number"),
        ("22 °F", "unit"),
        ("2 L", "unit"),
        ("1,500", "either"),
        ("12,500 mL", "either"),
    ],
)
def test_what_is_none_says_why(text: str, why: str) -> None:
    with pytest.raises(NotTyped) as told:
        typed_number(text, ("mL", "°C"))
    assert told.value.why == why


def test_where_the_decimal_mark_is_a_comma_a_point_before_three_figures_is_doubtful() -> None:
    with pytest.raises(NotTyped) as told:
        typed_number("1.500", decimal_mark=",")
    assert told.value.meant == ("1500", "1.5")
    assert typed_number("1.50", decimal_mark=",") == 1.5
    assert typed_number("0.500", decimal_mark=",") == 0.5


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_number_or_is_refused(text: str) -> None:
    with suppress(NotTyped):
        assert isfinite(typed_number(text, ("mL",)))


@pytest.mark.parametrize(
    ("text", "water_c"), [("75F", 23.889), ("75 °F", 23.889), ("21,5", 21.5), ("22 °C", 22.0), ("22", 22.0)]
)
def test_water_may_be_typed_in_fahrenheit(text: str, water_c: float) -> None:
    """32 °F is 0 °C and 212 °F 100 °C, by definition; so 75 °F is 23.889 °C."""
    assert converted_number(text, ("°C", "C"), {"°F": celsius}) == pytest.approx(water_c, abs=0.001)


def test_a_unit_that_nobody_converts_is_none() -> None:
    with pytest.raises(NotTyped):
        converted_number("75 K", ("°C", "C"), {"°F": celsius})
