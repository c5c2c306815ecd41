"""What a picture shows, in words."""

from dataclasses import replace

import pytest

from reports.language import spoken
from reports.page.picture import words
from reports.page.picture.stage_steps import stage_steps
from reports.page.picture.vessel_picture import ProbePlace
from reports.records import Range
from reports.vessel_line import STAGES
from tests.kit.vessel_pictures import HATCHING


def test_a_title_says_all_that_is_drawn() -> None:
    picture = replace(HATCHING, count=24, covered=True, probe=ProbePlace.AIR)
    assert words.title(picture) == (
        "tray-a (24 cups): hatching, about half; water most likely 12 mL below the mark (8 to 17); "
        "warm enough, 25.4 °C; lamp lit; covered; probe in the air; 2 alarms open"
    )
    assert words.description(picture) == "The low mark is 40 mL below the mark, the brim 30 mL above it."


def test_what_is_not_known_is_said_to_be_not_known() -> None:
    assert "water level not known" in words.title(replace(HATCHING, loss_ml=None))
    assert "water" not in words.title(replace(HATCHING, loss_ml=None, stage="ended"))


@pytest.mark.parametrize(
    ("middle", "said"),
    [
        (0.0, "none yet"),
        (0.05, "a few"),
        (0.25, "about a quarter"),
        (0.5, "about half"),
        (0.75, "about three quarters"),
        (0.95, "nearly all"),
        (1.0, "nearly all"),
    ],
)
def test_a_share_is_said_in_words_that_a_child_knows(middle: float, said: str) -> None:
    assert words.share(Range(middle, middle, middle)) == said


def test_names_with_controls_are_said_on_one_line() -> None:
    assert "\n" not in words.title(replace(HATCHING, vessel="a\nb"))


@pytest.mark.parametrize(
    ("stage", "days", "now"),
    [
        *(("nothing set", None, None), ("set", 0.5, "soaked cyst"), ("hatching", 1.0, "breaking open")),
        *(("hatched", 2.0, "nauplius"), ("growing", 6.0, "growing"), ("being harvested", 1.5, "nauplius")),
        *(("being harvested", 9.0, "growing"), ("harvested", 2.0, None), ("ended", None, None)),
    ],
)
def test_the_present_step_is_marked_and_those_before_it_are_past(stage, days, now) -> None:
    steps = stage_steps(stage, days)
    assert [one.name for one in steps if one.when == "now"] == ([] if now is None else [now])
    names = [one.when for one in steps]
    assert names == sorted(names, key=["past", "now", "ahead"].index)
    assert len({one.svg for one in steps}) == len(steps) == 5


def test_every_stage_has_its_steps_in_the_language_spoken() -> None:
    with spoken("de"):
        assert all(len(stage_steps(stage)) == 5 for stage in STAGES)
