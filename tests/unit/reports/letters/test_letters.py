"""Letters: what they say, that text and HTML say the same, and that nothing they are given breaks them."""

import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reports.letters.cold import cold_letter
from reports.letters.digest import HeldLetter, digest_letter, late_note, late_subject
from reports.letters.harvest import harvest_letter
from reports.letters.hatch import HatchNews, hatch_letter
from reports.letters.hot import hot_letter
from reports.letters.lamp import LampTrouble, lamp_letter
from reports.letters.leave import VesselOutlook, leave_letter
from reports.letters.nightly import CHART_CID, nightly_letter
from reports.letters.page import numbered
from reports.letters.probe import ProbeTrouble, probe_letter
from reports.letters.sample import sample_letter
from reports.letters.vessel_night import vessel_outlook
from reports.letters.warmth import TemperatureTrouble
from reports.letters.water import WaterTrouble, water_letter
from reports.records import (
    Absence,
    BrineDue,
    Event,
    NightRecord,
    PastAlarm,
    Range,
    RangePoint,
    Setting,
    SilencedAlarm,
    Span,
    TimeRange,
)
from tests.kit import news_samples as news
from tests.kit.letter_text import body, flat, school_grade, words_of
from tests.kit.report_samples import (
    WEEKEND,
    any_of,
    at_hour,
    away,
    band,
    cold,
    hatch,
    here,
    hot,
    lamp,
    local,
    night,
    outlook,
    probe,
    series,
    vessel,
    water,
)

# Its coldest reading is 18.1 °C.
MILD, JAR = vessel(cold_c=18.0), vessel("jar", cold_c=18.0)
CALM = (Event(local(15, 20), "nightly", "the night before"),)
QUIET_NIGHT = {"vessels": (MILD,), "letters": CALM}
SOON = TimeRange(at_hour(26), at_hour(28), at_hour(30))
STANDING = (Event(local(16, 4), "cold", "the water is too cold"),)
DEAD = (Event(local(16, 4), "probe", "the probe room-rh gives nothing to believe"),)
ASIDE = (SilencedAlarm("cold", "cold water", local(16, 4), local(18, 8)),)


def level(middle):
    """A band that ends about a middle."""
    return band(lambda _: middle, lambda _: 2.0)


def held():
    """Letters that waited for the post, one for each thing that can have become of them."""
    fates = ("over", "told again", "passed", "passed")
    return [
        HeldLetter(n, "cold", f"Cold: 1{n}.0 °C, tray-a, Room 12", local(14, n), fate)
        for n, fate in enumerate(fates, start=3)
    ]


def letters(setting):
    """One of every kind."""
    return {
        "cold": cold_letter(setting, [cold()]),
        "hot": hot_letter(setting, [hot()]),
        "lamp": lamp_letter(setting, [lamp()]),
        "water": water_letter(setting, [water()]),
        "probe": probe_letter(setting, [probe()]),
        "hatch": hatch_letter(setting, [hatch()]),
        "leave": leave_letter(setting, WEEKEND, [outlook()]),
        "nightly": nightly_letter(setting, night(), with_chart=True),
        "sample": sample_letter(setting),
        "digest": digest_letter(setting, "mail", held()),
    }


ALL = [
    pytest.param(letter, id=f"{kind}-{setting.unit}-{'here' if setting.attended_now else 'away'}")
    for setting in (here("C"), here("F"), away("C"), away("F"))
    for kind, letter in letters(setting).items()
]


@pytest.mark.parametrize("letter", ALL)
def test_a_letter_asks_for_exactly_one_thing(letter):
    assert letter.text.count("Do this:") == 1
    assert letter.html.count("Do this:") == 1


@pytest.mark.parametrize("letter", ALL)
def test_text_and_html_hold_the_same_words(letter):
    assert body(letter.html).words == words_of(letter.text)


@pytest.mark.parametrize("letter", ALL)
def test_a_subject_is_one_short_line_that_names_the_place(letter):
    assert len(letter.subject) < 60
    assert "Room 12" in letter.subject
    assert "\n" not in letter.subject


@pytest.mark.parametrize("letter", ALL)
def test_text_wraps_at_72_columns(letter):
    assert max(len(line) for line in letter.text.splitlines()) <= 72


@pytest.mark.parametrize("letter", ALL)
def test_a_letter_says_when_the_next_one_comes(letter):
    assert "The next planned letter comes t" in flat(letter)
    assert "at 20:00" in flat(letter)


@pytest.mark.parametrize("letter", ALL)
def test_no_line_breaks_between_a_number_and_its_unit(letter):
    assert not re.search(r"\d\n\s*(°|mL|%|g/kg|lux)", letter.text)


@pytest.mark.parametrize("letter", ALL)
def test_html_loads_nothing_from_outside(letter):
    assert all(link.startswith("cid:") for link in body(letter.html).links)
    assert "http" not in letter.html
    assert "url(" not in letter.html


@pytest.mark.parametrize("letter", ALL)
def test_nobody_is_advised_to_let_animals_go(letter):
    assert not re.search(
        r"\b(release|let (them|the animals) go|set (them|the animals) free)\b", flat(letter).lower()
    )


@pytest.mark.parametrize("letter", ALL)
def test_prose_can_be_read_at_about_eleven(letter):
    assert school_grade(letter.text) < 6.5


def test_who_is_in_the_room_reads_what_to_do_now():
    assert "Do this: move the cups to a warmer place" in flat(cold_letter(here(), [cold()]))


def test_an_alarm_that_is_silenced_is_said_in_the_nightly_letter_with_its_end():
    said = flat(nightly_letter(away(), night(vessel(silenced=ASIDE), letters=CALM), with_chart=False))
    assert "tray-a: Silenced: cold water, put aside" in said
    known = nightly_letter(here(), night(vessel(silenced=(replace(ASIDE[0], by="heron"),))), with_chart=False)
    assert "tray-a: Silenced by heron: cold water, put aside" in flat(known)
    assert "until Monday 18 January at 08:00. Look yourself." in said
    assert "look at tray-a yourself: an alarm is silenced there." in said
    out = (replace(ASIDE[0], until=None),)
    said = flat(nightly_letter(away(), night(vessel(silenced=out), letters=CALM), with_chart=False))
    assert "until somebody takes it back" in said


def test_the_letter_of_a_second_cold_night_proposes_a_limit_that_none_of_them_passes():
    assert "Every night?" not in flat(cold_letter(here(), [cold()]))
    said = flat(cold_letter(here(), [cold(usual_c=17.4, has_lamp=False)]))
    assert "with cold_c = 17 none of these nights would have brought a letter" in said
    assert "have the lamp" not in said
    assert "do not leave a heater or an extra lamp on beside the water" in said
    lit = flat(cold_letter(here(), [cold(usual_c=17.5, has_lamp=True)]))
    assert "with cold_c = 17.5 none" in lit
    assert "have the lamp that the cups have burn at night" in lit


@pytest.mark.parametrize("kind", ["cold", "hot", "lamp", "water", "probe", "hatch"])
def test_who_is_away_reads_what_to_do_on_monday(kind):
    assert "Do this: when you are back, Monday 18 January at 08:00, " in flat(letters(away())[kind])


@pytest.mark.parametrize("kind", ["cold", "hot", "lamp", "water", "probe"])
def test_who_is_away_learns_whom_to_ask_and_that_nobody_must_come(kind):
    assert "nobody has to come in for this" in flat(letters(away())[kind])
    assert "nobody has to come in" not in flat(letters(here())[kind])


def test_a_moment_of_return_that_is_not_known_is_not_invented():
    setting = Setting("Room 12", "C", local(15, 22), False, None, None)
    said = flat(cold_letter(setting, [cold()]))
    assert "Do this: when you are next in the room, " in said
    assert "No further letter is planned now." in said


@pytest.mark.parametrize("kind", ["hot", "lamp", "leave"])
def test_letters_near_lamps_carry_the_short_caution(kind):
    said = flat(letters(away())[kind])
    assert "Dry your hands first, do not reach over the water" in said
    assert "lamps get hot" in said


def test_a_hot_letter_gives_its_limits_in_both_units_the_stations_first():
    assert "Above 33 °C (91 °F) the eggs (cysts) stop" in flat(hot_letter(here(), [hot()]))
    said = flat(hot_letter(here("F"), [hot()]))
    assert (
        "Above 91 °F (33 °C) the eggs (cysts) stop developing and may not recover. The water was above that."
        in said
    )
    assert "This is no fire alarm." in said
    assert "cysts in water die" not in said


def test_water_past_40_degrees_is_said_to_have_passed_what_cysts_live_through():
    """New 2002, FAO Fisheries Technical Paper 428, annex 4: dead above 40 °C [R, copy]."""
    assert "Above 40 °C (104 °F) cysts in water die." in flat(hot_letter(here(), [hot(extreme_c=40.5)]))


def test_progress_below_15_degrees_is_said_not_to_be_known():
    assert "it is not known how fast a hatch goes on" not in flat(cold_letter(away(), [cold()]))
    colder = cold(water_c_min_next_16h=Range(13.9, 15.1, 16.0))
    assert "Below 15 °C it is not known how fast a hatch goes on" in flat(cold_letter(away(), [colder]))
    assert "Below 59 °F it is not known" in flat(cold_letter(away("F"), [colder]))


def test_three_vessels_alike_share_one_letter_that_names_the_coldest():
    said = cold_letter(away(), [cold(), cold(vessel="tray-b", water_c=16.2), cold(vessel="cone", count=1)])
    assert said.subject == "Cold: 16.2 °C, 3 vessels, Room 12"
    assert "tray-a (24 cups), tray-b (24 cups) and cone: the coldest is at 16.2 °C." in flat(said)
    assert said.text.count("Coldest since then") == 3


def test_water_is_said_to_be_calculated_and_wide_before_the_first_top_up():
    before, after = (flat(water_letter(here(), [water(learned_top_ups=n)])) for n in (0, 1))
    assert "calculated from what was told, not measured" in before
    assert "calculated from what was told, not measured" in after
    assert "No top-up to the mark has been told yet" in before
    assert "No top-up to the mark has been told yet" not in after


def test_a_water_letter_tells_how_much_to_pour_in_ml_and_spoons():
    assert "34 mL (about 7 teaspoons) into each cup of tray-a (24 cups)" in flat(
        water_letter(here(), [water()])
    )


def test_a_low_mark_in_the_past_is_said_to_be_reached():
    passed = TimeRange(local(15, 9), local(15, 11), local(15, 13))
    said = flat(water_letter(here(), [water(low_mark_at=passed)]))
    assert "Low mark, 40 mL below the mark: reached already." in said


def test_what_was_drawn_off_took_its_salt_with_it():
    """Salt is conserved: (250 − 100) mL of 20 g/kg in 250 mL are 12 g/kg."""
    low = {
        "salinity_g_per_kg": Range(19.0, 20.0, 21.0),
        "loss_ml": Range(98.0, 100.0, 102.0),
        "fill_ml": 100.0,
    }
    drawn = {**low, "stage": "being harvested", "drawn_ml": 80.0}
    said = flat(water_letter(here(), [water(**drawn)]))
    assert "most likely 100 mL. - Most of this was drawn off, and its salt with it." in said
    assert "After the plain water: about 12 g/kg." in said
    assert "salt stays" not in said
    dried = flat(water_letter(here(), [water(**{**drawn, "drawn_ml": 40.0})]))
    assert "drawn off" not in dried
    assert "After the plain water" not in dried
    assert "Water leaves, salt stays" in dried
    assert "Water leaves, salt stays" in flat(water_letter(here(), [water(), water(**drawn)]))


@pytest.mark.parametrize(
    ("salt", "said"),
    [
        (38.0, None),
        (41.0, "It should be 10 to 38 g/kg; filling to the mark brings it to about 35 g/kg."),
        (9.0, "It should be 10 to 38 g/kg; filling to the mark brings it to about 8 g/kg."),
    ],
)
def test_a_letter_about_low_water_says_where_its_salt_is_out_of_limits(salt, said):
    """Salt is conserved: (250 − 34) mL of 41 g/kg in 250 mL are 35.4 g/kg."""
    letter = flat(water_letter(here(), [water(salinity_g_per_kg=Range(salt, salt, salt))]))
    assert ("It should be" in letter) == (said is not None)
    assert (said or "Salt:") in letter
    none_poured = flat(water_letter(here(), [water(salinity_g_per_kg=Range(salt, salt, salt), fill_ml=0.0)]))
    assert ("It should be 10 to 38 g/kg." in none_poured) == (said is not None)
    assert "brings it to" not in none_poured


def test_a_probe_that_is_back_in_the_air_is_to_be_put_back_in_the_water():
    said = flat(probe_letter(here(), [probe()]))
    assert "warm the probe tray-water in your dry hand for a minute, put it back under the water" in said
    assert probe_letter(here(), [probe()]).subject.startswith("Probe in the air since Fri 12:02")
    absent = flat(probe_letter(here(), [probe(fault="absent"), probe(probe="room-air", measures="room_c")]))
    assert "the plugs and cables of these probes are firm and whole: tray-water and room-air." in absent
    assert "about the probes, not about what is in the water" in absent
    assert "Until they are back, the water temperature and the room temperature are not known here" in absent
    assert "Take care: the water probe stands in salt water." in absent
    assert "tray-water, water temperature in tray-a" in absent
    assert "room-air, room temperature at tray-a" in absent


def test_a_probe_that_never_gave_a_reading_is_said_so():
    said = flat(probe_letter(here(), [probe(last_good=None, last_good_at=None)]))
    assert "It has given no trusted reading yet." in said


def test_a_leave_letter_says_how_much_to_pour_and_where_it_ends():
    said = flat(leave_letter(here(), WEEKEND, [outlook()]))
    assert "Fill: 36 mL (about 7 teaspoons) of plain water into each cup" in said
    assert "which ends 12 mL (about 2½ teaspoons) above the mark." in said
    assert "with nine chances in ten the water stays under the brim" in said
    assert "Lamp timer: on from 18:00 to 07:00." in said
    assert "Salt at your return: between 27.1 and 29.9 g/kg" in said
    assert "while nobody is here" in said
    assert "the station itself is off or its post is stuck: no news is not good news." in said


def test_a_fill_that_ends_at_the_mark_is_said_so():
    said = flat(leave_letter(here(), WEEKEND, [outlook(above_mark_ml=0.0)]))
    assert "into each cup, 864 mL in all, which ends at the mark." in said
    assert "naupliad care add tray-a top-up 36 --detail to=mark" in said
    assert "--detail above_ml=12" in flat(leave_letter(here(), WEEKEND, [outlook(above_mark_ml=12.0)]))


def test_a_letter_of_hot_water_without_a_lamp_names_none():
    said = flat(hot_letter(here(), [hot(has_lamp=False)]))
    assert "lamp" not in said
    assert "shade the cone from the sun" in said


def test_a_night_that_is_likely_to_be_too_cold_is_not_answered_with_nothing_to_do():
    chilly = vessel(water_c_min_next_16h=Range(14.0, 16.0, 18.0))
    said = flat(nightly_letter(here(), night(vessels=(chilly,)), with_chart=False))
    assert "the coming night is likely to be too cold for it" in said
    assert "Do this: nothing" not in said


def test_a_fill_that_may_not_last_is_not_called_safe():
    said = flat(leave_letter(here(), WEEKEND, [outlook(fill_holds=False)]))
    assert "That may not last until you are back." in said
    assert "nine chances in ten" not in said


def test_water_over_the_brim_is_not_answered_with_more_water():
    full = outlook(fill_holds=False, fill_fails="brim", fill_ml=0.0, above_mark_ml=34.0)
    said = flat(leave_letter(here(), WEEKEND, [full]))
    assert "over the brim" in said
    assert "take some out, down to the mark" in said
    assert "fill to the mark" not in said


def test_no_timer_is_to_be_checked_where_there_is_no_lamp():
    said = flat(leave_letter(here(), WEEKEND, [outlook(lamp_hours=(), fill_ml=0.0, above_mark_ml=0.0)]))
    assert "timer" not in said
    assert "Before you go: no water needed" in said


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "all well"),
        ({"readings_came": 1368, "readings_good": 1300}, "all well"),
        ({"readings_came": 1367}, "5 % of readings missing"),
        ({"readings_expected": 0, "readings_came": 0, "readings_good": 0}, "no readings were due"),
        ({"outages": (Span(at_hour(2), at_hour(3)),)}, "station off once"),
        ({"vessels": (replace(MILD, open_alarms=STANDING),)}, "1 alarm open"),
        (
            {"vessels": (replace(MILD, open_alarms=DEAD), vessel("jar", open_alarms=DEAD, cold_c=18.0))},
            "1 alarm open",
        ),
        (
            {"vessels": (replace(MILD, open_alarms=STANDING), vessel("jar", open_alarms=STANDING))},
            "2 alarms open",
        ),
        ({"vessels": (replace(MILD, silenced=ASIDE),)}, "1 alarm silenced"),
        ({"vessels": (MILD, vessel("jar", water_c=()))}, "not all vessels were read"),
        ({"vessels": (vessel(water_c=series(lambda _: 24.0, out=((4, 6),))),)}, "not all vessels were read"),
        ({"vessels": (MILD, vessel("jar", water_c=(), dry=True, watched=False))}, "all well"),
        ({"vessels": (MILD, vessel("jar", water_c=(), dry_s=86_400))}, "all well"),
        ({"letters": (Event(at_hour(3), "lamp", "lamp"),)}, "well now, 1 warning"),
        ({"vessels": (replace(MILD, cold_c=18.2),)}, "too cold for a time"),
        ({"vessels": (replace(MILD, cold_c=18.2, watched_from=at_hour(23)),)}, "all well"),
        ({"vessels": (replace(MILD, hot_c=26.0),)}, "too warm for a time"),
        ({"vessels": (replace(MILD, hot_c=26.0, watched_from=at_hour(23)),)}, "all well"),
        ({"vessels": (replace(MILD, watched=False, batch_set_at=None),)}, "nothing watched"),
        ({"vessels": (replace(MILD, water_c_min_next_16h=Range(16.0, 17.9, 19.0)),)}, "cold likely"),
        ({"vessels": (replace(MILD, water_c_max_next_16h=Range(29.0, 30.1, 31.0)),)}, "heat likely"),
        ({"vessels": (replace(MILD, loss_ml=level(41.0)),)}, "water low"),
        ({"vessels": (replace(MILD, fill_ml=30.0, low_mark_at=SOON),)}, "water to fill up"),
        ({"vessels": (replace(MILD, fill_ml=0.0, low_mark_at=SOON),)}, "all well"),
        ({"vessels": (replace(MILD, loss_ml=level(-36.0)),)}, "water over the brim"),
        ({"vessels": (replace(MILD, salinity_g_per_kg=level(9.0)),)}, "salt out of range"),
        ({"vessels": (replace(MILD, brine=BrineDue(0.0, 0.0, harvested=True)),)}, "a harvest to close"),
    ],
)
def test_all_well_is_earned(changed, said):
    letter = nightly_letter(away(), night(**{**QUIET_NIGHT, **changed}), with_chart=False)
    assert letter.subject.startswith(f"Sat 16 Jan: {said}")
    assert letter.text.startswith(f"Sat 16 Jan: {said}.")
    assert ("all well" in letter.text) == (said == "all well")


def test_a_night_with_readings_missing_says_how_many_of_the_others_are_not_believed():
    """Of 1440, 86 did not come and 58 more are not trusted: 6 and 4 in a hundred, which leaves 90."""
    record = night(**{**QUIET_NIGHT, "readings_came": 1354, "readings_good": 1296})
    letter = nightly_letter(away(), record, with_chart=False)
    assert letter.text.startswith("Sat 16 Jan: 6 % of readings missing and 4 % not believed.")
    assert "1296 of 1440 came and are trusted (90 %)" in flat(letter)


def test_a_low_mark_that_the_water_is_past_has_no_moment_to_come():
    past, ahead = TimeRange(local(15, 20), local(15, 21), local(16, 1)), SOON
    for low_mark_at, loss_ml, below in ((past, 30.0, True), (ahead, 41.0, True), (ahead, 30.0, False)):
        one = replace(MILD, low_mark_at=low_mark_at, loss_ml=level(loss_ml), low_ml=40.0)
        said = flat(nightly_letter(away(), night(one), with_chart=False))
        assert ("Low mark (40 mL below the mark): the water stands below it." in said) == below, said
        assert ("Low mark (40 mL below the mark) reached: " in said) == (not below), said


def test_a_probe_that_vessels_share_is_listed_once_with_their_names():
    was = PastAlarm("probe", "the probe lux gave nothing to believe", Span(at_hour(2), at_hour(3)), "over")
    tray, jar = (
        replace(one, open_alarms=(*DEAD, *STANDING), past_alarms=(was,)) for one in (MILD, vessel("jar"))
    )
    said = flat(nightly_letter(away(), night(tray, jar), with_chart=False))
    assert said.count(DEAD[0].text) == said.count(was.text) == 1
    assert "tray-a and jar: the probe room-rh gives nothing to believe, since" in said
    assert "tray-a and jar: the probe lux gave nothing to believe, from" in said
    assert said.count("the water is too cold") == 2


def test_what_is_not_known_stands_before_what_is():
    said = nightly_letter(
        away(),
        night(readings_came=1000, readings_good=1000, outages=(Span(at_hour(2), at_hour(9)),)),
        with_chart=False,
    )
    first = said.text.split("Do this:")[0]
    assert "1000 of 1440 came and are trusted (69 %). What happened in between is not" in " ".join(
        first.split()
    )
    assert "The station was off from" in first


def test_a_nightly_letter_is_complete_without_its_chart():
    with_chart, without = (nightly_letter(away(), night(), with_chart=chart) for chart in (True, False))
    assert with_chart.text == without.text
    assert without.chart_cid is None
    assert "<img" not in without.html
    for fact in (
        "Water coldest: 18.1 °C, tomorrow at 06:45, past the limit of 20.0 °C.",
        "Water warmest: 26.2 °C",
        "Lamp in its hours: seen lit for 8 hours 30 minutes, seen dark for 4 hours 30 minutes.",
        "Water in each cup: between 1 and 14 mL below the mark, most likely 8 mL.",
        "Loss: between 11 and 23 mL a day, most likely 16 mL a day.",
        "Salt: between 24.2 and 26.5 g/kg",
        "Hatched, of those that will: between 83 and 100 %, most likely 99 %.",
        "Coldest in the next 16 hours (a forecast): between 19.2 and 22.1 °C",
        "Done: top-up, 21 mL to the mark",
        "cold: 18.6 °C",
        "Readings: 1436 of 1440",
    ):
        assert fact in flat(without)


def test_the_chart_has_its_place_and_words_for_who_cannot_see_it():
    letter = nightly_letter(away(), night(), with_chart=True)
    (picture,) = body(letter.html).pictures
    assert letter.chart_cid == CHART_CID
    assert picture["src"] == f"cid:{CHART_CID}"
    assert "tray-a was too cold for 2 hours 50 minutes, coldest 18.1 °C." in picture["alt"].replace(
        "\u00a0", " "
    )


def test_a_lamp_whose_light_is_not_measured_is_not_said_to_have_been_lit():
    dark = vessel(light_unit=None, light=())
    said = flat(nightly_letter(away(), night(dark), with_chart=False))
    assert "no light is measured here, so whether it was on is not known" in said
    assert "seen lit" not in said


def test_a_vessel_without_a_batch_has_no_outlook():
    empty = vessel(
        batch_set_at=None,
        loss_ml=(),
        salinity_g_per_kg=(),
        hatched_fraction=(),
        hatch_t50=None,
        low_mark_at=None,
        loss_ml_per_day=None,
        water_c_min_next_16h=None,
    )
    assert vessel_outlook(away(), empty) == ()
    said = flat(nightly_letter(away(), night(empty), with_chart=False))
    assert "tray-a (24 cups), no batch running" in said
    assert "calculated" not in said


def test_a_hatch_is_near_or_nearly_done_by_its_share():
    news = hatch(hatched_fraction=Range(0.92, 0.96, 0.995))
    assert "is nearly done: most likely 96 %" in flat(hatch_letter(here(), [news]))
    near = hatch(hatched_fraction=Range(0.0, 0.01, 0.04))
    assert "is near: most likely 1 % so far, half most likely today at 21:00." in flat(
        hatch_letter(here(), [near])
    )


@pytest.mark.parametrize(
    ("share", "asked"), [(0.01, "first swimmers, or none yet"), (0.57, "how many swim, or none yet")]
)
def test_who_looks_into_a_hatch_is_asked_for_what_there_may_be_to_see(share, asked):
    letter = flat(hatch_letter(here(), [hatch(hatched_fraction=Range(share, share, share))]))
    assert f"tell the care log what you see: {asked}." in letter


def test_a_name_with_signs_of_html_is_shown_as_it_is():
    letter = cold_letter(away(station="<b>R&D</b>"), [cold(vessel="<script>")])
    assert "<script>" not in letter.html
    assert "<script>" in body(letter.html).words or "<script>" in " ".join(body(letter.html).words)
    assert body(letter.html).words == words_of(letter.text)


def some(kind):
    return st.lists(any_of(kind), min_size=1, max_size=3)


ANY_LETTER = st.one_of(
    st.builds(cold_letter, any_of(Setting), some(TemperatureTrouble)),
    st.builds(hot_letter, any_of(Setting), some(TemperatureTrouble)),
    st.builds(lamp_letter, any_of(Setting), some(LampTrouble)),
    st.builds(water_letter, any_of(Setting), some(WaterTrouble)),
    st.builds(probe_letter, any_of(Setting), some(ProbeTrouble)),
    st.builds(hatch_letter, any_of(Setting), some(HatchNews)),
    st.builds(leave_letter, any_of(Setting), any_of(Absence), some(VesselOutlook)),
    st.builds(nightly_letter, any_of(Setting), any_of(NightRecord), st.booleans()),
    st.builds(sample_letter, any_of(Setting)),
)


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(ANY_LETTER)
def test_no_record_breaks_a_letter(letter):
    assert 0 < len(letter.subject) <= 59
    assert not re.search(r"[\x00-\x1f\x7f]", letter.subject)
    for part in (letter.subject, letter.text, letter.html):
        part.encode("utf-8")
    # Text that is drawn may be any of the program's own, so a vessel may be called so.
    assert len(re.findall(r"^Do this: (?!\()", letter.text, re.MULTILINE)) == 1
    assert "nan" not in letter.subject
    assert "None" not in letter.text


def test_estimates_that_end_before_the_night_does_are_said_as_they_were():
    early = vessel(
        loss_ml=(RangePoint(at_hour(1), Range(5.0, 6.0, 7.0)),), light=series(lambda _: 820.0, end=0.0)
    )
    said = flat(nightly_letter(away(), night(early), with_chart=False))
    assert "Water in each cup: between 5 and 7 mL below the mark, most likely 6 mL." in said
    assert "Lamp in its hours: not seen for 13 hours." in said


def test_a_digest_lists_every_letter_with_number_time_and_subject_under_what_became_of_it():
    said = flat(digest_letter(here(), "mail", held()))
    for one in held():
        assert said.count(f"Letter {one.number}, written") == 1
        assert one.subject in said
    order = [
        said.index(part) for part in ("is over by now", "Letter 3,", "tells of again", "Letter 4,", "gone by")
    ]
    assert order == sorted(order)
    assert "4 letters could not go out by mail in time" in said


@pytest.mark.parametrize("letter", ALL)
def test_a_number_is_the_last_line_of_text_and_page(letter):
    said = numbered(letter, 17, "Room 12")
    assert said.text.endswith("\nLetter 17 from Room 12.\n")
    assert said.text.startswith(letter.text)
    assert body(said.html).words == words_of(said.text)
    assert (said.subject, said.chart_cid) == (letter.subject, letter.chart_cid)


def test_a_late_letters_subject_and_note_say_so():
    assert late_subject("Cold: 18.2 °C, tray-a, Room 12") == "Late: Cold: 18.2 °C, tray-a, Room 12"
    assert len(late_subject("x" * 59)) == 59
    note = late_note(local(15, 21), "stands")
    assert note.startswith(
        "Late: this letter was written on Friday 15 January 2027 at 21:00 and could not be"
    )
    assert len({late_note(local(15, 21), fate) for fate in ("stands", "over", "told again", "passed")}) == 4


def test_what_may_pass_a_limit_comes_first_before_people_leave():
    likely = outlook(water_c_min_away=Range(12.0, 16.0, 19.0), water_c_max_away=Range(20.0, 24.0, 27.0))
    cold_first = leave_letter(here(), WEEKEND, [likely])
    assert cold_first.subject.startswith("Before you go: cold likely and more, ")
    assert cold_first.text.startswith("Cold is likely in tray-a (24 cups).")
    assert "Do this: before you go, ask for the heating to stay on, or move tray-a (24 cups)" in flat(
        cold_first
    )
    heated = replace(likely, vessel="cone", count=1, has_heater=True)
    said = flat(leave_letter(here(), WEEKEND, [likely, heated]))
    assert "look, with dry hands, whether the heater of cone is plugged in" in said
    assert "or move tray-a (24 cups), gently, to a warmer place" in said
    hot = replace(likely, water_c_min_away=None, water_c_max_away=Range(25.0, 31.0, 34.0), fill_ml=0.0)
    assert "draw the blind, or move tray-a" in flat(leave_letter(here(), WEEKEND, [hot]))
    mild = replace(likely, water_c_min_away=Range(18.0, 20.1, 22.0))
    assert "cold" not in leave_letter(here(), WEEKEND, [mild]).subject


def test_what_stands_is_said_before_people_leave():
    plain = outlook()
    silent = Event(local(14, 11), "probe", "the probe tray-water gives nothing to believe")
    said = flat(leave_letter(here(), WEEKEND, [replace(plain, open_alarms=(silent,))]))
    assert "Not well: the probe tray-water gives nothing to believe, since yesterday at 11:00." in said
    assert "; then see that the probes are plugged in and in their places" in said
    assert "probe" not in flat(leave_letter(here(), WEEKEND, [plain]))


def test_only_a_probe_in_the_water_is_said_to_stand_in_it():
    of_room = probe(probe="room-air", measures="room_c")
    assert "the probe stands in salt water" in flat(probe_letter(here(), [probe()]))
    assert "the water probe stands in salt water" in flat(probe_letter(here(), [of_room, probe()]))
    two = flat(probe_letter(here(), [probe(), probe(probe="jar-water", vessels=("jar",))]))
    assert "the water probes stand in salt water" in two
    assert "warm each of these probes in your dry hand" in two
    assert "Until they are back, the water temperature is not known here, and no letter can warn of it" in two
    said = flat(probe_letter(here(), [of_room]))
    assert "stands in salt water" not in said
    assert "Take care: there is salt water near. Dry your hands" in said


def test_a_probe_is_not_trusted_since_its_last_good_reading_however_late_that_was_seen():
    late = probe(since=local(15, 12), last_good_at=local(15, 3), last_good=24.0)
    assert "No trusted reading from tray-water since today at 03:00." in flat(probe_letter(here(), [late]))


def test_a_window_that_is_past_is_not_one_to_be_in_time_for():
    passed = TimeRange(local(14, 1), local(14, 4), local(14, 9))
    said = harvest_letter(here(), [news.harvest(closing=True, closes_at=passed)])
    assert said.subject.startswith("Harvest past its best since Thu 04:00")
    assert "past its best time" in flat(said)


def test_a_night_that_asks_for_water_is_not_headed_all_well():
    dry = {"low_mark_at": TimeRange(local(15, 13), local(18, 9), None), "fill_ml": 24.0}
    said = nightly_letter(here(), night(vessel(**dry), letters=()), with_chart=False)
    assert "fill tray-a to the mark with plain water" in flat(said)
    assert "water to fill up" in said.subject
