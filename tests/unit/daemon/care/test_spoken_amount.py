"""Amounts as people say them: decimal commas, shares, spoons, percent, and the unit the care log keeps."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import KINDS
from daemon.care.spoken_amount import amount_in_unit, decimal_point
from daemon.errors import InputError

CUP_ML = 250.0


def kept(deed: str, words: str, unit: str | None = None) -> tuple[str, str]:
    return amount_in_unit(deed, words, unit, CUP_ML)


def refused(deed: str, words: str, unit: str | None = None) -> str:
    with pytest.raises(InputError) as refusal:
        kept(deed, words, unit)
    (line,) = refusal.value.faults
    return line


@pytest.mark.parametrize(
    ("deed", "words", "amount", "unit"),
    [
        ("top-up", "18", "18", "ml"),
        ("top-up", "18,5", "18.5", "ml"),
        ("top-up", "18,5ml", "18.5", "ml"),
        ("top-up", "18.5 ml", "18.5", "ml"),
        ("top-up", "18.5 mL", "18.5", "ml"),
        ("top-up", "1 tsp", "5", "ml"),
        ("top-up", "1/2 tsp", "2.5", "ml"),
        ("top-up", "½ tsp", "2.5", "ml"),
        ("top-up", "½tsp", "2.5", "ml"),
        ("top-up", "1½ tsp", "7.5", "ml"),
        ("top-up", "1 1/2 teaspoons", "7.5", "ml"),
        ("top-up", "1.5 TL", "7.5", "ml"),
        ("brine", "2 tbsp", "30", "ml"),
        ("brine", "2 EL", "30", "ml"),
        ("remove", "0,1 l", "100", "ml"),
        ("harvest", "1.9 L", "1900", "ml"),
        ("harvest", "1900", "1900", "ml"),
        ("set", "50 mg", "0.05", "g"),
        ("set", "0,05", "0.05", "g"),
        ("set", "0,125 g", "0.125", "g"),
        ("set", "0.2 g/L", "0.05", "g"),  # of a cup of 250 mL
        ("hatched", "50%", "0.5", "fraction"),
        ("hatched", "50 %", "0.5", "fraction"),
        ("hatched", "7 percent", "0.07", "fraction"),
        ("hatched", "1/3", repr(1 / 3), "fraction"),
        ("hatched", "0", "0", "fraction"),
        ("count", "43", "43", "animals"),
        ("count", "43 animals", "43", "animals"),
        ("salinity", "26,5", "26.5", "g_per_kg"),
        ("salinity", "26.5 g/kg", "26.5", "g_per_kg"),
        ("salinity", "26.5‰", "26.5", "g_per_kg"),
        ("salinity", "1,019 sg", "1.019", "sg"),
        ("cover", "1", "1", ""),
    ],
)
def test_what_people_say_is_kept_in_the_unit_of_the_log(
    deed: str, words: str, amount: str, unit: str
) -> None:
    assert kept(deed, words) == (amount, unit)


def test_a_unit_may_be_given_apart() -> None:
    assert kept("top-up", "1/2", "tsp") == ("2.5", "ml")
    assert kept("salinity", "1.019", "sg") == ("1.019", "sg")
    assert refused("top-up", "1 tsp", "ml") == "unit: found 'tsp' and --unit 'ml'; allowed: one of them"


@pytest.mark.parametrize(
    ("deed", "words", "line"),
    [
        (
            "top-up",
            "18 g",
            "unit: found 'g'; allowed for top-up: a number, in ml, l, tsp (5 ml), tbsp (15 ml)",
        ),
        ("set", "1 tsp", "unit: found 'tsp'; allowed for set: a number, in g, mg, g/L"),
        ("top-up", "1 cup", "unit: found 'cup'; allowed for top-up: a number, in ml, l, tsp (5 ml)"),
        ("salinity", "26 g/L", "unit: found 'g/l'; allowed for salinity: a number, in g/kg, sg (a specific"),
        (
            "hatched",
            "half",
            "amount: found 'half'; allowed for hatched: a share such as 0.5, 1/2 or 50%",
        ),
        ("top-up", "1.2.3", "amount: found '1.2.3'; allowed for top-up: a number, in ml"),
        ("top-up", "1/0 tsp", "amount: found '1/0 tsp'; allowed"),
        ("top-up", "1e999", "amount: found '1e999'; allowed"),
        ("harvest", "1,900 ml", "amount: found '1,900 ml'; allowed: 1900 or 1.9, whichever is meant"),
    ],
)
def test_what_does_not_fit_is_refused_in_one_line_with_what_does(deed: str, words: str, line: str) -> None:
    assert refused(deed, words).startswith(line)


def test_what_a_deed_without_an_amount_is_given_is_for_the_log_to_refuse() -> None:
    assert kept("stir", "1 tsp") == ("1 tsp", "")


def test_a_decimal_comma_becomes_a_point_and_other_text_stays() -> None:
    assert [decimal_point(text) for text in ("25,5", "25.5", "a,b", "1,2,3")] == [
        "25.5",
        "25.5",
        "a,b",
        "1,2,3",
    ]


@given(
    st.fractions(0, 500, max_denominator=1000).filter(lambda f: 1000 % f.denominator == 0),
    st.sampled_from([("ml", 1), ("tsp", 5), ("tbsp", 15), ("l", 1000)]),
    st.sampled_from(["", " ", "  "]),
    st.booleans(),
)
def test_every_number_of_every_unit_comes_to_the_same_volume(
    number: Fraction, unit: tuple[str, int], blank: str, comma: bool
) -> None:
    text = f"{float(number):.4f}"  # four places: never taken for thousands
    words = f"{text.replace('.', ',') if comma else text}{blank}{unit[0]}"
    amount, kept_in = kept("top-up", words)
    assert (float(amount), kept_in) == (float(number * unit[1]), "ml")


@given(st.sampled_from(sorted(KINDS)), st.text(min_size=1, max_size=15))
def test_whatever_is_typed_is_an_amount_or_one_line(deed: str, words: str) -> None:
    try:
        amount, _ = kept(deed, words)
    except InputError as refusal:
        (line,) = refusal.faults
        assert "\n" not in line
    else:
        assert not KINDS[deed].amount or float(amount) == float(amount)
