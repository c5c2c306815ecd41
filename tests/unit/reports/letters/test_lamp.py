"""What is said of a lamp's hours: those of the station file, and how much of them was dark."""

from datetime import time, timedelta

import pytest

from reports.letters.lamp import lamp_letter, lamp_stays_on_letter
from reports.letters.lamp_dark import lamp_was_dark_letter
from reports.letters.leave import leave_letter
from reports.records import LampHours
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import WEEKEND, away, here, lamp, outlook

HOURS = [
    ((LampHours(time(18), time(7)),), "18:00 to 07:00"),
    ((LampHours(time(7), time(19)),), "07:00 to 19:00"),
    ((LampHours(time(7), time(12)), LampHours(time(13), time(19))), "07:00 to 12:00 and 13:00 to 19:00"),
    ((LampHours(time(0), time(0)),), "00:00 to 24:00"),
    ((LampHours(time(18, 30), time(0)),), "18:30 to 24:00"),
]


@pytest.mark.parametrize(("hours", "said"), HOURS)
def test_lamp_hours_are_those_of_the_file_in_every_letter(hours, said):
    assert f"Lamp on: {said}." in flat(leave_letter(here(), WEEKEND, [outlook(lamp_hours=hours)]))
    for letter in (
        lamp_letter(here(), [lamp(lamp_hours=hours)]),
        lamp_stays_on_letter(here(), [news.lamp_stays_on(lamp_hours=hours)]),
        lamp_was_dark_letter(here(), [news.lamp_was_dark(lamp_hours=hours)]),
    ):
        assert f"Lamp hours: {said}." in flat(letter)


def test_how_long_a_lamp_was_dark_counts_its_hours_only():
    said = flat(lamp_letter(away(), [lamp(dark_for=timedelta(hours=4, minutes=10))]))
    assert "Dark in its hours since: today at 05:30, 4 hours 10 minutes in all." in said


HOURS_OF_A_CUP = "a cup is usually near the room's temperature in 4 to 6 hours"
CONE = {"vessel": "cone", "count": 1, "vessel_kind": "cone"}


@pytest.mark.parametrize("stage", ["set", "hatching", "hatched", "growing", "being harvested"])
def test_what_a_dark_lamp_does_to_the_warmth_is_said_of_the_vessel_it_is_over(stage):
    """How fast a cup cools: common practice, no source; more water under its surface cools more slowly."""
    for letter, dark in ((lamp_letter, lamp), (lamp_was_dark_letter, news.lamp_was_dark)):
        cup = flat(letter(here(), [dark(stage=stage)]))
        assert HOURS_OF_A_CUP in cup
        assert "heater" not in cup
        cone = flat(letter(here(), [dark(stage=stage, **CONE)]))
        assert "a larger vessel cools, more slowly than a cup" in cone
        heated = flat(letter(here(), [dark(stage=stage, **CONE, has_heater=True)]))
        assert "The heater holds the warmth; the lamp matters little now." in heated
        for said in (cone, heated):
            assert HOURS_OF_A_CUP not in said
        assert ("first hours in the water" in heated) == (stage in ("set", "hatching"))
        both = flat(letter(here(), [dark(stage=stage), dark(stage=stage, light=7.0, **CONE)]))
        assert "In tray-a (24 cups):" in both
        assert "In cone:" in both


def test_a_lamp_whose_hours_are_over_is_said_to_have_been_dark():
    letter = lamp_was_dark_letter(here(), [news.lamp_was_dark()])
    said = flat(letter)
    assert letter.subject == "Lamp was dark, 04:30 to 07:00, tray-a, Room 12"
    assert "Dark in its hours: today at 04:30 to today at 07:00." in said
    assert "and the lamp plugged in. Its hours begin again today at 18:00." in said
    assert "off" not in letter.subject


def test_a_lamp_that_is_off_is_said_to_be_off_and_how_a_covered_probe_looks():
    letter = lamp_letter(here(), [lamp()])
    assert letter.subject == "Lamp off: 4 lux, tray-a, Room 12"
    assert flat(letter).startswith("The lamp over tray-a (24 cups) is off: 4 lux. Do this: look whether")
    assert "A covered light probe looks the same from here." in flat(letter)
    assert "Counts as lit: from 200 lux." in flat(letter)


def test_of_a_lamp_that_stays_on_with_nobody_there_only_a_low_voltage_led_may():
    stays = lamp_stays_on_letter(away(), [news.lamp_stays_on()])
    assert "Leave no hot lamp on: only a low-voltage LED, and only if your rules allow it." in flat(stays)
    assert "low-voltage" not in flat(lamp_stays_on_letter(here(), [news.lamp_stays_on()]))
