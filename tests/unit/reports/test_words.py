"""Words for numbers, times and vessels."""

import re
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import amounts, times, words
from reports.records import Range
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


def test_what_is_no_number_is_not_known():
    assert amounts.temperature(float("nan"), "C") == "not known"
    assert amounts.level_range(Range(0.0, float("nan"), 3.0)) == "not known"


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


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    held = words.with_units_held("10 to 18 h at 27 °C, 5 g of cysts, 3 hours, 40 % of 2 good ones")
    assert held == "10 to 18\u00a0h at 27\u00a0°C, 5\u00a0g of cysts, 3 hours, 40\u00a0% of 2 good ones"
