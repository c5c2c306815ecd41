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
from tests.kit.text_table import table_in

# Its coldest reading is 18.1 °C.
MILD, JAR = vessel(cold_c=18.0), vessel("jar", cold_c=18.0)
CALM = (Event(local(15, 20), "nightly", "the night before"),)
QUIET_NIGHT = {"vessels": (MILD,), "letters": CALM}
SOON = TimeRange(at_hour(26), at_hour(28), at_hour(30))
STANDING = (Event(local(16, 4), "cold", "the water is too cold"),)
DEAD = (Event(local(16, 4), "probe", "the probe room-rh gives nothing to believe"),)
ASIDE = (SilencedAlarm("cold", "cold water", local(16, 4), local(18, 8)),)


_GARBLED = "its answers arrive garbled"
_OUT_OF_WATER = "it follows the room's air, so it may be out of the water"


def rows_of(letter):
    """The cells of a letter's first table, its head first."""
    parts = (table_in(part.splitlines()) for part in letter.text.split("\n\n"))
    return next(part for part in parts if part is not None)


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
    assert re.search(r"Next letter: to\w+ at 20:00, or sooner if needed\.", flat(letter))


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
    assert "tray-a: Silenced until Monday 18 January at 08:00: cold water. Look yourself." in said
    known = nightly_letter(here(), night(vessel(silenced=(replace(ASIDE[0], by="heron"),))), with_chart=False)
    assert "tray-a: Silenced by heron until Monday 18 January at 08:00: cold water." in flat(known)
    assert "look at tray-a yourself: an alarm is silenced there." in said
    out = (replace(ASIDE[0], until=None),)
    said = flat(nightly_letter(away(), night(vessel(silenced=out), letters=CALM), with_chart=False))
    assert "until somebody takes it back" in said


def test_the_letter_of_a_second_cold_night_proposes_a_limit_that_none_of_them_passes():
    assert "Every night?" not in flat(cold_letter(here(), [cold()]))
    said = flat(cold_letter(here(), [cold(usual_c=17.4, has_lamp=False)]))
    assert "set cold_c = 17 in the station file, which none of these nights passed." in said
    assert "LED" not in said
    assert "Leave no heater or hot lamp on with nobody there: they have started fires." in said
    lit = flat(cold_letter(here(), [cold(usual_c=17.5, has_lamp=True)]))
    assert "set cold_c = 17.5 in" in lit
    assert "Or let a low-voltage LED burn at night, by timer and station file, if your rules" in lit


@pytest.mark.parametrize("kind", ["cold", "hot", "lamp", "water", "probe", "hatch"])
def test_who_is_away_reads_what_to_do_on_monday(kind):
    assert "Do this: when you are back, Monday 18 January at 08:00, " in flat(letters(away())[kind])


@pytest.mark.parametrize("kind", ["cold", "hot", "lamp", "water", "probe"])
def test_who_is_away_learns_whom_to_ask_and_that_nobody_must_come(kind):
    assert re.search(r"Nobody has to come in[.;]", flat(letters(away())[kind]))
    assert "Nobody has to come in" not in flat(letters(here())[kind])


def test_a_moment_of_return_that_is_not_known_is_not_invented():
    setting = Setting("Room 12", "C", local(15, 22), False, None, None)
    said = flat(cold_letter(setting, [cold()]))
    assert "Do this: when you are next in the room, " in said
    assert "No letter is planned now." in said


@pytest.mark.parametrize("kind", ["hot", "lamp"])
def test_letters_near_lamps_carry_the_short_caution(kind):
    said = flat(letters(away())[kind])
    assert "Dry hands; do not reach over the water; let a hot lamp cool." in said


def test_who_leaves_a_lamp_behind_is_told_which_may_stay_on():
    said = flat(letters(here())["leave"])
    assert "Dry hands; keep the water away from plug and lamp." in said
    assert "Leave no hot lamp on: only a low-voltage LED, and only if your rules allow it." in said
    assert "lamp" not in flat(leave_letter(here(), WEEKEND, [outlook(lamp_hours=(), fill_ml=0.0)]))


def test_a_hot_letter_gives_its_limits_in_both_units_the_stations_first():
    assert "Above 33 °C (91 °F) eggs (cysts) stop" in flat(hot_letter(here(), [hot()]))
    said = flat(hot_letter(here("F"), [hot()]))
    assert "Above 91 °F (33 °C) eggs (cysts) stop developing and may not recover. It reached 92.5 °F." in said
    assert "This is no fire alarm: your school's fire rules come first." in said
    assert "they die" not in said


def test_water_past_40_degrees_is_said_to_have_passed_what_cysts_live_through():
    """New 2002, FAO Fisheries Technical Paper 428, annex 4: dead above 40 °C [R, copy]."""
    said = flat(hot_letter(here(), [hot(extreme_c=40.5)]))
    assert "Above 40 °C (104 °F) they die. This limit was passed." in said


def test_progress_below_15_degrees_is_said_not_to_be_known():
    assert "it is not known how fast a hatch goes on" not in flat(cold_letter(away(), [cold()]))
    colder = cold(water_c_min_next_16h=Range(13.9, 15.1, 16.0))
    assert "Below 15 °C it is not known how fast a hatch goes on" in flat(cold_letter(away(), [colder]))
    assert "Below 59 °F it is not known" in flat(cold_letter(away("F"), [colder]))


def test_three_vessels_alike_share_one_letter_that_names_the_coldest():
    said = cold_letter(away(), [cold(), cold(vessel="tray-b", water_c=16.2), cold(vessel="cone", count=1)])
    assert said.subject == "Cold: 16.2 °C, 3 vessels, Room 12"
    assert "tray-a (24 cups), tray-b (24 cups) and cone: the coldest is at 16.2 °C." in flat(said)
    head, both, other = rows_of(said)
    assert head[:3] == ["Vessel", "Water", "Below 20.0 °C since"]
    assert both[:2] == ["tray-a (24 cups) and cone", "17.4 °C"]
    assert other[:2] == ["tray-b (24 cups)", "16.2 °C"]


def test_water_is_said_to_be_calculated_and_wide_before_the_first_top_up():
    before, after = (flat(water_letter(here(), [water(learned_top_ups=n)])) for n in (0, 1))
    assert "Low mark (calculated, no top-up noted): Fri 23:00 to Sat 20:00." in before
    assert "Low mark (calculated): Fri 23:00 to Sat 20:00." in after
    for said in (before, after):
        assert "gets low: most likely 34 mL below the mark (28 to 44)." in said


def test_a_water_letter_tells_how_much_to_pour_in_ml_and_spoons():
    said = flat(water_letter(here(), [water()]))
    assert "up to the mark. Stop there: that is 34 mL (about 7 teaspoons) into each cup." in said
    six = flat(water_letter(here(), [water(vessel=f"jar-{n}", count=1) for n in range(1, 7)]))
    assert "Stop there: that is 34 mL (about 7 teaspoons) into each vessel." in six
    assert "jar-1 to jar-6 - Low mark" in six


def test_where_vessels_need_different_amounts_a_table_says_each():
    letter = water_letter(here(), [water(), water(vessel="jar", count=1, fill_ml=325.0)])
    said = flat(letter)
    assert "pour plain water, not salt water, up to the mark, as listed. Stop at the mark." in said
    assert re.search(r"tray-a \(24 cups\) +34 mL a cup +34 mL below", said)
    assert re.search(r"jar +325 mL +34 mL below", said)
    assert "naupliad care add jar top-up 325 --detail to=mark" in said


def test_a_low_mark_in_the_past_is_said_to_be_reached():
    passed = TimeRange(local(15, 9), local(15, 11), local(15, 13))
    said = flat(water_letter(here(), [water(low_mark_at=passed)]))
    assert "Low mark (calculated): reached already." in said
    half = TimeRange(local(15, 9), local(15, 11), local(16, 13))
    assert "most likely reached already." in flat(water_letter(here(), [water(low_mark_at=half)]))


def test_what_was_drawn_off_took_its_salt_with_it():
    """Salt is conserved: (250 − 100) mL of 20 g/kg in 250 mL are 12 g/kg."""
    low = {
        "salinity_g_per_kg": Range(19.0, 20.0, 21.0),
        "loss_ml": Range(98.0, 100.0, 102.0),
        "fill_ml": 100.0,
    }
    drawn = {**low, "stage": "being harvested", "drawn_ml": 80.0}
    said = flat(water_letter(here(), [water(**drawn)]))
    assert "Drawn off: 80 mL, with its salt." in said
    assert "most of it" not in said
    assert "Salt in a kg of brine: once filled about 12 g." in said
    assert "salt stays" not in said
    dried = flat(water_letter(here(), [water(**{**drawn, "drawn_ml": 40.0})]))
    assert "rawn off" not in dried
    assert "once filled" not in dried
    assert "Water leaves, salt stays" in dried
    assert "Water leaves, salt stays" in flat(water_letter(here(), [water(), water(**drawn)]))


@pytest.mark.parametrize(
    ("salt", "said"),
    [
        (38.0, None),
        (41.0, "Salt in a kg of brine: about 41.0 g; should be 10 to 38 g; once filled about 35 g."),
        (9.0, "Salt in a kg of brine: about 9.0 g; should be 10 to 38 g; once filled about 8 g."),
    ],
)
def test_a_letter_about_low_water_says_where_its_salt_is_out_of_limits(salt, said):
    """Salt is conserved: (250 − 34) mL of 41 g/kg in 250 mL are 35.4 g/kg."""
    letter = flat(water_letter(here(), [water(salinity_g_per_kg=Range(salt, salt, salt))]))
    assert ("should be" in letter) == (said is not None)
    assert (said or "") in letter
    none_poured = flat(water_letter(here(), [water(salinity_g_per_kg=Range(salt, salt, salt), fill_ml=0.0)]))
    assert ("should be 10 to 38 g." in none_poured) == (said is not None)
    assert "once filled" not in none_poured


def test_a_probe_that_is_back_in_the_air_is_to_be_put_back_in_the_water():
    said = flat(probe_letter(here(), [probe()]))
    assert "warm the probe tray-water in your dry hand for a minute. Put it back under the water" in said
    assert probe_letter(here(), [probe()]).subject.startswith("Probe in the air since Fri 12:02")
    two = probe_letter(here(), [probe(fault="absent"), probe(probe="room-air", measures="room_c")])
    absent = flat(two)
    assert "whether plugs and cables of tray-water and room-air are firm and whole." in absent
    assert "The water may be quite well. Without these probes, no letter can warn about the water" in absent
    assert "about the water temperature and the room temperature. Open alarms stay open." in absent
    assert "Take care: The water probe stands in salt water." in absent
    assert rows_of(two) == [
        ["Probe", "Measures", "What is wrong", "Since"],
        ["tray-water", "water temperature in tray-a", "it does not answer", "today at 12:02"],
        ["room-air", "room temperature at tray-a", _OUT_OF_WATER, "today at 12:02"],
    ]


def test_probes_that_fail_alike_at_one_measure_share_a_row():
    of_cups = [probe(probe=f"cup-{n}-water", vessels=(f"cup-{n}",), fault="crc") for n in range(1, 15)]
    never = {"last_good": None, "last_good_at": None}
    late = probe(probe="jar-water", vessels=("jar",), fault="crc", since=local(15, 13))
    new = probe(probe="new-water", vessels=("new",), fault="crc", **never)
    letter = probe_letter(here(), [*of_cups, late, new])
    _, alike, fresh = rows_of(letter)
    assert alike[0].startswith("cup-1-water, cup-2-water")
    assert alike[0].endswith("cup-6-water and 9 more")
    assert alike[1:] == ["water temperature", _GARBLED, "today at 12:02 or later"]
    assert fresh[1:] == ["water temperature in new", _GARBLED, "today at 12:02; no trusted reading yet"]
    assert "plugs and cables of the probes below are firm and whole" in flat(letter)


def test_a_probe_that_never_gave_a_reading_is_said_so():
    said = flat(probe_letter(here(), [probe(last_good=None, last_good_at=None)]))
    assert "It has given no trusted reading yet." in said


def test_a_leave_letter_says_how_much_to_pour_and_where_it_ends():
    said = flat(leave_letter(here(), WEEKEND, [outlook()]))
    assert "Pour: 36 mL (about 7 teaspoons) of plain water a cup, 864 mL in all, ending 12 mL" in said
    assert "12 mL (about 2½ teaspoons) above the mark." in said
    assert "With nine chances in ten this water lasts until you are back." in said
    assert "Lamp on: 18:00 to 07:00." in said
    assert "Water at your return: most likely 31 mL below the mark (22 to 43)." in said
    assert "while nobody is here" in said
    assert "If none comes, the station or its post is off." in said


def test_a_fill_that_ends_at_the_mark_is_said_so():
    said = flat(leave_letter(here(), WEEKEND, [outlook(above_mark_ml=0.0)]))
    assert "a cup, 864 mL in all, ending at the mark." in said
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
    assert "the low mark is at 40 mL" in said
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
        ({"letters": (Event(at_hour(3), "lamp", "lamp"),)}, "well now, 1 alarm before"),
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
    assert "1296 of 1440 (90 %)" in flat(letter)


def test_a_low_mark_that_the_water_is_past_has_no_moment_to_come():
    past, ahead = TimeRange(local(15, 20), local(15, 21), local(16, 1)), SOON
    for low_mark_at, loss_ml, below in ((past, 30.0, True), (ahead, 41.0, True), (ahead, 30.0, False)):
        one = replace(MILD, low_mark_at=low_mark_at, loss_ml=level(loss_ml), low_ml=40.0)
        said = flat(nightly_letter(away(), night(one), with_chart=False))
        assert ("Low mark: the water stands below it." in said) == below, said
        assert ("Low mark: most likely " in said) == (not below), said


def test_a_probe_that_vessels_share_is_listed_once_with_their_names():
    was = PastAlarm("probe", "the probe lux gave nothing to believe", Span(at_hour(2), at_hour(3)), "over")
    tray, jar = (
        replace(one, open_alarms=(*DEAD, *STANDING), past_alarms=(was,)) for one in (MILD, vessel("jar"))
    )
    said = flat(nightly_letter(away(), night(tray, jar), with_chart=False))
    assert said.count(DEAD[0].text) == said.count(was.text) == 1
    assert "tray-a and jar: the probe room-rh gives nothing to believe, since" in said
    assert "tray-a and jar: the probe lux gave nothing to believe, " in said
    assert "tray-a and jar: the water is too cold, since" in said


def test_what_is_not_known_stands_before_what_is():
    said = nightly_letter(
        away(),
        night(readings_came=1000, readings_good=1000, outages=(Span(at_hour(2), at_hour(9)),)),
        with_chart=False,
    )
    before = " ".join(said.text.split("tray-a (24 cups)\n")[0].split())
    assert "Readings trusted: 1000 of 1440 (69 %). What happened in between is not known." in before
    assert "The station was off from" in before


def test_a_nightly_letter_is_complete_without_its_chart():
    with_chart, without = (nightly_letter(away(), night(), with_chart=chart) for chart in (True, False))
    assert with_chart.text == without.text
    assert without.chart_cid is None
    assert "<img" not in without.html
    for fact in (
        "Water coldest: 18.1 °C, tomorrow at 06:45, past the limit of 20.0 °C.",
        "Water warmest: 26.2 °C",
        "Lamp in its hours: lit 8.5 hours, dark 4.5 hours.",
        "Water in each cup: most likely 8 mL below the mark (1 to 14).",
        "Salt in a kg of brine: most likely 25.4 g (24.2 to 26.5).",
        "Hatched, of those that will: most likely 99 % (83 to 100).",
        "Next 16 hours (forecast), coldest: most likely 20.6 °C (19.2 to 22.1).",
        "Done: top-up, 21 mL to the mark, Sat 09:00;",
        "Letters: lamp letter, Sat 01:48; cold letter, Sat 05:06;",
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
    assert "Lamp in its hours: not known, for no light is measured here." in said
    assert "lit " not in said


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
    assert vessel_outlook(away(), empty) == []
    said = flat(nightly_letter(away(), night(empty), with_chart=False))
    assert "tray-a (24 cups) - Batch: no batch running, warmth watched." in said
    assert "calculated" not in said


def test_a_hatch_is_near_or_nearly_done_by_its_share():
    news = hatch(hatched_fraction=Range(0.92, 0.96, 0.995))
    assert "is nearly done: most likely 96 % (92 to 100)." in flat(hatch_letter(here(), [news]))
    near = hatch(hatched_fraction=Range(0.0, 0.01, 0.04))
    said = flat(hatch_letter(here(), [near]))
    assert "is near: half of it most likely today at 21:00." in said
    assert "Hatched: most likely 1 % (0 to 4)." in said


@pytest.mark.parametrize(
    ("share", "asked", "line"),
    [
        (0.01, "See whether any swim.", "The first swim: naupliad care add tray-a first-swimmer"),
        (0.57, "See how many swim.", "Some swim (here: half): naupliad care add tray-a hatched 50%"),
    ],
)
def test_who_looks_into_a_hatch_is_asked_for_what_there_may_be_to_see(share, asked, line):
    letter = flat(hatch_letter(here(), [hatch(hatched_fraction=Range(share, share, share))]))
    assert f"with a torch from the side. {asked}" in letter
    assert f"No swimmers yet: naupliad care add tray-a hatched 0 - {line}" in letter
    several = flat(hatch_letter(here(), [hatch(), hatch(vessel="b"), hatch(vessel="c")]))
    assert "naupliad care add tray-a hatched 50% - and so for each of the others" in several


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
    assert "Water in each cup: most likely 6 mL below the mark (5 to 7)." in said
    assert "Lamp in its hours: not seen 13 hours." in said


def test_a_digest_lists_every_letter_with_number_time_and_subject_under_what_became_of_it():
    said = flat(digest_letter(here(), "mail", held()))
    for one in held():
        assert said.count(f"Letter {one.number}, yesterday at") == 1
        assert one.subject in said
    order = [
        said.index(part) for part in ("Over by now", "Letter 3,", "Again in a later", "Letter 4,", "gone by")
    ]
    assert order == sorted(order)
    assert "4 letters could not go out by mail in time" in said


@pytest.mark.parametrize("letter", ALL)
def test_a_number_is_the_last_line_of_text_and_page(letter):
    said = numbered(letter, 17)
    assert said.text.endswith("\nLetter 17.\n")
    assert said.text.startswith(letter.text)
    assert body(said.html).words == words_of(said.text)
    assert (said.subject, said.chart_cid) == (letter.subject, letter.chart_cid)


def test_a_late_letters_subject_and_note_say_so():
    assert late_subject("Cold: 18.2 °C, tray-a, Room 12") == "Late: Cold: 18.2 °C, tray-a, Room 12"
    assert len(late_subject("x" * 59)) == 59
    note = late_note(local(15, 21), "stands")
    assert note == (
        "Late: written on Friday 15 January 2027 at 21:00. It still stood when sent; its figures are from "
        "then."
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
    assert "look whether the heater of cone is plugged in, on and set right" in said
    assert "or move tray-a (24 cups), gently, to a warmer place" in said
    hot = replace(likely, water_c_min_away=None, water_c_max_away=Range(25.0, 31.0, 34.0), fill_ml=0.0)
    assert "draw the blind, or move tray-a" in flat(leave_letter(here(), WEEKEND, [hot]))
    mild = replace(likely, water_c_min_away=Range(18.0, 20.1, 22.0))
    assert "cold" not in leave_letter(here(), WEEKEND, [mild]).subject


def test_what_stands_is_said_before_people_leave():
    plain = outlook()
    silent = Event(local(14, 11), "probe", "the probe tray-water gives nothing to believe")
    said = flat(leave_letter(here(), WEEKEND, [replace(plain, open_alarms=(silent,))]))
    assert "Alarm: the probe tray-water gives nothing to believe, since yesterday at 11:00." in said
    assert ". Then see that the probes are plugged in and in their places" in said
    assert "probe" not in flat(leave_letter(here(), WEEKEND, [plain]))


def test_only_a_probe_in_the_water_is_said_to_stand_in_it():
    of_room = probe(probe="room-air", measures="room_c")
    assert "The probe stands in salt water" in flat(probe_letter(here(), [probe()]))
    assert "The water probe stands in salt water" in flat(probe_letter(here(), [of_room, probe()]))
    two = flat(probe_letter(here(), [probe(), probe(probe="jar-water", vessels=("jar",))]))
    assert "The water probes stand in salt water" in two
    assert "warm each of tray-water and jar-water in your dry hand" in two
    assert "Without these probes, no letter can warn about the water temperature." in two
    said = flat(probe_letter(here(), [of_room]))
    assert "stands in salt water" not in said
    assert "Take care: Salt water is near. Dry hands" in said


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
