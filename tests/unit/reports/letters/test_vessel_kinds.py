"""What a vessel is called where it is looked into or moved: never a cup of a jar or a cone."""

import re

import pytest

from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.hatch import hatch_letter
from reports.letters.hatch_late import late_hatch_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.swing import swing_letter
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import away, cold, hatch, here, hot

UNHATCHED = {"fill_ml": 0.0, "hatched_fraction": news.Range(0.0, 0.0, 0.01)}


def letters(setting, **vessel):
    """Every letter that asks somebody to look into a vessel, or to move it."""
    return {
        "hatch": hatch_letter(setting, [hatch(**vessel)]),
        "late": late_hatch_letter(setting, [news.late(**vessel)]),
        "return": return_letter(
            news.monday(setting), news.returned(news.returned_vessel(**UNHATCHED, **vessel))
        ),
        "cold": cold_letter(setting, [cold(**vessel)]),
        "cold to come": cold_ahead_letter(setting, [news.cold_ahead(**vessel)]),
        "hot": hot_letter(setting, [hot(has_lamp=False, **vessel)]),
        "hot to come": hot_ahead_letter(setting, [news.hot_ahead(**vessel)]),
        "swing": swing_letter(setting, [news.swing(**vessel)]),
    }


@pytest.mark.parametrize(
    ("kind", "count", "called"),
    [("cup", 24, "the cups"), ("cup", 1, "the cup"), ("jar", 1, "the jar"), ("cone", 1, "the cone")],
)
@pytest.mark.parametrize("setting", [here(), away()])
def test_a_vessel_is_called_what_it_is(setting, kind, count, called):
    for name, letter in letters(setting, vessel="v", vessel_kind=kind, count=count).items():
        said = flat(letter).partition("Do this: ")[2]
        if "look at the room's heating" not in said or "let " in said:
            assert called in said, name
        if kind != "cup":
            assert not re.search(r"\bcups?\b", flat(letter)), name
        elif count == 1:
            assert "cups" not in flat(letter), name


def test_several_jars_are_not_each_a_cup():
    jars = [news.salty(vessel=name, count=1, mark_ml=None) for name in ("a", "b")]
    assert "take about 31 % out of each vessel" in flat(salinity_letter(here(), jars))
    assert "take about 31 % out of each cup" in flat(salinity_letter(here(), [news.salty(mark_ml=None)] * 2))


def test_different_vessels_are_called_vessels():
    jar, tray = cold(vessel="j", vessel_kind="jar", count=1), cold()
    assert "move the vessels to a warmer place" in flat(cold_letter(here(), [jar, tray]))
    assert "move the vessels to a warmer place" in flat(cold_letter(here(), [jar, jar]))
    two = [hatch(vessel_kind="jar", count=1), hatch()]
    assert "look into each vessel" in flat(hatch_letter(here(), two))
