"""What letters say of warmth: the right word for a day and its part, what is to be done before going, and how
long the water was beyond its limit."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.lamp import lamp_letter
from reports.letters.stages import STAGES
from reports.records import Span
from tests.kit import news_samples as news
from tests.kit.letter_text import flat, table_of
from tests.kit.report_samples import at_hour, away, cold, here, hot, lamp, local, read

MAINS = "Take care: Dry hands; do not reach over the water; let a hot lamp cool."


@pytest.mark.parametrize(
    ("written", "began", "subject"),
    [
        (local(15, 8), local(15, 10), "Cold today"),
        (local(15, 14), local(16, 10), "Cold tomorrow"),
        (local(15, 8), local(15, 14, 30), "Cold today"),
        (local(15, 14), local(15, 16), "Cold this afternoon"),
        (local(15, 14), local(15, 18), "Cold tonight"),
        (local(15, 14), local(16, 3), "Cold tonight"),
        (local(15, 23), local(16, 3), "Cold tonight"),
        (local(16, 1), local(16, 3), "Cold tonight"),
        (local(16, 1), local(16, 19), "Cold this evening"),
        (local(15, 14), local(16, 14), "Cold tomorrow"),
        (local(15, 14), local(16, 22), "Cold tomorrow night"),
        (local(15, 14), local(17, 4), "Cold tomorrow night"),
        (local(15, 14), local(18, 3), "Cold Monday"),
    ],
)
def test_the_subject_names_the_part_of_the_day_in_which_it_begins(written, began, subject):
    coming = news.cold_ahead(span=Span(began, local(18, 9)))
    letter = cold_ahead_letter(replace(here(), written_at=written), [coming])
    assert letter.subject == f"{subject}: about 15 °C, tray-a, Room 12"


@pytest.mark.parametrize(
    ("written", "began", "ended", "subject"),
    [
        (local(15, 7), local(15, 7, 30), local(15, 8), "Cold this morning"),
        (local(16, 1), local(16, 7), local(16, 12), "Cold this morning"),
        (local(15, 14), local(16, 6), local(16, 8), "Cold tomorrow morning"),
        (local(15, 8), local(15, 10), local(15, 16), "Cold today"),
    ],
)
def test_a_morning_is_what_is_over_by_noon(written, began, ended, subject):
    coming = news.cold_ahead(span=Span(began, ended))
    assert cold_ahead_letter(replace(here(), written_at=written), [coming]).subject.startswith(f"{subject}:")


@given(st.integers(0, 47), st.integers(0, 40), st.integers(1, 12))
def test_a_day_word_is_of_the_date_and_the_part_of_the_day_of_what_it_names(written_h, ahead_h, lasts_h):
    """By the local calendar alone: the word is taken apart, not made anew."""
    written = at_hour(written_h, local(15, 0))
    peak = at_hour(ahead_h, written)
    coming = news.hot_ahead(span=Span(peak, at_hour(lasts_h, peak)))
    said = hot_ahead_letter(replace(here(), written_at=written), [coming]).subject
    days = (peak.date() - written.date()).days
    evening, small_hours = peak.hour >= 18, peak.hour < 6
    word = said.removeprefix("Hot ").partition(":")[0]
    true_of = {
        "today": [days == 0 and not evening and not small_hours],
        "this morning": [days == 0 and 6 <= peak.hour < 12],
        "this afternoon": [days == 0 and 12 <= peak.hour < 18],
        "this evening": [days == 0 and evening and written.hour < 6],
        "tonight": [days == 0 and (evening or small_hours), days == 1 and small_hours],
        "tomorrow": [days == 1 and not evening],
        "tomorrow morning": [days == 1 and peak.hour < 12],
        "tomorrow night": [days == 1 and evening, days == 2 and small_hours],
        f"{peak:%A}": [days >= 2],
    }
    assert any(true_of[word])


EVENING = Span(local(15, 17), local(15, 21))


def goes_or_stays(write, one, leaves_at):
    """What is asked for while somebody is there, who leaves then."""
    return flat(write(replace(here(), leaves_at=leaves_at), [one])).partition("Do this: ")[2]


@pytest.mark.parametrize(
    ("write", "one"),
    [
        (cold_ahead_letter, news.cold_ahead()),
        (cold_ahead_letter, news.cold_ahead(has_lamp=True)),
        (hot_ahead_letter, news.hot_ahead(span=EVENING)),
        (hot_ahead_letter, news.hot_ahead(sun=False, span=EVENING)),
    ],
)
def test_before_you_go_is_said_only_to_who_goes_before_what_is_to_come(write, one):
    assert goes_or_stays(write, one, local(15, 15, 30)).startswith("before you go, ")
    assert not goes_or_stays(write, one, None).startswith("before you go")
    after = one.span.began + timedelta(minutes=1)
    assert not goes_or_stays(write, one, after).startswith("before you go")
    morning = replace(here(), written_at=local(15, 8), leaves_at=local(15, 15, 30))
    assert "before you go" not in flat(write(morning, [one]))
    assert "before you go" not in flat(write(away(), [one]))


# A lamp to switch off -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("write", "one"), [(hot_letter, hot), (hot_ahead_letter, news.hot_ahead)])
def test_a_lamp_is_switched_off_only_where_it_burns(write, one):
    lit = {"has_lamp": True, "lamp_lit": True}
    dark = {"has_lamp": True, "lamp_lit": False}
    beside = {"sun": False} if one is news.hot_ahead else {}
    burns, out = (flat(write(here(), [one(**some, **beside)])) for some in (lit, dark))
    assert "switch the lamp off at its switch or timer" in burns
    assert "switch the lamp off" not in out


# Now, and how long ----------------------------------------------------------------------------------------


@given(st.floats(0.0, 48.0))
def test_what_was_read_is_now_for_half_an_hour_and_then_has_an_age(age_h):
    setting = here()
    then = setting.written_at - timedelta(hours=age_h)
    fresh = timedelta(hours=age_h) <= timedelta(minutes=30)
    for letter in (
        cold_letter(setting, [cold(water_c=read(17.4, then))]),
        hot_letter(setting, [hot(water_c=read(32.4, then))]),
    ):
        assert ("when it was last read" in flat(letter)) != fresh
        assert ("when last read" in letter.subject) != fresh
    lit = flat(lamp_letter(setting, [lamp(water_c=read(24.2, then))]))
    assert ("Water now: 24.2 °C." in lit) == fresh
    assert ("Water last read: 24.2 °C, " in lit) != fresh


def test_of_several_vessels_each_is_told_when_its_water_was_read():
    one, other = cold(), cold(vessel="tray-b", water_c=read(16.2, local(15, 8)))
    _, *rows = table_of(cold_letter(here(), [one, other]))
    assert [row[1] for row in rows] == ["17.4 °C", "16.2 °C, today at 08:00"]
    _, *rows = table_of(
        cold_ahead_letter(here(), [news.cold_ahead(), news.cold_ahead(vessel="b", water_c=19.0)])
    )
    assert [row[1] for row in rows] == ["21.3 °C", "19.0 °C"]


def test_a_reading_of_three_long_beats_ago_is_still_of_now():
    setting = replace(here(), fresh_for=timedelta(hours=3))
    then = setting.written_at - timedelta(hours=2)
    assert cold_letter(setting, [cold(water_c=read(17.4, then))]).subject.startswith("Cold: 17.4 °C")
    assert "Water now: 24.2 °C." in flat(lamp_letter(setting, [lamp(water_c=read(24.2, then))]))


def test_cold_that_was_read_hours_ago_is_said_as_that():
    letter = cold_letter(
        away(), [cold(water_c=read(17.4, local(15, 14, 10)), room_c=read(15.1, local(15, 14, 10)))]
    )
    said = flat(letter)
    assert letter.subject == "Cold when last read: 17.4 °C, tray-a, Room 12"
    assert "Cold water in tray-a (24 cups) when it was last read, 8 hours ago: 17.4 °C." in said
    assert "Room air last read: 15.1 °C, today at 14:10." in said


def test_cold_with_warm_hours_between_is_said_by_how_much_of_the_time():
    """By hand: Sunday 14:10 to Friday 22:10 are 128 hours."""
    long_ago = cold(since=local(10, 14, 10), beyond_for=timedelta(hours=62))
    said = flat(cold_letter(away(), [long_ago]))
    assert "Below 20.0 °C since: Sunday 10 January at 14:10, 62 of 128 hours." in said
    whole = flat(cold_letter(away(), [cold(beyond_for=timedelta(hours=9))]))
    assert "Below 20.0 °C since: today at 12:40." in whole
    gap = cold(beyond_for=timedelta(hours=2), read_for=timedelta(hours=2))
    assert "since: today at 12:40, all that was read: 2 of 10 hours." in flat(cold_letter(away(), [gap]))
    heat = flat(hot_letter(away(), [hot(since=local(10, 14, 10), beyond_for=timedelta(hours=20))]))
    assert "Above 30.0 °C since: Sunday 10 January at 14:10, 20 of 128 hours." in heat
    head, row, other = table_of(cold_letter(away(), [long_ago, cold(vessel="tray-b")]))
    since = head.index("Below 20.0 °C since")
    assert (row[since], other[since]) == ("Sunday 10 January at 14:10, 62 of 128 hours", "today at 12:40")


def test_where_limits_differ_each_vessel_has_its_own_beside_it():
    head, *rows = table_of(cold_letter(here(), [cold(), cold(vessel="tray-b", limit_c=18.0)]))
    assert [row[head.index("Limit")] for row in rows] == ["20.0 °C", "18.0 °C"]
    assert "Below the limit since" in head
    head, *rows = table_of(
        cold_ahead_letter(here(), [news.cold_ahead(), news.cold_ahead(vessel="b", limit_c=18.0)])
    )
    assert [row[head.index("Limit")] for row in rows] == ["20.0 °C", "18.0 °C"]


def test_six_cups_that_are_alike_are_one_list_and_not_a_table():
    cups = [cold(vessel=f"cup-{n}", count=1) for n in range(1, 7)]
    letter = cold_letter(here(), cups)
    assert "\ncup-1 to cup-6\n- Below 20.0 °C since: today at 12:40.\n" in letter.text
    half = [replace(one, water_c=read(16.0)) for one in cups[:3]]
    _, *rows = table_of(cold_letter(here(), [*half, *cups[3:]]))
    assert [row[:2] for row in rows] == [["cup-1 to cup-3", "16.0 °C"], ["cup-4 to cup-6", "17.4 °C"]]


def test_a_vessel_with_a_heater_is_not_moved_and_its_heater_is_looked_at_first():
    heated = {"vessel": "cone", "vessel_kind": "cone", "count": 1, "has_heater": True}
    alone = flat(cold_letter(here(), [cold(**heated)]))
    assert "Do this: look whether the heater is plugged in" in alone
    assert "move the cone to" not in alone
    both = flat(cold_letter(here(), [cold(), cold(**heated)]))
    assert "Do this: move the cups to a warmer place" in both
    assert "The heater of cone should hold more than that: check plug, switch and setting." in both
    for said in (alone, both):
        assert "Do not move a heated vessel." in said
        assert MAINS in said
    none = flat(cold_letter(here(), [cold(), cold(vessel="b")]))
    assert "the heater" not in none
    assert "Leave no heater on with nobody there." in none


def test_cold_in_a_warm_room_is_not_put_down_to_its_heating():
    chilled = cold(room_c=read(21.0))
    said = flat(cold_letter(here(), [chilled]))
    assert "Do this: move the cups away from the cold window, wall or floor, gently: the room is warm" in said
    assert "the room is warm (21.0 °C). Do not add hot water." in said
    later = flat(cold_letter(away(), [chilled]))
    assert "look how warm the water is. If it is still cold, move the cups away from the cold window" in later
    over = flat(cold_letter(here(), [replace(chilled, stage="ended")]))
    assert "Do this: if it should be warm, move the cups away from the cold window" in over
    for one in (said, later, over):
        assert not re.search("heating|warm the room|warm up with|the room just cools", one), one


@pytest.mark.parametrize(
    "trouble",
    [
        cold(),
        cold(room_c=None),
        cold(room_c=read(21.0, local(15, 8))),
        cold(room_c=read(21.0), has_heater=True),
    ],
    ids=["a cold room", "a room not read", "a room read long ago", "a heated vessel"],
)
def test_a_room_is_called_warm_only_where_it_reads_so_now_and_no_heater_should_hold_the_water(trouble):
    assert "the room is warm" not in flat(cold_letter(here(), [trouble]))
    assert "the room is warm" not in flat(cold_letter(here(), [cold(room_c=read(21.0)), trouble])) or (
        trouble.has_heater
    )


HEATED_CONE = {"vessel": "cone", "vessel_kind": "cone", "count": 1, "has_heater": True}


@pytest.mark.parametrize("stage", ["harvested", "ended"])
@pytest.mark.parametrize("setting", [here(), away()])
@pytest.mark.parametrize(("write", "one"), [(cold_letter, cold), (cold_ahead_letter, news.cold_ahead)])
def test_the_heater_of_a_cone_that_is_over_is_to_be_unplugged(write, one, setting, stage):
    idle = one(**HEATED_CONE, stage=stage)
    alone = flat(write(setting, [idle]))
    assert "see, with dry hands, that the heater of cone is unplugged" in alone.partition("Do this: ")[2]
    assert MAINS in alone
    both = flat(write(setting, [one(), idle]))
    assert "See, with dry hands, that the heater of cone is unplugged" in both
    for said in (alone, both):
        assert "should hold more than that" not in said
        assert "plugged in, on and set right" not in said


@pytest.mark.parametrize("stage", [stage for stage in STAGES if stage != "nothing set"])
@pytest.mark.parametrize("setting", [here(), away()])
@pytest.mark.parametrize(("write", "one"), [(cold_letter, cold), (cold_ahead_letter, news.cold_ahead)])
def test_nobody_is_asked_for_the_rooms_heating_in_a_heaters_place(write, one, setting, stage):
    said = flat(write(setting, [one(**HEATED_CONE, stage=stage)]))
    assert "the room's heating" not in said
    assert "look at the heating" not in said
    assert ("An adult who knows the heater can look sooner" in said) == (setting == away())


def test_where_nothing_is_recorded_a_heater_is_on_for_cysts_or_unplugged():
    said = flat(cold_letter(here(), [cold(**HEATED_CONE, stage="nothing set")]))
    assert "Do this: see that the heater is unplugged if no eggs (cysts) are set here." in said
    assert "If some are, look whether it is plugged in, on and set right." in said


def test_a_heater_of_a_cone_in_part_drawn_off_is_on_only_under_water():
    drawn, full = (
        flat(cold_letter(here(), [cold(**HEATED_CONE, stage=s)])) for s in ("being harvested", "hatched")
    )
    assert "A heater may be on only while the water covers it." in drawn
    assert "only while the water covers it" not in full
