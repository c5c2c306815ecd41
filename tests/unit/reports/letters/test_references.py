"""What letters say of other letters, of deeds, of looks and of batches that are over."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import amounts
from reports.conditions import CONDITIONS
from reports.letters.hatch import hatch_letter
from reports.letters.nightly import nightly_letter
from reports.letters.remedies import REMEDIES
from reports.letters.return_ import return_letter
from reports.letters.vessel_night import vessel_outlook
from reports.records import Event, Range
from reports.state import state_text
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import ENDED, at_hour, away, hatch, here, local, night, vessel


def troubled(*conditions, name="tray-a", about=()):
    open_alarms = tuple(Event(at_hour(20), condition, "trouble") for condition in conditions)
    return vessel(name, open_alarms=open_alarms, written_about=about)


def to_do(*vessels):
    said = flat(nightly_letter(away(), night(vessels=vessels), with_chart=False))
    return said.partition("Do this: ")[2]


def test_the_night_says_what_helps_also_where_a_letter_told_of_it():
    for about in ((), ("cold",)):
        said = to_do(troubled("cold", about=about))
        assert "look first at tray-a. Warm the room, or move what is cold" in said
        assert "letter about" not in said


def test_cold_of_which_no_letter_spoke_is_a_matter_of_the_heater_where_there_is_one():
    heated = replace(troubled("cold-ahead"), has_heater=True)
    assert "look first at tray-a. Look whether the heater is plugged in" in to_do(heated)
    assert "look first at tray-a and jar. Ask for the room" in to_do(
        heated, troubled("cold-ahead", name="jar")
    )


def test_of_alarms_without_a_letter_the_more_pressing_one_is_answered_and_the_others_named():
    said = to_do(troubled("lamp", "cold", about=("cold",)), troubled("swing", name="jar"))
    assert "look first at tray-a. Look whether the lamp is plugged in and its timer set right." in said
    assert "Then look at jar, too." in said
    assert "letter about" not in said


def test_of_alarms_that_letters_told_of_the_more_pressing_one_is_answered():
    told = ("lamp", "hot")
    said = to_do(troubled("lamp", about=told), troubled("hot", "lamp", name="jar", about=told))
    assert "look first at jar. Look whether sun or lamp makes the water hot" in said
    assert "Then look at tray-a, too." in said


def test_cups_that_count_on_are_drawn_together_where_they_are_to_be_looked_at():
    cups = (troubled("cold", name=f"cup-{n}") for n in range(1, 7))
    assert "look first at cup-1 to cup-6. Warm the room" in to_do(*cups)


def test_there_is_a_remedy_for_every_condition_of_a_vessel():
    assert set(REMEDIES) == set(CONDITIONS)


MEANWHILE = (Event(local(16, 11), "top-up", "tray-a: top-up 12 mL"),)


def test_nobody_was_there_is_said_only_where_no_deed_was_recorded():
    nobody = flat(return_letter(news.monday(here()), news.returned()))
    assert "Nobody was there since Friday 15 January at 15:30." in nobody
    somebody = flat(return_letter(news.monday(here()), news.returned(deeds=MEANWHILE)))
    assert "Nobody was there" not in somebody
    assert "In the care log meanwhile: tray-a: top-up 12 mL, Sat 11:00." in somebody


@pytest.mark.parametrize(
    ("seen", "asked"), [(None, True), (0.0, True), (0.3, False), (0.9, False), (1.0, False)]
)
def test_who_saw_nearly_all_of_them_is_not_asked_to_look_for_swimmers(seen, asked):
    letter = return_letter(news.monday(here()), news.returned(news.returned_vessel(fill_ml=0.0, seen=seen)))
    assert ("look for swimmers" in flat(letter)) == asked  # sure to nine in ten, once any were seen


def test_where_it_is_not_sure_that_nearly_all_hatched_a_look_tells_more():
    unsure = news.returned_vessel(fill_ml=0.0, seen=0.3, hatched_fraction=Range(0.4, 0.6, 0.95))
    assert "look for swimmers" in flat(return_letter(news.monday(here()), news.returned(unsure)))


@given(st.floats(0.0, 1.0))
def test_about_is_never_said_of_more_or_less_than(share):
    said = amounts.about_percent(share)
    assert ("about" in said) != ("than" in said)
    for letter in (
        hatch_letter(here(), [hatch(hatched_fraction=Range(share, share, share))]),
        return_letter(
            news.monday(here()),
            news.returned(news.returned_vessel(fill_ml=0.0, hatched_fraction=Range(share, share, share))),
        ),
    ):
        assert "about more" not in f"{letter.subject} {flat(letter)}"
        assert "about less" not in f"{letter.subject} {flat(letter)}"


FIGURES = ("Water in", "Salt", "Hatched", "Half hatched", "Evaporates", "Low mark")


def test_no_figure_of_water_salt_or_hatch_is_said_without_a_batch():
    over = vessel(batch_set_at=None)
    setting = replace(here(), written_at=ENDED)
    letter = nightly_letter(setting, night(over), with_chart=False)
    for said in (letter.text, state_text(setting, night(over), [])):
        lines = [line.strip(" -") for line in said.splitlines()]
        assert "Batch: no batch running, warmth watched." in lines
        assert [line for line in lines if line.startswith(FIGURES)] == []
    assert any("Next 16 hours" in fact.label for fact in vessel_outlook(setting, over))


def test_figures_of_the_batch_before_are_not_those_of_one_just_set():
    just = ENDED + timedelta(minutes=1)
    anew = vessel(batch_set_at=just, hatch_t50=None, low_mark_at=None, loss_ml_per_day=None)
    facts = vessel_outlook(replace(here(), written_at=just), anew)
    assert [fact for fact in facts if fact.label.startswith(FIGURES)] == []
