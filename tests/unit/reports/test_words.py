"""Words for numbers, times and vessels."""

import re
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import amounts, times, words
from reports.records import Range, TimeRange
from tests.kit.report_samples import ZONE, any_of, local

NOW = local(15, 20)


@pytest.mark.parametrize(
    ("water_c", "said"),
    [(0.0, "32.0 °F"), (100.0, "212.0 °F"), (-40.0, "−40.0 °F"), (18.2, "64.8 °F")],
)
def test_fahrenheit_follows_the_definition_of_the_scale(water_c, said):
    """Fixed points of the two scales: by definition °F = 1.8 °C + 32."""
    assert amounts.temperature(water_c, "F") == said


@given(st.floats(-50, 150), st.sampled_from(["C", "F"]))
def test_a_said_temperature_is_the_given_one_to_a_tenth(water_c, unit):
    number = float(amounts.temperature(water_c, unit).split()[0].replace("−", "-"))
    back_c = number if unit == "C" else (number - 32) / 1.8
    assert back_c == pytest.approx(water_c, abs=0.051)


def test_a_number_close_to_zero_has_no_minus_sign():
    assert amounts.temperature(-0.04, "C") == "0.0 °C"


def test_a_range_names_its_ends_and_its_middle():
    assert (
        amounts.temperature_range(Range(17.5, 18.2, 19.0), "C")
        == "between 17.5 and 19.0 °C, most likely 18.2 °C"
    )
    assert amounts.temperature_range(Range(18.21, 18.2, 18.19), "C") == "about 18.2 °C"


def test_what_is_no_number_is_not_known():
    assert amounts.temperature(float("nan"), "C") == "not known"
    assert amounts.level_range(Range(0.0, float("nan"), 3.0)) == "not known"


@pytest.mark.parametrize(
    ("amount_ml", "said"),
    [
        (5.0, "about 1 teaspoon"),
        (32.0, "about 6½ teaspoons"),
        (2.5, "about ½ teaspoon"),
        (0.5, "a few drops"),
        (250.0, "about 1 measuring cup"),
        (320.0, "about 1¼ measuring cups"),
    ],
)
def test_spoons_are_metric(amount_ml, said):
    """A teaspoon of 5 mL, a measuring cup of 250 mL: common practice, no source."""
    assert amounts.spoons(amount_ml) == said


@given(st.floats(1.25, 75.0))
def test_the_spoons_said_hold_the_amount_to_a_quarter_spoon(amount_ml):
    said = re.fullmatch(r"about (\d*)(½?) teaspoons?", amounts.spoons(amount_ml))
    spoons = int(said[1] or 0) + (0.5 if said[2] else 0.0)
    # below half a spoon the smallest said is half a spoon
    assert abs(spoons * 5.0 - max(amount_ml, 2.5)) <= 1.2501


@pytest.mark.parametrize(
    ("believed", "said"),
    [
        (Range(12, 20, 30), "between 12 and 30 mL below the mark, most likely 20 mL"),
        (Range(-14, -8, -2), "between 2 and 14 mL above the mark, most likely 8 mL"),
        (
            Range(-3, 1, 5),
            "between 3 mL above the mark and 5 mL below the mark, most likely 1 mL below the mark",
        ),
        (Range(0.1, 0.2, 0.3), "at the mark"),
    ],
)
def test_a_level_is_said_from_the_mark(believed, said):
    assert amounts.level_range(believed) == said


def test_a_share_near_an_end_is_not_said_as_the_end():
    assert amounts.percent(0.996) == "more than 99 %"
    assert amounts.percent(0.004) == "less than 1 %"
    assert amounts.percent(1.0) == "100 %"
    assert amounts.percent_range(Range(0.0, 0.0, 0.004)) == "none, or less than 1 %"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "less than a minute"),
        (60, "1 hour"),
        (90, "1 hour 30 minutes"),
        (3 * 60, "3 hours"),
        (2 * 1440 + 4 * 60 + 5, "2 days 4 hours"),
    ],
)
def test_a_duration_has_two_steps_at_most(minutes, said):
    assert times.duration(timedelta(minutes=minutes)) == said


def test_the_hour_that_the_clocks_skip_is_not_counted():
    """Lisbon, 28 March 2027: at 01:00 the clocks go to 02:00 (IANA time zone data)."""
    began = datetime(2027, 3, 28, 0, 30, tzinfo=ZONE)
    ended = datetime(2027, 3, 28, 3, 30, tzinfo=ZONE)
    assert times.elapsed(began, ended) == timedelta(hours=2)


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (local(15, 14, 30), "today at 14:30"),
        (local(16, 7, 5), "tomorrow at 07:05"),
        (local(14, 23, 59), "yesterday at 23:59"),
        (local(23, 14, 30), "Saturday 23 January at 14:30"),
        (datetime(2028, 1, 1, 8, tzinfo=ZONE), "Saturday 1 January 2028 at 08:00"),
    ],
)
def test_a_moment_is_said_from_the_day_of_the_letter(at, said):
    assert times.moment(at, NOW) == said


def test_a_believed_moment_is_said_to_the_half_hour():
    at = TimeRange(local(16, 2, 12), local(16, 3, 20), local(16, 5, 50))
    assert times.moment_range(at, NOW) == "tomorrow between 02:00 and 06:00, most likely 03:30"


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (TimeRange(None, None, None), "later than can be told"),
        (TimeRange(local(16, 2), None, None), "not before tomorrow at 02:00; how much later cannot be told"),
        (
            TimeRange(local(15, 22), local(16, 2), None),
            "not before today at 22:00, most likely tomorrow at 02:00; it may be later than can be told",
        ),
        (
            TimeRange(local(15, 22), local(16, 2), local(16, 5)),
            "between today at 22:00 and tomorrow at 05:00, most likely tomorrow at 02:00",
        ),
    ],
)
def test_an_end_that_cannot_be_said_is_said_to_be_so(at, said):
    assert times.moment_range(at, NOW) == said


@given(any_of(str))
def test_cleaned_text_is_one_line_that_can_be_sent(text):
    said = words.clean(text)
    assert said == " ".join(said.split())
    assert said.encode("utf-8").decode("utf-8") == said
    assert not re.search(r"[\x00-\x1f\x7f\u202e\u2028]", said)


@given(any_of(str), st.integers(0, 80))
def test_shortened_text_keeps_its_limit(text, limit):
    assert len(words.shortened(text, limit)) <= limit


def test_a_tray_is_named_with_its_cups():
    assert words.vessel_name("tray-a", 24) == "tray-a (24 cups)"
    assert words.vessel_name("cone", 1) == "cone"


def test_what_was_cut_short_is_not_marked_twice() -> None:
    assert words.shortened("tray-of-a-long-n…", 17) == "tray-of-a-long-n…"
    assert words.shortened("tray-of-a-long-n… and more", 18) == "tray-of-a-long-n…"
