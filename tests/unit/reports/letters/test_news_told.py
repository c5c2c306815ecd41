"""What each letter of what is foreseen, of salt, animals, the station and the return says."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports import times
from reports.letters.clock import clock_letter
from reports.letters.cold import cold_ahead_letter
from reports.letters.feed import feed_letter
from reports.letters.feeding import FeedDue
from reports.letters.harvest import harvest_letter
from reports.letters.hatch_late import late_hatch_letter
from reports.letters.hot import hot_ahead_letter
from reports.letters.lamp import lamp_stays_on_letter
from reports.letters.leave import leave_letter
from reports.letters.memory_card import card_failed_letter
from reports.letters.nightly import nightly_letter
from reports.letters.outage import outage_letter
from reports.letters.record_full import record_full_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.station_records import rows_spoiled_letter, store_lost_letter, store_saved_letter
from reports.letters.storage import file_overlooked_letter, storage_letter
from reports.letters.swing import swing_letter
from reports.records import Event, Range, Span, TimeRange
from tests.kit import news_samples as news
from tests.kit.letter_text import flat
from tests.kit.report_samples import WEEKEND, at_hour, away, here, local, night, outlook, vessel

LONG_AGO = (Event(local(15, 20), "nightly", "the night before"),)
# Its coldest reading is 18.1 °C.
WATERED = vessel(low_mark_at=None, cold_c=18.0)
QUIET = night(WATERED, letters=LONG_AGO)


# What is foreseen ----------------------------------------------------------------------------------------


def test_a_cold_night_is_said_while_it_can_be_met():
    letter = cold_ahead_letter(here(), [news.cold_ahead()])
    said = flat(letter)
    assert letter.subject == "Cold tonight: about 15 °C, tray-a, Room 12"
    assert "Coldest (forecast): most likely 15.1 °C (13.8 to 17.0)." in said
    assert "When: today at 23:00 to tomorrow at 07:00." in said
    assert "Do this: before you go, move the cups, gently, to the warmest place you have" in said
    assert "Leave no heater or hot lamp on with nobody there: they have started fires." in said


def test_cups_under_a_lamp_are_kept_warm_by_the_room_and_not_moved_from_it():
    said = flat(cold_ahead_letter(here(), [news.cold_ahead(has_lamp=True)]))
    assert "Do this: before you go, ask for the room's heating to stay on for that time." in said
    assert "move the cups" not in said


def test_cold_to_come_where_a_heater_is_to_hold_the_water_is_a_matter_of_the_heater():
    heated = {"vessel": "cone", "vessel_kind": "cone", "count": 1, "has_heater": True}
    alone = flat(cold_ahead_letter(here(), [news.cold_ahead(**heated)]))
    assert "Do this: before you go, look whether the heater is plugged in" in alone
    assert "Leave no heater" not in alone
    both = flat(cold_ahead_letter(here(), [news.cold_ahead(), news.cold_ahead(**heated)]))
    assert "Do this: before you go, move the cups, gently, to the warmest place you have" in both
    assert "The heater of cone should hold more than that" in both
    for said in (alone, both):
        assert "move the cone" not in said
        assert "Do not move a heated vessel." in said
        assert "Dry hands; do not reach over the water" in said


@pytest.mark.parametrize(
    ("extreme_c", "said", "sure"),
    [
        (Range(13.0, 15.0, 19.9), "is likely tonight", "at least nine times in ten"),
        (Range(13.0, 15.0, 20.1), "is likely tonight", "more likely than not"),
        (Range(13.0, 20.1, 22.0), "may come tonight", "perhaps, but most likely not"),
    ],
)
def test_how_sure_a_cold_night_is_follows_from_its_range(extreme_c, said, sure):
    letter = flat(cold_ahead_letter(here(), [news.cold_ahead(extreme_c=extreme_c)]))
    assert f"Cold water {said} in tray-a" in letter
    assert f"Passes the limit: {sure}." in letter


@pytest.mark.parametrize(
    ("extreme_c", "sure"),
    [
        (Range(30.1, 31.8, 34.0), "at least nine times in ten"),
        (Range(29.9, 31.8, 34.0), "more likely than not"),
        (Range(27.0, 29.9, 34.0), "perhaps, but most likely not"),
    ],
)
def test_how_sure_heat_is_follows_from_its_range(extreme_c, sure):
    said = flat(hot_ahead_letter(here(), [news.hot_ahead(extreme_c=extreme_c)]))
    assert f"Passes the limit: {sure}." in said


def test_sun_is_met_by_a_blind_and_a_lamp_by_its_switch():
    sun = flat(hot_ahead_letter(here(), [news.hot_ahead()]))
    assert "Do this: before you go, draw the blind, or move the jar, gently, out of the sun." in sun
    assert "lamp" not in sun
    lamp = flat(hot_ahead_letter(here(), [news.hot_ahead(sun=False, has_lamp=True)]))
    assert "Do this: switch the lamp off at its switch or timer" in lamp
    assert "This is no fire alarm: your school's fire rules come first." in sun
    assert "The water warmed before as it does when sun comes through a window." in sun


def test_heat_to_come_gives_its_limits_in_both_units_and_says_if_it_may_pass_them():
    """New 2002, FAO Fisheries Technical Paper 428, annex 4: 33 and 40 °C [R, copy]."""
    assert "Above 91 °F (33 °C) eggs (cysts) stop developing and may not recover. It could get" in flat(
        hot_ahead_letter(here("F"), [news.hot_ahead()])
    )
    mild = flat(hot_ahead_letter(here(), [news.hot_ahead(extreme_c=Range(30.2, 31.0, 32.9))]))
    assert "It is not likely to get that hot." in mild
    fierce = flat(hot_ahead_letter(here(), [news.hot_ahead(extreme_c=Range(36.0, 38.0, 41.0))]))
    assert "Above 40 °C (104 °F) they die. It could get that hot." in fierce


# Lamp, place, salt ---------------------------------------------------------------------------------------


def test_a_lamp_that_stays_on_is_said_with_its_hours_and_for_how_long():
    said = flat(lamp_stays_on_letter(here(), [news.lamp_stays_on()]))
    assert "Lamp hours: 18:00 to 07:00. - Should be off since: today at 07:00." in said
    assert "Do this: set the lamp's timer right, so that the lamp goes off." in said
    assert "Light from the room or a window looks the same from here." in said
    nobody_there = flat(lamp_stays_on_letter(away(), [news.lamp_stays_on()]))
    assert "Nobody has to come in" not in nobody_there
    assert "An adult who knows the lamp can switch it off sooner, at its switch or timer." in nobody_there


def test_a_swing_is_said_as_a_difference_in_the_set_unit():
    """A difference of 10 K is one of 18 °F, by definition of the scale."""
    letter = swing_letter(here("F"), [news.swing()])
    assert letter.subject == "Swing: 58 °F to 85 °F, jar, Room 12"
    assert "Apart: 27.7 °F. - Limit: 18.0 °F." in flat(letter)
    assert "(common practice, not a measured limit)" in flat(letter)


def test_salt_water_at_the_mark_is_thinned_by_taking_some_out():
    said = flat(salinity_letter(here(), [news.salty()]))
    assert "is too salty: most likely 37.5 g (36.1 to 39.0) of salt in a kg." in said
    assert "take 77 mL out of each cup on its dark side. Keep it aside: it may hold eggs or animals." in said
    assert "Then pour plain water, not salt water, slowly up to the mark." in said
    assert "naupliad care add tray-a remove 77 - naupliad care add tray-a top-up 77 --detail to=mark" in said
    assert "measure the salt first, if you can." in said
    assert "Should be: 20 to 32 g." in said
    unknown = flat(salinity_letter(here(), [news.salty(mark_ml=None)]))  # which leaves room to say why
    assert "Perhaps salt water was poured in for plain water." in unknown


def test_several_salty_vessels_are_told_in_a_table_what_to_take_out_and_pour():
    letter = salinity_letter(here(), [news.salty(), news.salty(vessel="jar", count=1, mark_ml=900.0)])
    said = flat(letter)
    assert letter.subject == "Too salty: 38 g in a kg, tray-a and jar, Room 12"
    assert "the most salty has about 38 g of salt in a kg." in said
    assert "take water out on the dark side, as listed. Keep it aside" in said
    assert re.search(r"jar +37.5 g +276 mL +276 mL +20 to 32 g", said)
    assert "top-up 77 --detail to=mark - and so for each of the others" in said


def test_salt_water_below_the_mark_is_filled_up_with_plain_water():
    low = news.salty(fill_ml=52.0, loss_ml=Range(47.0, 52.0, 58.0))
    said = flat(salinity_letter(here(), [low]))
    assert "up to the mark. Stop there: that is 52 mL (about 10½ teaspoons) into each cup." in said
    assert "After that: about 30 g." in said  # 37.5 × (250 − 52) / 250
    assert "salt water was poured in" not in said


def test_where_the_volume_is_not_known_a_share_is_said():
    """37.5 to 26 g/kg: 1 − 26/37.5 is 31 %."""
    said = flat(salinity_letter(here(), [news.salty(mark_ml=None)]))
    assert "take about 31 % out of each cup on its dark side." in said


def test_too_little_salt_is_put_right_by_strong_brine():
    said = flat(salinity_letter(here(), [news.fresh()]))
    assert "Then stir 13 g of your salt into 130 mL of plain water" in said
    assert "Then slowly pour 130 mL of the brine in." in said
    assert "naupliad care add jar brine 130 --detail salt_g_per_l=100" in said
    subject = salinity_letter(here(), [news.fresh()]).subject
    assert subject == "Not salty enough: 15 g in a kg, jar, Room 12"


def test_where_brine_cannot_be_worked_out_the_care_log_is_looked_through():
    said = flat(salinity_letter(here(), [replace(news.fresh(), mark_ml=None)]))
    assert "look in the care log whether each top-up and brine was written down right." in said
    assert "Perhaps the brine was mixed thin, or more plain water went in than had left." in said
    assert "Eggs (cysts) still hatch in 5 to 35 g; swimmers like it saltier." in said
    assert "pour" not in said.lower().replace("poured", "")


# Hatch, harvest, feed ------------------------------------------------------------------------------------


def test_a_late_hatch_names_the_hour_said_before_and_the_new_one():
    letter = late_hatch_letter(here(), [news.late()])
    assert letter.subject == "Hatch later: half by Sat 05:00, tray-a, Room 12"
    said = flat(letter)
    assert "comes later than we expected: half of it most likely tomorrow at 05:00." in said
    assert "We expected half: today at 16:00. - Half is expected now (calculated): Fri 22:00 to Sat" in said
    assert "Water, on average: 21.4 °C." in said
    assert "Best are 25 to 28 °C. Cold slows the hatch, but seldom harms cysts." in said
    assert "No swimmers yet: naupliad care add tray-a hatched 0" in said


def test_a_hatch_of_which_nothing_is_recorded_is_asked_for_without_blame():
    """López-Torres & Lizárraga-Partida 2001, Aquaculture 194: 15 lots, median 79 %, from 5 % [R]."""
    letter = late_hatch_letter(here(), [news.overdue()])
    assert letter.subject == "No swimmers noted after 4 days, tray-a, Room 12"
    said = flat(letter)
    assert "After 4 days all eggs (cysts) in tray-a (24 cups) should have hatched, but no" in said
    assert "Some tins hatch well, some hardly at all." in said
    assert "Seeing none is no fault of yours." in said
    assert "Cold slows" not in said
    assert "Half was expected (calculated): Tue 09:00 to Wed 02:00." in said
    assert "Some swim (here: half): naupliad care add tray-a hatched 50%" in said


def test_a_harvest_is_said_with_its_window_and_how_to_draw_off():
    letter = harvest_letter(here(), [news.harvest()])
    said = flat(letter)
    assert letter.subject == "Harvest from Fri 16:00, cone, Room 12"
    assert "Do this: today at 16:00, or when you are next there after that, turn the air off" in said
    assert "Best (calculated): from Fri 16:00 until Sat 04:00." in said
    assert "Hold a torch low at one side and draw the animals off there." in said
    is_open = flat(harvest_letter(here(), [news.harvest(opens_at=TimeRange(*[local(15, 2)] * 3))]))
    assert "Under 10 °C with some air they keep 24 hours." in is_open  # Ghent course notes [R]
    closing = harvest_letter(here(), [news.harvest(closing=True)])
    assert closing.subject == "Harvest by Sat 04:00, cone, Room 12"


def test_a_harvest_gives_the_line_that_records_it_with_words_for_the_amount():
    line = "In mL, here 500: naupliad care add cone harvest 500"
    assert line in flat(harvest_letter(here(), [news.harvest()]))


def test_animals_that_can_eat_may_be_drawn_off_or_kept():
    gone = TimeRange(local(13, 8), local(13, 13), local(13, 20))
    late = {"opens_at": gone, "closes_at": gone, "closing": True}
    said = flat(harvest_letter(here(), [news.harvest(**late, growing=True)]))
    assert "Do this: draw the animals off, or keep them here and feed them: they can eat by now." in said
    assert "To draw off, turn the air off" in said
    before = flat(harvest_letter(here(), [news.harvest(**late)]))
    assert "keep them here" not in before
    assert "Do this: turn the air off" in before


@pytest.mark.parametrize(
    "one",
    [
        news.harvest(),
        news.harvest(opens_at=TimeRange(None, None, None)),
        news.harvest(opens_at=TimeRange(*[local(15, 2)] * 3)),
        news.unseen_harvest(),
    ],
)
@pytest.mark.parametrize("setting", [here(), away()])
def test_a_heated_cone_is_drawn_off_with_its_heater_cold_and_air_goes_on_again(setting, one):
    heated = flat(harvest_letter(setting, [replace(one, has_heater=True)])).partition("Do this: ")[2]
    assert re.search(r"unplug the heater, and wait until it is cool\. Then turn the air off", heated)
    assert "Air and heater go on again only when the cone is full again." in heated
    plain = flat(harvest_letter(setting, [one])).partition("Do this: ")[2]
    assert "Then turn the air on again." in plain
    assert "heater" not in plain


def test_a_harvest_that_closes_before_somebody_is_back_is_said_so():
    assert "closes before somebody is back" in flat(harvest_letter(away(), [news.harvest()]))
    assert "closes before somebody is back" not in flat(harvest_letter(here(), [news.harvest()]))


def asked_at(letter):
    """The first moment that what is asked for names."""
    return re.search(
        r"(today|tomorrow|\w+day \d+ January) at \d\d:\d\d", flat(letter).partition("Do this: ")[2]
    )[0]


@given(st.integers(0, 47), st.integers(0, 47))
def test_a_harvest_is_asked_for_at_the_later_of_its_opening_and_the_return(opens_h, back_h):
    written = local(15, 18)
    opens, back = at_hour(opens_h + 1, written), at_hour(back_h + 1, written)
    window = TimeRange(opens, opens, opens)
    setting = replace(away(), written_at=written, returns_at=back)
    letter = harvest_letter(setting, [news.harvest(opens_at=window, closes_at=TimeRange(None, None, None))])
    assert asked_at(letter) == times.moment(max(opens, back), written)


def test_a_harvest_that_nobody_will_see_is_said_while_there_is_a_choice():
    letter = harvest_letter(here(), [news.unseen_harvest()])
    said = flat(letter)
    assert "The harvest of cone opens while nobody is there: most likely today at 22:00." in said
    assert "By then most likely 55 % (40 to 70) have hatched; the others are still in the egg." in said
    assert "By Monday 18 January at 08:00 all have hatched, with less yolk left." in said
    assert "Do this: look whether many swim. Choose before today at 15:30: draw off early, or" in said
    unknown = replace(news.unseen_harvest().unseen, back_at=None)
    assert "When you are next there, all have" in flat(
        harvest_letter(here(), [news.unseen_harvest(unseen=unknown)])
    )


def test_nobody_is_asked_to_choose_a_harvest_of_which_nothing_has_hatched():
    too_early = replace(news.unseen_harvest().unseen, hatched_then=Range(0.0, 0.0, 0.02))
    no_choice = flat(harvest_letter(here(), [news.unseen_harvest(unseen=too_early)]))
    assert "to draw off early is of no use" in no_choice
    assert "Choose before" not in no_choice
    assert "or when you are next there after that, turn the air off" in no_choice


@given(st.none() | st.floats(-100.0, 100.0), st.booleans())
def test_nobody_is_advised_to_feed_before_the_second_stage(hours, small):
    """Feeding from instar II only: Benesch 1969, in Vanhaecke et al. 1983 [R]."""
    able = None if hours is None else at_hour(hours, here().written_at)
    one = news.feed(instar_ii_at=TimeRange(able, able, None), small=small)
    letter = feed_letter(here(), [one])
    early = able is None or able > here().written_at
    assert ("do not feed yet" in flat(letter)) == early
    assert ("give food:" in flat(letter)) != early
    assert ("pinch" in letter.subject) != early


def test_only_those_old_enough_are_named_for_a_feed():
    young = news.feed(vessel="tray-b", instar_ii_at=TimeRange(local(16, 8), local(16, 12), None))
    said = flat(feed_letter(here(), [news.feed(), young]))
    assert "give food: a pinch a cup. If it is cloudy" in said
    assert "The animals in tray-a (24 cups) can be fed." in said
    assert "naupliad care add tray-a feed" in said
    assert "naupliad care add tray-b feed" not in said


def test_a_feed_before_nobody_looks_is_small():
    letter = feed_letter(here(), [news.feed(small=True)])
    assert letter.subject == "Feed, day 4: half a pinch a cup, tray-a, Room 12"
    assert "Give no more: nobody will look for a day or more." in flat(letter)


# The station ---------------------------------------------------------------------------------------------


def test_an_outage_tells_its_length_its_cost_and_that_nothing_has_to_be_started():
    letter = outage_letter(here(), news.outage())
    said = flat(letter)
    assert letter.subject == "Station was off 7 hours 15 minutes, Room 12"
    assert said.startswith("The station was off from today at 02:10 to today at 09:25. Do this:")
    assert "Hatch later by (calculated): most likely 1.4 hours (0.6 to 2.9)." in said
    assert "What lives in the water went on: start nothing again." in said
    assert "perhaps only the station had no power" in said


def test_after_an_outage_nobody_touches_what_is_wet_or_switches_on_again_what_tripped():
    said = flat(outage_letter(here(), news.outage()))
    assert "Do this: look, with dry hands, whether the station's plug" in said
    assert "Touch nothing wet or damaged, and do not reach over the water." in said
    assert "A fuse or safety switch that tripped stays off: call the person in charge." in said


def test_lamps_after_an_outage_are_said_to_be_dark_by_their_vessels():
    lit, dark = news.off_vessel(), news.off_vessel(vessel="jar", count=1, lit_after=False)
    said = flat(outage_letter(here(), news.outage(lit, dark)))
    assert "Dark afterwards, in their lamp hours: jar. Their power may still be off" in said
    assert "perhaps only the station" not in said


@pytest.mark.parametrize(("lit", "said"), [(False, "Its power may still be off"), (None, None)])
def test_a_lamp_after_an_outage_is_a_hint_only_where_it_was_seen(lit, said):
    letter = flat(outage_letter(here(), news.outage(news.off_vessel(lit_after=lit))))
    assert "perhaps only the station" not in letter
    assert (said or "") in letter
    assert ("lamp was" in letter) == (lit is not None)


def test_an_outage_without_a_sure_clock_is_perhaps_so_long():
    letter = outage_letter(here(), news.outage(clock_sure=False))
    assert letter.subject == "Station was off perhaps 7 hours 15 minutes, Room 12"
    assert "was off, perhaps from today at 02:10" in flat(letter)
    assert "it may have been longer or shorter" in flat(letter)


def test_a_clock_that_was_put_right_says_by_how_much():
    letter = clock_letter(here(), news.clock_trouble(step_s=-7_380, restamped=123))
    assert letter.subject == "Clock was wrong by 2 hours 3 minutes, Room 12"
    assert flat(letter).startswith("The clock of Room 12 was 2 hours 3 minutes ahead and has been put right.")
    assert "behind" in flat(clock_letter(here(), news.clock_trouble(step_s=7_380)))
    assert "123 readings from that time got the right time afterwards" in flat(letter)
    assert "wrong by 42 seconds" in clock_letter(here(), news.clock_trouble(step_s=42)).subject
    assert "look, with dry hands, whether the station's network works" in flat(
        clock_letter(here(), news.clock_trouble())
    )


def test_a_full_card_keeps_the_readings():
    letter = storage_letter(here(), news.storage())
    assert letter.subject == "Card nearly full: 84 MB free, Room 12"
    assert "The file station.db must stay" in flat(letter)
    full = storage_letter(here(), news.storage(free_mb=0.2))
    assert full.subject == "Card full: 0 MB free, Room 12"
    assert "The memory card of Room 12 is full: 0 MB free." in flat(full)


@pytest.mark.parametrize(
    "letter",
    [
        storage_letter(here(), news.storage()),
        store_lost_letter(here(), news.store_lost()),
        store_lost_letter(here(), news.store_lost(backup_until=None)),
        store_lost_letter(here(), news.store_lost(kept_as=None)),
        store_saved_letter(here(), news.store_saved()),
        rows_spoiled_letter(here(), news.rows_spoiled()),
        file_overlooked_letter(here(), news.file_overlooked()),
        card_failed_letter(here(), news.card_failed()),
        record_full_letter(here(), news.record_full()),
        clock_letter(here(), news.clock_trouble()),
    ],
)
def test_trouble_of_the_station_speaks_of_no_animals_since_none_may_live(letter):
    assert "changes nothing in the vessels" in flat(letter)
    assert "animals" not in flat(letter)


# Coming back, leaving, the night -------------------------------------------------------------------------

LITTLE = {"fill_ml": 0.0}
FED = FeedDue("tray-a", 24, 250.0, True)
DUE = {**LITTLE, "hatched_fraction": Range(0.0, 0.01, 0.02)}


@pytest.mark.parametrize(
    ("changed", "subject", "action"),
    [
        ({"open_alarms": news.STILL_HOT}, "too warm", "look whether sun or lamp makes the water hot"),
        ({"open_alarms": news.STILL_COLD}, "pour 33 mL a cup", "pour plain water, not salt water"),
        ({**LITTLE, "open_alarms": news.STILL_COLD}, "1 alarm open", "look first at tray-a (24 cups)"),
        (LITTLE, "about 98 % hatched", "look for swimmers with a torch from the side"),
        (
            {**LITTLE, "feed": FED},
            "feed a pinch a cup",
            "look whether you can see through the water. If so, give food: a pinch a cup.",
        ),
        (DUE, "nothing urgent", "look into one of the cups once"),
        (
            {**LITTLE, "probe_dead": True},
            "see to the probe",
            "look, with dry hands, whether the probe in tray-a (24 cups)",
        ),
    ],
)
def test_who_comes_back_reads_the_most_useful_thing_first(changed, subject, action):
    letter = return_letter(news.monday(here()), news.returned(news.returned_vessel(**changed)))
    assert letter.subject.startswith(f"Back: {subject}, ")
    assert f"Do this: {action}" in flat(letter)
    assert letter.text.index("Do this:") < letter.text.index("Water now")


def test_a_probe_that_says_nothing_is_put_right_before_anything_is_poured():
    blind = news.returned_vessel(probe_dead=True)
    letter = return_letter(news.monday(here()), news.returned(blind, news.returned_vessel(vessel="tray-b")))
    assert letter.subject == "Back: see to the probe, tray-a, Room 12"
    said = flat(letter)
    assert (
        "Put right what is not. Then pour plain water, not salt water, up to the mark. It takes 33 mL" in said
    )


def test_who_comes_back_learns_what_was_not_seen():
    off = (Span(local(16, 2), local(16, 12)),)
    said = flat(return_letter(news.monday(away()), news.returned(outages=off, readings_good=15_000)))
    assert "Readings trusted: 15000 of 23220 (65 %). - What happened in between is not known." in said
    assert "The station was off from Saturday 16 January at 02:00 to Saturday 16 January at 12:00" in said


def test_a_leave_letter_tells_the_coldest_and_warmest_of_the_whole_absence():
    ranges = {"water_c_min_away": Range(16.0, 17.0, 18.0), "water_c_max_away": Range(28.0, 31.0, 33.5)}
    said = flat(leave_letter(here(), WEEKEND, [outlook(**ranges)]))
    assert "Coldest while you are away: most likely 17.0 °C (16.0 to 18.0); limit 20.0 °C." in said
    assert "Warmest while you are away: most likely 31.0 °C (28.0 to 33.5); limit 30.0 °C." in said
    assert "in the next 16 hours" not in said
    assert "Feed" not in said


def test_a_feed_before_leaving_is_small():
    said = flat(leave_letter(here(), WEEKEND, [outlook(feed=FED)]))
    assert "Then feed as listed below, if the water is clear." in said
    assert "Feed: half a pinch" in said


def test_a_night_with_a_clock_in_doubt_is_not_well():
    letter = nightly_letter(away(), replace(QUIET, clock_sure=False), with_chart=False)
    assert letter.subject.startswith("Sat 16 Jan: clock not sure, ")
    assert "and so may the hours in this letter" in flat(letter)
    assert "whether the station's network works" in flat(letter)
    assert "all well" not in letter.text.lower()


def test_a_night_with_troubles_still_to_be_said_is_not_well():
    setting = replace(away(), also=("jar: the water is low.",))
    letter = nightly_letter(setting, QUIET, with_chart=False)
    assert letter.subject.startswith("Sat 16 Jan: 1 thing to mind, ")
    assert 'read what stands under "Also"' in flat(letter)
    assert "all well" not in nightly_letter(setting, QUIET, with_chart=False).text.lower()
    assert "all well" in nightly_letter(away(), QUIET, with_chart=False).text


def test_a_night_whose_trouble_is_over_is_not_said_to_have_been_all_well():
    cool = replace(WATERED, past_alarms=news.returned_vessel().past_alarms)
    letter = nightly_letter(away(), night(cool, letters=LONG_AGO), with_chart=False)
    assert letter.subject.startswith("Sat 16 Jan: well now, 1 alarm before")
    assert "Do this: nothing now: what was not well is over" in flat(letter)
