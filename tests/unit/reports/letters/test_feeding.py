"""What is asked to be fed: how much into which vessel, only where animals swim, and how it is recorded."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.letters.feed import feed_letter
from reports.letters.feeding import FeedDue, portion
from reports.letters.leave import leave_letter
from reports.letters.return_ import return_letter
from tests.kit import news_samples as news
from tests.kit.care_lines import command_in, taken
from tests.kit.letter_text import flat
from tests.kit.report_samples import WEEKEND, here, outlook
from tests.kit.station import probe, station
from tests.kit.station import vessel as vessel_table
from tests.kit.text_table import table_in

CONE = {"vessel": "cone", "count": 1, "volume_ml": 1990.0}
STATION = station(
    probe("water"),
    vessel_table("tray-a", "water", count=24),
    vessel_table("cone", "water", kind="cone", mark_ml=2000.0, surface_cm2=150.0, low_ml=200.0),
)


def due(**changed):
    """A feed due in a cone of which nobody recorded animals."""
    return FeedDue(**{"vessel": "cone", "count": 1, "volume_ml": 1990.0, "seen": False, **changed})


def letters(vessel, count, volume_ml, *, seen):
    """The three letters that ask for a feed in a vessel."""
    of = {"vessel": vessel, "count": count, "feed": FeedDue(vessel, count, volume_ml, seen)}
    return (
        feed_letter(here(), [news.feed(vessel=vessel, count=count, volume_ml=volume_ml, seen=seen)]),
        leave_letter(here(), WEEKEND, [outlook(**of)]),
        return_letter(news.monday(here()), news.returned(news.returned_vessel(**of, fill_ml=0.0))),
    )


@pytest.mark.parametrize(
    ("volume_ml", "plenty", "little"),
    [
        (50.0, "a pinch", "half a pinch"),
        (250.0, "a pinch", "half a pinch"),
        (520.0, "2 pinches", "a pinch"),
        (750.0, "3 pinches", "a pinch"),
        (2000.0, "8 pinches", "4 pinches"),
        (float("nan"), "a pinch", "half a pinch"),
    ],
)
def test_a_pinch_is_for_a_cup_and_more_water_gets_more(volume_ml, plenty, little):
    """A pinch a cup, and in proportion: common practice, no source."""
    assert portion(due(volume_ml=volume_ml), small=False) == plenty
    assert portion(due(volume_ml=volume_ml), small=True) == little


@given(st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_less_water_never_gets_more_food(one_ml, other_ml):
    def pinches(volume_ml, small):
        word = portion(due(volume_ml=volume_ml), small=small).split()[0]
        return {"half": 0.5, "a": 1.0}.get(word) or float(word)

    low_ml, high_ml = sorted([one_ml, other_ml])
    for small in (False, True):
        assert pinches(low_ml, small) <= pinches(high_ml, small)
    assert pinches(high_ml, True) <= pinches(high_ml, False) / 2.0


def test_a_cone_beside_cups_is_given_its_own_amount():
    letter = feed_letter(here(), [news.feed(small=True), news.feed(**CONE, small=True)])
    portions = "half a pinch into each cup of tray-a (24 cups) and 4 pinches into cone"
    assert letter.subject == "Feed, day 4, tray-a and cone, Room 12"
    said = flat(letter)
    assert "The animals in tray-a (24 cups) and cone can be fed. Do this: look whether you can see" in said
    assert f"give food: {portions}. Give no more: nobody will look for a day or more." in said
    many = [news.feed(**{**CONE, "vessel": name}) for name in "abc"]
    several = feed_letter(here(), [news.feed(), *many])
    assert "give food: as listed." in flat(several)
    assert ["tray-a", "a pinch a cup"] in [row[:2] for row in rows_of(several)]
    assert ["a, b and c", "8 pinches"] in [row[:2] for row in rows_of(several)]


_ONLY_WHERE_SOME_SWIM = re.compile(
    r"look first whether animals swim\. Where none do, or the water is cloudy, do not feed|"
    r"feed as listed below, if animals swim and the water is clear"
)


def rows_of(letter):
    """The rows of the letter's table."""
    tables = (table_in(part.splitlines()) for part in letter.text.split("\n\n"))
    return next(table for table in tables if table is not None)


@pytest.mark.parametrize(("vessel", "count", "volume_ml"), [("tray-a", 24, 240.0), ("cone", 1, 1990.0)])
def test_where_nobody_recorded_animals_people_look_first_and_feed_none_where_none_swim(
    vessel, count, volume_ml
):
    for letter in letters(vessel, count, volume_ml, seen=False):
        said = flat(letter)
        assert _ONLY_WHERE_SOME_SWIM.search(said)
        assert f"No swimmers yet: naupliad care add {vessel} hatched 0" in said
        assert "The animals in" not in said
    for letter in letters(vessel, count, volume_ml, seen=True):
        assert not _ONLY_WHERE_SOME_SWIM.search(flat(letter))
        assert "No swimmers yet" not in flat(letter)


@pytest.mark.parametrize("seen", [False, True])
def test_each_letter_that_asks_for_a_feed_gives_the_line_that_records_it(seen):
    for of in (("tray-a", 24, 240.0), ("cone", 1, 1990.0)):
        for letter in letters(*of, seen=seen):
            commands = [command_in(line) for line in " ".join(letter.text.split()).split(" - ")]
            fed = [command for command in commands if command and " feed " in command]
            assert len(fed) == 1, letter.text
            words = " ".join(fed[0].split()[:6])
            assert taken(words, STATION, round(here().written_at.timestamp())) == "feed"
