"""What letters ask of a heater: looked at first, never moved, and cold before hands come near."""

import re

import pytest

from reports.letters.feed import feed_letter
from reports.letters.feeding import FeedDue
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.leave import leave_letter
from reports.letters.nightly import nightly_letter
from reports.letters.remedies import REMEDIES
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import BrineDue, Event, Range, TimeRange
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import (
    WEEKEND,
    at_hour,
    away,
    here,
    hot,
    local,
    night,
    outlook,
    vessel,
    water,
)

CONE = {"vessel": "cone", "count": 1, "has_heater": True}
KIND = {"vessel_kind": "cone"}
CUPS = {"vessel": "tray-a", "vessel_kind": "cup", "count": 24}
NO_LAMP = {"has_lamp": False}
MAINS = "Dry hands; do not reach over the water; let a hot lamp cool."
DRY_HANDS = "Dry hands; keep the water away from plug and lamp."
WASH = "Wash your hands after."
SETTINGS = [here(), away()]
SOON = TimeRange(local(15, 18), local(16, 12), local(17, 9))
BRINE = {"fill_ml": 0.0, "brine": BrineDue(120.0, 28.0)}


def asked(letter):
    return flat(letter).partition("Do this: ")[2]


# Swinging, hot ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_heated_vessel_that_swings_is_not_moved_but_its_heater_looked_at(setting):
    alone = swing_letter(setting, [news.swing(**CONE, **KIND)])
    assert "look whether the heater is set right and works" in asked(alone)
    both = swing_letter(setting, [news.swing(**CUPS), news.swing(**CONE, **KIND)])
    assert "move the cups, gently, away from the window" in asked(both)
    assert "Look whether the heater of cone is set right and switches on and off." in flat(both)
    for said in map(flat, (alone, both)):
        assert "move the cone" not in said
        assert "Do not move a heated vessel." in said
        assert said.count(MAINS) == 1
    assert "A heater that stays on or off makes it swing, too." in flat(alone)
    assert "heater" not in flat(swing_letter(setting, [news.swing()]))


@pytest.mark.parametrize("lamp", [{"has_lamp": True}, NO_LAMP])
@pytest.mark.parametrize("setting", SETTINGS)
def test_in_heat_a_heater_that_is_stuck_on_is_looked_for_first(setting, lamp):
    alone = hot_letter(setting, [hot(has_heater=True, **lamp)])
    both = hot_letter(setting, [hot(**CUPS, **lamp), hot(has_heater=True, **lamp)])
    for letter in (alone, both):
        stuck = "unplug the heater of cone if it is set too high or stays on. Then"
        assert stuck in asked(letter)
        then = asked(letter).partition(stuck)[2]
        assert re.search(r"sun", then)
        assert ("lamp" in then.partition("Take care")[0]) == lamp["has_lamp"]
        assert not re.search(r"move the (cone|vessels)", flat(letter))
        assert flat(letter).count(MAINS) == 1
    plain = flat(hot_letter(setting, [hot(**lamp)]))
    assert "heater" not in plain


@pytest.mark.parametrize("changed", [{}, {"sun": False}, {"sun": False, "has_lamp": True}])
@pytest.mark.parametrize("setting", SETTINGS)
def test_before_heat_a_heater_is_looked_at_and_its_vessel_not_moved(setting, changed):
    heated = {**CONE, **KIND, **changed}
    letter = hot_ahead_letter(setting, [news.hot_ahead(**heated)])
    both = hot_ahead_letter(setting, [news.hot_ahead(**CUPS, **changed), news.hot_ahead(**heated)])
    for said in map(flat, (letter, both)):
        assert "whether the heater of cone is set right and switches off. Do not move a heated" in said
        assert not re.search(r"move the (cone|vessels)", said)
        assert said.count(MAINS) == 1
    assert ("draw the blind" in asked(letter)) == (changed == {})
    assert ("move the cups" in asked(both)) == ("has_lamp" not in changed)


@pytest.mark.parametrize(
    ("write", "one"),
    [(hot_letter, hot), (hot_ahead_letter, news.hot_ahead), (swing_letter, news.swing)],
)
@pytest.mark.parametrize("stage", ["harvested", "ended"])
@pytest.mark.parametrize("setting", SETTINGS)
def test_a_heater_with_nothing_to_keep_warm_is_to_be_unplugged(write, one, stage, setting):
    letter = write(setting, [one(**CONE, **KIND, stage=stage)])
    assert "see, with dry hands, that the heater of cone is unplugged" in asked(letter)
    assert "set right" not in flat(letter)
    assert MAINS in flat(letter)


def test_before_an_absence_a_heated_vessel_is_not_moved_out_of_the_sun():
    hot_away = {"water_c_max_away": Range(30.0, 33.0, 35.0), "water_c_min_next_16h": None}
    alone = asked(leave_letter(here(), WEEKEND, [outlook(**CONE, **hot_away)]))
    assert "look whether the heater of cone is set right and switches off. Then draw the blind" in alone
    assert "Do not move a heated vessel." in flat(
        leave_letter(here(), WEEKEND, [outlook(**CONE, **hot_away)])
    )
    assert "move cone" not in alone
    both = asked(leave_letter(here(), WEEKEND, [outlook(**hot_away), outlook(**CONE, **hot_away)]))
    assert "draw the blind, or move tray-a (24 cups), gently, out of the sun" in both


def test_before_an_absence_hands_at_a_heater_are_dry_also_where_only_another_vessel_is_poured_into():
    idle = {"fill_ml": 0.0, "above_mark_ml": 0.0, "water_c_min_away": Range(10.0, 12.0, 14.0)}
    said = flat(leave_letter(here(), WEEKEND, [outlook(), outlook(**CONE, **idle)]))
    assert "look whether the heater of cone is plugged in" in said
    assert MAINS in said
    assert said.count("Dry hands") == 1
    assert "Keep the water away from plug and lamp." in said


# Pouring ---------------------------------------------------------------------------------------------------


def pouring(setting, **vessel_of):
    """Every letter that asks to pour into a vessel, or to take water out."""
    salty = {"vessel": vessel_of["vessel"], "count": vessel_of["count"]}
    salty |= {"has_heater": True} if "has_heater" in vessel_of else {}
    back = (news.returned(news.returned_vessel(past_alarms=(), **vessel_of, **fill)) for fill in ({}, BRINE))
    blind = news.returned(news.returned_vessel(probe_dead=True, **vessel_of))
    nights = (
        night(vessel(low_mark_at=SOON, **vessel_of, **fill), letters=())
        for fill in ({"fill_ml": 30.0}, BRINE)
    )
    low = (Event(at_hour(20), "water", "trouble"),)
    return {
        "low": water_letter(setting, [water(**vessel_of)]),
        "brine": water_letter(setting, [water(**vessel_of, **BRINE)]),
        "salty": salinity_letter(setting, [news.salty(**salty)]),
        "salty and low": salinity_letter(setting, [news.salty(fill_ml=52.0, **salty)]),
        "salty, size unknown": salinity_letter(setting, [news.salty(mark_ml=None, **salty)]),
        "not salty enough": salinity_letter(
            setting, [news.salty(salinity_g_per_kg=Range(13.6, 15.0, 16.3), **salty)]
        ),
        "return": return_letter(news.monday(setting), next(back)),
        "return, brine": return_letter(news.monday(setting), next(back)),
        "return, probe first": return_letter(news.monday(setting), blind),
        "nightly": nightly_letter(setting, next(nights), with_chart=False),
        "nightly, brine": nightly_letter(setting, next(nights), with_chart=False),
        "nightly, no letter yet": nightly_letter(
            setting, night(vessel(open_alarms=low, **vessel_of)), with_chart=False
        ),
    }


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_heater_is_unplugged_before_water_is_poured_or_taken_out_and_on_again_under_water(setting):
    for name, letter in pouring(setting, **CONE).items():
        said = asked(letter)
        assert re.search(r"[Ff]irst switch off and unplug the heater of cone. Then ", said), name
        assert "Plug it in again only when the water covers it." in said, name
        assert flat(letter).count(MAINS) == 1, name
        assert DRY_HANDS not in flat(letter), name


@pytest.mark.parametrize("setting", SETTINGS)
def test_who_pours_is_told_once_and_shortly_to_mind_plug_and_lamp(setting):
    for name, letter in pouring(setting, vessel="jar", count=1).items():
        assert flat(letter).count(DRY_HANDS) == 1, name
        assert "heater" not in flat(letter), name
        assert MAINS not in flat(letter), name


def test_who_pours_nothing_is_told_nothing_of_pouring():
    full = flat(water_letter(here(), [water(fill_ml=0.0, **CONE)]))
    assert "pour nothing now" in full
    assert "unplug" not in full
    assert "plug and lamp" not in full
    unknown = news.salty(salinity_g_per_kg=Range(13.6, 15.0, 16.3), mark_ml=None, **CONE)
    assert "unplug" not in flat(salinity_letter(here(), [unknown]))


@pytest.mark.parametrize("changed", [{}, BRINE, {"fill_ml": 0.0, "fill_holds": False, "fill_fails": "brim"}])
def test_before_an_absence_too_no_heater_is_live_while_water_is_poured(changed):
    letter = leave_letter(here(), WEEKEND, [outlook(**CONE, **changed)])
    assert re.search(r"unplug the heater of cone until you are done .*\. Then (pour|look)", asked(letter))
    assert flat(letter).count(MAINS) == 1
    none = {"fill_ml": 0.0, "above_mark_ml": 0.0}
    assert "unplug" not in asked(leave_letter(here(), WEEKEND, [outlook(**CONE, **none)]))


# Nightly, return -------------------------------------------------------------------------------------------


def nightly(condition, *vessels):
    """The night's letter about troubles of which no letter spoke yet."""
    open_alarms = (Event(at_hour(20), condition, "trouble"),)
    return nightly_letter(away(), night(*(vessel(open_alarms=open_alarms, **v) for v in vessels)), False)


@pytest.mark.parametrize("condition", REMEDIES)
def test_a_nightly_remedy_near_lamp_heater_or_plug_has_the_caution(condition):
    plain, heated = nightly(condition, {}), nightly(condition, CONE)
    assert (MAINS in flat(plain)) == (condition in ("hot", "lamp", "lamp-stays-on"))
    assert (MAINS in flat(heated)) == (condition not in ("probe", "salinity"))


@pytest.mark.parametrize("condition", ["cold", "cold-ahead", "hot", "hot-ahead", "swing"])
def test_a_nightly_remedy_looks_at_the_heater_and_moves_no_heated_vessel(condition):
    alone = asked(nightly(condition, CONE))
    assert re.search(r"whether the heater is|nplug the heater if it is set too high", alone)
    assert not re.search(r"\bmove (it|what)\b", alone)
    both = asked(nightly(condition, {}, CONE))
    assert condition == "hot" or "Do not move a heated vessel." in both
    over = asked(nightly(condition, {**CONE, "stage": "ended"}))
    assert "See, with dry hands, that the heater of cone is unplugged" in over


def test_back_to_a_hot_heated_vessel_its_heater_is_looked_at_first():
    still_hot = {"open_alarms": news.STILL_HOT, "past_alarms": ()}
    letter = return_letter(news.monday(here()), news.returned(news.returned_vessel(**CONE, **still_hot)))
    assert "unplug the heater if it is set too high or stays on." in asked(letter)
    assert MAINS in flat(letter)
    plain = return_letter(news.monday(here()), news.returned(news.returned_vessel(**still_hot)))
    assert "heater" not in flat(plain)
    assert MAINS in flat(plain)  # a lamp may be what makes it hot


# Hygiene ---------------------------------------------------------------------------------------------------


FED = FeedDue("tray-a", 24, 250.0, True)


def test_who_pours_or_feeds_is_told_to_wash_hands_and_to_mind_dust():
    assert WASH in flat(water_letter(here(), [water()]))
    food = "Keep food dust from faces, too."
    feeding = (
        leave_letter(here(), WEEKEND, [outlook(feed=FED)]),
        feed_letter(here(), [news.feed()]),
        return_letter(news.monday(here()), news.returned(news.returned_vessel(feed=FED))),
    )
    for letter in feeding:
        assert flat(letter).count(WASH) == 1
        assert food in flat(letter)
    assert food not in flat(leave_letter(here(), WEEKEND, [outlook()]))
