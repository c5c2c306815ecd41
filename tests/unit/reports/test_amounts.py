"""Ranges and amounts in plain words: each says again what it was made from, and spoons only where right."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import amounts
from reports.records import Range

SORTED = st.lists(st.floats(-500.0, 500.0), min_size=3, max_size=3).map(lambda ends: Range(*sorted(ends)))
NUMBER = r"−?\d+(?:\.\d+)?"
LEVEL = re.compile(r"(\d+) mL (below|above)|at the mark|(\d+)(?! mL)")


def figure(text):
    return float(text.replace("−", "-"))


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (amounts.temperature_range(Range(17.5, 18.2, 19.0), "C"), "most likely 18.2 °C (17.5 to 19.0)"),
        (amounts.temperature_range(Range(18.21, 18.2, 18.19), "C"), "about 18.2 °C"),
        (amounts.temperature_range(Range(-2.0, -0.5, 0.04), "C"), "most likely −0.5 °C (−2.0 to 0.0)"),
        (amounts.percent_range(Range(0.4, 0.51, 0.62)), "most likely 51 % (40 to 62)"),
        (amounts.salinity_range(Range(26.1, 26.9, 28.0)), "most likely 26.9 g (26.1 to 28.0)"),
        (amounts.hours_range(Range(1.5, 2.5, 4.0)), "most likely 2.5 hours (1.5 to 4.0)"),
        (amounts.loss_range(Range(7.0, 16.0, 28.0)), "most likely 16 mL a day (7 to 28)"),
        (amounts.loss_range(Range(7.0, float("nan"), 28.0)), "not known"),
    ],
)
def test_a_range_says_what_is_likely_first_and_its_ends_after_it(said, words):
    assert said == words


@given(SORTED)
def test_a_range_says_the_numbers_it_was_made_from_in_their_order(believed):
    said = amounts.temperature_range(believed, "C")
    one = re.fullmatch(rf"about ({NUMBER}) °C", said)
    three = re.fullmatch(rf"most likely ({NUMBER}) °C \(({NUMBER}) to ({NUMBER})\)", said)
    assert one or three, said
    likely, low, high = map(figure, three.groups()) if three else [figure(one[1])] * 3
    assert low <= likely <= high
    for shown, meant in ((low, believed.p10), (likely, believed.p50), (high, believed.p90)):
        assert shown == pytest.approx(meant, abs=0.051)


@pytest.mark.parametrize(
    ("believed", "said"),
    [
        (Range(12, 20, 30), "most likely 20 mL below the mark (12 to 30)"),
        (Range(-14, -8, -2), "most likely 8 mL above the mark (2 to 14)"),
        (Range(-3, 1, 5), "most likely 1 mL below the mark (3 mL above to 5 mL below)"),
        (Range(-2, 0.3, 2), "most likely at the mark (2 mL above to 2 mL below)"),
        (Range(0.2, 0.4, 3), "most likely at the mark (at the mark to 3 mL below)"),
        (Range(23.9, 24.0, 24.1), "about 24 mL below the mark"),
        (Range(0.1, 0.2, 0.3), "at the mark"),
    ],
)
def test_a_level_is_said_from_the_mark(believed, said):
    assert amounts.level_range(believed) == said


def level_in(match, side):
    """How far below the mark a level in words stands, mL; `side` is that of one that names none."""
    if match[0] == "at the mark":
        return 0.0
    if match[3] is not None:
        return float(match[3]) if side == "below" else -float(match[3])
    return float(match[1]) if match[2] == "below" else -float(match[1])


@given(SORTED)
def test_a_level_says_where_the_water_stands_to_a_millilitre(believed):
    found = list(LEVEL.finditer(amounts.level_range(believed)))
    side = next((match[2] for match in found if match[2]), "below")
    levels = [level_in(match, side) for match in found]
    assert len(levels) in (1, 3)
    likely, low, high = levels * 3 if len(levels) == 1 else levels
    if side == "above" and len(levels) == 3 and found[1][3] is not None:
        low, high = high, low  # both above the mark: the nearer end is said first
    for shown, meant in ((low, believed.p10), (likely, believed.p50), (high, believed.p90)):
        assert shown == pytest.approx(meant, abs=1.01 if len(levels) == 1 else 0.51)


@pytest.mark.parametrize(
    ("amount_ml", "said"),
    [
        (5.0, "about 1 teaspoon"),
        (32.0, "about 6½ teaspoons"),
        (2.5, "about ½ teaspoon"),
        (0.5, "a few drops"),
        (250.0, "about 1 measuring cup"),
        (320.0, "about 1¼ measuring cups"),
        (78.0, None),  # 1.25 of a quarter cup
        (2.0, None),  # 0.8 of half a teaspoon
        (float("nan"), None),
        (-20.0, None),
    ],
)
def test_spoons_are_metric_and_said_only_where_they_are_right(amount_ml, said):
    """A teaspoon of 5 mL, a measuring cup of 250 mL: common practice, no source."""
    assert amounts.spoons(amount_ml) == said


@given(st.floats(1.25, 5000.0))
def test_spoons_and_cups_are_never_off_by_more_than_a_tenth(amount_ml):
    said = amounts.spoons(amount_ml)
    if said is None:
        assert amounts.volume_with_spoons(amount_ml) == amounts.volume(amount_ml)
        return
    found = re.fullmatch(r"about (\d*)([¼½¾]?) (teaspoon|measuring cup)(s?)", said)
    count = int(found[1] or 0) + {"": 0.0, "¼": 0.25, "½": 0.5, "¾": 0.75}[found[2]]
    measured_ml = count * {"teaspoon": 5.0, "measuring cup": 250.0}[found[3]]
    assert measured_ml == pytest.approx(amount_ml, rel=0.1 + 1e-9)
    assert (found[4] == "s") == (count > 1.0)


@given(st.floats(25.0, 75.0) | st.floats(700.0, 5000.0))
def test_what_is_near_enough_to_spoons_or_cups_is_said_in_them(amount_ml):
    """A quarter spoon is less than a tenth of 25 mL, an eighth of a cup less than a tenth of 700 mL."""
    assert amounts.spoons(amount_ml) is not None


@pytest.mark.parametrize(
    ("amount_g", "said"),
    [
        (0.0, "0 g"),
        (0.00027, "0.27 mg"),
        (0.0016, "1.6 mg"),
        (0.05, "0.05 g"),
        (6.25, "6.25 g"),
        (168.0, "168 g"),
    ],
)
def test_grams_have_no_more_figures_than_scales_show(amount_g, said):
    assert amounts.grams(amount_g) == said


@pytest.mark.parametrize(
    ("amount_ml", "said"), [(32.0, "32 mL"), (999.0, "999 mL"), (1000.0, "1 L"), (5600.0, "5.6 L")]
)
def test_from_a_litre_on_litres_are_said(amount_ml, said):
    assert amounts.litres(amount_ml) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (9949.0, "9900"),
        (9951.0, "10\u202f000"),
        (747_000.0, "750\u202f000"),
        (1_080_000.0, "1\u202f100\u202f000"),
    ],
)
def test_from_five_digits_on_they_stand_in_threes_and_have_no_exponent(value, said):
    """SI Brochure (9th edition), 5.4.4: a thin space, and neither dot nor comma [M]."""
    assert amounts.roughly(value) == said


@given(st.floats(1e-3, 1e9))
def test_two_figures_are_within_five_per_cent(value):
    said = amounts.roughly(value).replace("\u202f", "")
    assert float(said) == pytest.approx(value, rel=0.0501)
    assert len(said.replace(".", "").strip("0")) <= 2
