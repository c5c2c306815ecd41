"""What somebody typed, as the station file has it."""

import pytest

from daemon.page.setting_up import typed


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("250", 250.0),
        (" 38,5 ", 38.5),
        ("38.5", 38.5),
        ("", None),
        ("a lot", "a lot"),
        ("1,250", "1,250"),  # thousands or a decimal? the check asks
        ("nan", "nan"),
        ("1e400", "1e400"),
    ],
)
def test_a_number_is_one_and_what_is_none_stays_as_it_was_typed(text: str, value: object) -> None:
    assert typed.number(text) == value


@pytest.mark.parametrize(("text", "value"), [("24", 24), ("24.0", 24), ("2.5", 2.5), ("x", "x"), ("", None)])
def test_a_whole_number_is_whole(text: str, value: object) -> None:
    found = typed.whole(text)
    assert (found, type(found)) == (value, type(value))


def test_a_list_is_parted_by_lines_commas_or_semicolons() -> None:
    assert typed.lines("a@b.example, c@d.example;e@f.example\n\n g@h.example ") == [
        *("a@b.example", "c@d.example", "e@f.example", "g@h.example")
    ]


def test_a_round_vessels_surface_is_that_of_the_set_up_page() -> None:
    # docs/how-to/set-up.md: width times itself times 0.785; a cup 7 cm wide has 38.5 cm².
    assert typed.round_surface_cm2(7.0) == 38.5


@pytest.mark.parametrize("value_c", [15.0, 20.0, 26.5])
def test_a_temperature_goes_through_fahrenheit_and_stays(value_c: float) -> None:
    shown = typed.in_unit(value_c, "F")
    assert typed.celsius(typed.number(typed.shown(shown)), "F") == pytest.approx(value_c, abs=0.03)
    assert typed.in_unit(value_c, "C") == value_c
    assert typed.celsius("warm", "F") == "warm"


def test_a_value_is_shown_as_it_is_typed() -> None:
    shown = [typed.shown(value) for value in (None, 250.0, 24, True, False, ["a", "b"], "x")]
    assert shown == ["", "250", "24", "yes", "", "a\nb", "x"]
