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


def test_the_night_points_to_a_letter_only_where_each_trouble_has_one():
    assert "the letter about each trouble says what helps" in to_do(troubled("cold", about=("cold",)))
    assert "letter about" not in to_do(troubled("cold"))
    assert "look first at tray-a: warm the room" in to_do(troubled("cold"))


def test_cold_of_which_no_letter_spoke_is_a_matter_of_the_heater_where_there_is_one():
    heated = replace(troubled("cold-ahead"), has_heater=True)
    assert "look first at tray-a: look, with dry hands, whether the heater" in to_do(heated)
    assert "look first at tray-a and jar: ask for the room" in to_do(
        heated, troubled("cold-ahead", name="jar")
    )


def test_of_troubles_without_a_letter_the_more_pressing_one_is_answered():
    said = to_do(troubled("lamp", "cold", about=("cold",)), troubled("swing", name="jar"))
    assert "look first at tray-a: see, with dry hands, whether the lamp is plugged in" in said
    assert "letter about" not in said


def test_there_is_a_remedy_for_every_condition_of_a_vessel():
    assert set(REMEDIES) == set(CONDITIONS)


MEANWHILE = (Event(local(16, 11), "top-up", "tray-a: top-up 12 mL"),)


def test_nobody_was_there_is_said_only_where_no_deed_was_recorded():
    nobody = flat(return_letter(news.monday(here()), news.returned()))
    assert "Nobody was there from Friday 15 January at 15:30 to today at 08:00." in nobody
    somebody = flat(return_letter(news.monday(here()), news.returned(deeds=MEANWHILE)))
    assert "Nobody was there" not in somebody
    assert "Not attended from Friday 15 January at 15:30 to today at 08:00; recorded meanwhile: " in somebody
    assert "recorded meanwhile: tray-a: top-up 12 mL, Saturday 16 January at 11:00." in somebody


@pytest.mark.parametrize(
    ("seen", "asked"), [(None, True), (0.0, True), (0.3, True), (0.9, False), (1.0, False)]
)
def test_who_saw_nearly_all_of_them_is_not_asked_to_look_for_swimmers(seen, asked):
    letter = return_letter(news.monday(here()), news.returned(news.returned_vessel(fill_ml=0.0, seen=seen)))
    assert ("look for swimmers" in flat(letter)) == asked


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


FIGURES = ("Water in", "Salt:", "Hatched", "Half hatched", "Loss:", "Low mark")


def test_no_figure_of_water_salt_or_hatch_is_said_without_a_batch():
    over = vessel(batch_set_at=None)
    setting = replace(here(), written_at=ENDED)
    letter = nightly_letter(setting, night(over), with_chart=False)
    for said in (letter.text, state_text(setting, night(over), [])):
        lines = [line.strip(" -") for line in said.splitlines()]
        assert "tray-a (24 cups), no batch running, warmth watched" in lines
        assert [line for line in lines if line.startswith(FIGURES)] == []
    assert any("Coldest in the next 16 hours" in line for line in vessel_outlook(setting, over))


def test_figures_of_the_batch_before_are_not_those_of_one_just_set():
    just = ENDED + timedelta(minutes=1)
    anew = vessel(batch_set_at=just, hatch_t50=None, low_mark_at=None, loss_ml_per_day=None)
    lines = vessel_outlook(replace(here(), written_at=just), anew)
    assert [line for line in lines if line.startswith(FIGURES)] == []
