"""What cold, heat, an outage and a swing mean at each stage of a vessel, and what is never said of one."""

import re

import pytest

from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.lamp import lamp_letter
from reports.letters.lamp_dark import lamp_was_dark_letter
from reports.letters.leave import leave_letter
from reports.letters.nightly import nightly_letter
from reports.letters.outage import outage_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.stages import STAGES
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import Range
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import WEEKEND, away, cold, here, hot, lamp, night, outlook, vessel, water

HATCHES = ("set", "hatching")
ANIMALS = ("hatching", "hatched", "growing", "being harvested")
FREEZING = {"extreme_c": 3.0}
COLD_AWAY = {"water_c_min_away": Range(10.0, 12.0, 14.0), "water_c_max_away": Range(31.0, 34.0, 36.0)}


def every(stage):
    """Each of these letters about one vessel at the stage."""
    return {
        "cold": cold_letter(here(), [cold(stage=stage, **FREEZING)]),
        "cold to come": cold_ahead_letter(here(), [news.cold_ahead(stage=stage)]),
        "hot": hot_letter(here(), [hot(stage=stage)]),
        "hot to come": hot_ahead_letter(here(), [news.hot_ahead(stage=stage)]),
        "swing": swing_letter(here(), [news.swing(stage=stage)]),
        "lamp": lamp_letter(here(), [lamp(stage=stage)]),
        "lamp was dark": lamp_was_dark_letter(here(), [news.lamp_was_dark(stage=stage)]),
        "water": water_letter(here(), [water(stage=stage)]),
        "salty": salinity_letter(here(), [news.salty(stage=stage)]),
        "left salty": salinity_letter(here(), [news.salty(stage=stage, fill_ml=30.0)]),
        "fresh": salinity_letter(here(), [news.fresh(stage=stage)]),
        "outage": outage_letter(here(), news.outage(news.off_vessel(stage=stage))),
        "leave": leave_letter(here(), WEEKEND, [outlook(stage=stage, **COLD_AWAY)]),
    }


# What salt does to a hatch is told there only where the letter has room for it.
EXPLAINS_WITH_ROOM = ("salty", "left salty", "fresh")


@pytest.mark.parametrize("stage", STAGES)
def test_a_hatch_is_slowed_stopped_or_late_only_where_one_goes_on(stage):
    about_a_hatch = re.compile(
        "slows the hatch|slows what is still|stop developing|hatch stands still|how fast a hatch goes"
        "|Hatch later by|hatch goes faster|the hatch comes later|Half hatched|Hatched so far"
        "|and hatches later|eggs .cysts. hatch later|still hatch in"
    )
    for name, letter in every(stage).items():
        said = flat(letter)
        if name == "leave":  # it has its figures of every batch
            said = said.replace("Half hatched: ", "")
        found = bool(about_a_hatch.search(said))
        assert found == (stage in HATCHES) or (name in EXPLAINS_WITH_ROOM and not found), name


@pytest.mark.parametrize("stage", STAGES)
def test_animals_are_spoken_of_only_where_there_are_some(stage):
    """20 to 25 °C over 13 strains: Vanhaecke, Siddall & Sorgeloos 1984 [R, abstract]."""
    letters = every(stage)
    for name in ("cold", "cold to come", "swing"):
        said = "Swimming animals live best at 20 to 25 °C" in flat(letters[name])
        assert said == (stage in ANIMALS), name
    assert ("holds less oxygen" in flat(letters["hot"])) == (stage in ANIMALS)
    assert "animals have less room" not in flat(letters["water"]) or stage in ANIMALS


@pytest.mark.parametrize("stage", STAGES)
def test_a_batch_is_said_to_go_on_and_cups_to_be_moved_only_where_something_lives(stage):
    letters = every(stage)
    alive = stage in {*HATCHES, *ANIMALS}
    assert ("What lives in the water went on" in flat(letters["outage"])) == alive
    assert ("Do this: move the jar" in flat(letters["swing"])) == alive
    none = not alive and stage != "harvested"
    for name in ("lamp", "lamp was dark"):
        assert ("nothing here misses the lamp" in flat(letters[name])) == none, name
    assert ("Do this: nothing now. Before eggs (cysts) are set here" in flat(letters["swing"])) == none
    assert ("Nothing is known to live here" in flat(letters["swing"])) == none


@pytest.mark.parametrize("stage", STAGES)
def test_of_what_a_harvest_left_nobody_says_that_nothing_lives_or_is_harmed(stage):
    letters = every(stage)
    for name in ("cold", "cold to come", "hot", "hot to come", "swing", "lamp", "lamp was dark"):
        said = "Most of the water was drawn off; what still swims in the rest is not known."
        line = r"- If the batch is over: naupliad care add \S+ end"
        assert (said in flat(letters[name])) == (stage == "harvested"), name
        assert bool(re.search(line, flat(letters[name]))) == (stage == "harvested"), name
    assert ("Nothing here is harmed by the cold" in flat(letters["cold"])) == (stage == "ended")
    assert ("Do this: if the batch goes on, move the jar" in flat(letters["swing"])) == (stage == "harvested")


@pytest.mark.parametrize("stage", STAGES)
def test_who_drew_animals_off_is_told_of_no_hatch_to_come(stage):
    """They saw them; what was drawn off early hatches no more in the vessel."""
    half = {"hatched_fraction": Range(0.2, 0.5, 0.7), "stage": stage}
    back = flat(return_letter(here(), news.returned(news.returned_vessel(**half, fill_ml=0.0))))
    before = flat(leave_letter(here(), WEEKEND, [outlook(**half)]))
    by_night = flat(nightly_letter(here(), night(vessel(stage=stage)), with_chart=False))
    drawn = stage in ("being harvested", "harvested")
    assert ("look for swimmers" in back) != drawn
    for said in (back, before, by_night):
        assert "Half hatched:" not in said or not drawn
    assert ("Half hatched:" in before) != drawn
    for said in (back, before, by_night):
        assert bool(re.search("Hatched[^.]*, of those that will:", said)) == (stage != "harvested")


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        (
            "nothing set",
            "No batch is in the care log here. If eggs (cysts) were set all the same, cold slows",
        ),
        ("set", "Cold slows the hatch, so it comes later;"),
        ("hatching", "Cold slows what is still to hatch"),
        ("hatched", "The hatch is all but over: what cold slows now is the animals"),
        ("growing", "In one study animals took 30 days at 18 °C to grow up, and 15 at 30 °C."),
        ("being harvested", "Cold slows the animals still in the vessel"),
        ("harvested", "Most of the water was drawn off; what still swims in the rest is not known."),
        ("ended", "The batch here is over, so cold harms nothing"),
    ],
)
def test_what_cold_means_is_said_for_the_stage_they_are_in(stage, said):
    """Days to grow up: Tuz Lake study, abstract [R]."""
    assert said in flat(cold_letter(away(), [cold(stage=stage)]))
    assert said in flat(cold_ahead_letter(here(), [news.cold_ahead(stage=stage)]))


def test_vessels_at_different_stages_are_told_apart_by_name():
    said = flat(cold_letter(here(), [cold(stage="set"), cold(vessel="jar", count=1, stage="growing")]))
    assert "In tray-a (24 cups): Cold slows the hatch" in said
    assert "In jar: Cold slows growth. Feed more rarely" in said


def test_an_empty_cup_beside_others_does_not_take_away_what_helps_those() -> None:
    empty, full = cold(vessel="a", stage="nothing set"), cold(vessel="b", stage="growing")
    assert "to a warmer place" in flat(cold_letter(here(), [empty, full]))
    alone = flat(cold_letter(here(), [empty]))
    assert "look at the room's heating, if it should be warm." in alone
    assert "harmed" not in alone
