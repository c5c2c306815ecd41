"""What letters ask to pour: to each its own amount, brine where plain water does harm, or a question."""

import re
from dataclasses import replace

from daemon.care.log import deed_from_fields
from reports.letters.leave import leave_letter
from reports.letters.nightly import nightly_letter
from reports.letters.return_ import return_letter
from reports.letters.water import water_letter
from reports.records import BrineDue, LetterText, Range, TimeRange
from reports.state import state_text
from tests.kit import news_samples as news
from tests.kit.report_samples import WEEKEND, away, here, local, night, outlook, vessel, water
from tests.kit.station import probe, station
from tests.kit.station import vessel as vessel_table

JAR = {"vessel": "jar", "count": 1}
BRINE = {"fill_ml": 0.0, "brine": BrineDue(12.0, 28.0)}
DRAWN = {"vessel": "cone", "count": 1, "fill_ml": 0.0, "brine": BrineDue(1981.0, 28.0, harvested=True)}
SOON = TimeRange(local(15, 18), local(16, 12), local(17, 9))


def flat(letter: LetterText) -> str:
    return " ".join(letter.text.split())


def leaving(*changed: dict[str, object]) -> LetterText:
    return leave_letter(here(), WEEKEND, [outlook(cold_c=17.0, **one) for one in changed])


def test_a_jars_amount_is_not_told_of_a_tray_of_cups() -> None:
    letter = leaving({"fill_ml": 10.0}, {**JAR, "fill_ml": 325.0})
    assert "Before you go: pour 10 mL into each cup of tray-a (24 cups) and 325 mL into jar." in flat(letter)
    assert "a cup" not in letter.subject
    assert letter.subject.startswith("Before you go: pour as listed, ")


def test_one_short_amount_is_told_where_it_is_true_of_each() -> None:
    assert "pour 36 mL a cup in tray-a (24 cups)." in flat(leaving({"fill_ml": 36.0}))
    assert "pour up to 36 mL a cup in tray-a" in flat(leaving({"fill_ml": 36.0}, {"fill_ml": 30.0}))
    two = leaving({**JAR, "fill_ml": 30.0}, {**JAR, "vessel": "b", "fill_ml": 30.0})
    assert "pour 30 mL in jar and b." in flat(two)
    unlike = leaving({**JAR, "fill_ml": 30.0}, {**JAR, "vessel": "b", "fill_ml": 90.0})
    assert "pour 30 mL into jar and 90 mL into b." in flat(unlike)


def test_a_lead_names_only_what_is_to_be_filled() -> None:
    assert "pour 36 mL a cup in tray-a (24 cups)." in flat(
        leaving({"fill_ml": 36.0}, {**JAR, "fill_ml": 0.0})
    )


def test_amounts_of_many_vessels_are_listed_and_not_in_the_lead() -> None:
    many = leaving(*({"vessel": name} for name in "abc"), {**JAR, "fill_ml": 325.0})
    assert "Before you go: pour as listed in 4 vessels." in flat(many)


def test_back_from_an_absence_each_vessel_has_its_own_amount() -> None:
    some = (news.returned_vessel(fill_ml=10.0), news.returned_vessel(**JAR, fill_ml=325.0))
    letter = return_letter(news.monday(here()), news.returned(*some))
    assert letter.subject.startswith("Back: pour as listed, ")
    assert "pour 10 mL into each cup of tray-a (24 cups) and 325 mL into jar." in flat(letter)
    assert letter.subject == "Back: pour as listed, tray-a and jar, Room 12"


def test_brine_is_asked_for_in_the_place_of_plain_water() -> None:
    letters = (
        leaving(BRINE),
        return_letter(news.monday(here()), news.returned(news.returned_vessel(**BRINE))),
        water_letter(here(), [water(**BRINE)]),
        nightly_letter(here(), night(vessel(low_mark_at=SOON, **BRINE)), with_chart=False),
    )
    for letter in letters:
        said = flat(letter)
        assert "pour brine, not plain water" in said
        assert "Fill: 12 mL (about 2½ teaspoons) of brine into each cup. Plain water would" in said
        # 24 cups of 12 mL: 288 mL, with 28 g in a litre 8.1 g.
        assert "The brine: 8.1 g of your salt stirred into 288 mL of plain water." in said
        assert "naupliad care add tray-a brine 12 --detail salt_g_per_l=28" in said
        assert "pour plain water" not in said
        assert "mark with plain water" not in said


def test_of_several_dry_vessels_each_is_told_what_it_takes() -> None:
    said = flat(water_letter(here(), [water(), water(vessel="b", **BRINE)]))
    assert "pour plain water, not salt water, up to the mark, as listed. Stop at the mark." in said
    assert re.search(r"tray-a \(24 cups\) +34 mL a cup .* b \(24 cups\) +brine, 12 mL a cup", said)
    assert "Into b (24 cups) pour brine, as listed." in said
    both = night(vessel(low_mark_at=SOON, fill_ml=20.0), vessel("b", low_mark_at=SOON, **BRINE))
    said = flat(nightly_letter(here(), both, with_chart=False))
    assert "fill tray-a to the mark with plain water. Into b pour brine, as listed." in said


def test_after_a_harvest_letters_and_state_ask_whether_the_batch_is_over_and_ask_for_no_water() -> None:
    drawn = night(vessel(low_mark_at=SOON, **DRAWN))
    letters = (
        flat(leaving(DRAWN)),
        flat(return_letter(news.monday(here()), news.returned(news.returned_vessel(**DRAWN)))),
        flat(nightly_letter(here(), drawn, with_chart=False)),
    )
    for said in letters:
        assert "write in the care log whether the batch in cone is over" in said
        assert "pour plain water" not in said
        assert "mark with plain water" not in said
    state = " ".join(state_text(here(), drawn, ()).split())
    assert "Is the batch over? " in state
    for said in (*letters[:2], state):
        assert "If it goes on: fill it to the mark with brine, not plain water, about 1981 mL into" in said
    for said in (*letters, state):
        assert "Low mark" not in said
        assert "Salt" not in said.replace("Salt water", "").replace("salt water", "")
        for line in (
            "cone end",
            "cone brine 1981 --detail salt_g_per_l=28",
            "cone top-up 0 --detail to=mark",
        ):
            assert f"naupliad care add {line}" in said


def test_after_a_harvest_the_heater_is_to_be_unplugged_first() -> None:
    bared = {**DRAWN, "has_heater": True}
    cold = {"water_c_min_away": Range(10.0, 11.0, 12.0)}
    back = news.returned(news.returned_vessel(**bared))
    for setting in (here(), away()):
        drawn = night(vessel(low_mark_at=SOON, **bared))
        letters = (
            leave_letter(setting, WEEKEND, [outlook(cold_c=17.0, **bared, **cold, stage="harvested")]),
            return_letter(news.monday(setting), back),
            nightly_letter(setting, drawn, with_chart=False),
        )
        for letter in letters:
            asked = flat(letter).partition("Do this: ")[2]
            assert "see, with dry hands, that the heater of cone is unplugged" in asked
            assert letter.kind == "nightly" or "Until it is full, its heater stays unplugged." in asked
            assert "do not reach over the water" in asked
            assert "switched on" not in asked
    assert "heater" not in flat(leaving({**DRAWN, "stage": "harvested"}))


def test_the_lines_for_the_care_log_are_taken_by_it() -> None:
    cone = station(
        probe("water"), vessel_table("cone", "water", kind="cone", mark_ml=2000.0, surface_cm2=130.0)
    )
    deed_from_fields(0, "cone", "end", None, "", "", cone)
    deed_from_fields(0, "cone", "brine", "1981", "ml", "salt_g_per_l=28", cone)
    deed_from_fields(0, "cone", "top-up", "0", "ml", "to=mark", cone)


def test_water_is_taken_out_only_where_it_stands_too_high() -> None:
    said = flat(
        leaving({**JAR, "fill_ml": 0.0, "above_mark_ml": 40.0, "fill_holds": False, "fill_fails": "brim"})
    )
    assert "look whether the water in jar stands too high" in said
    assert "take some out" in said
    assert "take some out" not in flat(leaving({**JAR, "fill_ml": 0.0, "above_mark_ml": 0.0}))


def test_what_is_to_be_looked_at_fits_the_level() -> None:
    none = {**JAR, "fill_ml": 0.0, "lamp_hours": ()}
    assert "look once whether the water stands at the mark" in flat(leaving({**none, "above_mark_ml": 1.0}))
    above = flat(leaving({**none, "above_mark_ml": 109.0}))
    assert "stands at the mark" not in above
    assert "look once whether the water stands as high as listed below" in above
    assert "the water stands 109 mL above the mark" in above


def test_a_letter_about_low_water_that_stands_high_pours_nothing() -> None:
    said = flat(water_letter(here(), [replace(water(), fill_ml=0.0)]))
    assert "pour nothing now" in said


def test_of_several_harvests_it_is_asked_whether_the_batches_are_over() -> None:
    two = ({**DRAWN, "count": 24, "vessel": "tray"}, DRAWN)
    returned = news.returned(*(news.returned_vessel(**one) for one in two))
    letters = (
        flat(leaving(*two)),
        flat(return_letter(news.monday(here()), returned)),
        flat(nightly_letter(here(), night(*(vessel(**one) for one in two)), with_chart=False)),
    )
    for said in letters:
        assert "write in the care log whether the batches in tray (24 cups) and cone are over" in said


def test_ranges_are_called_wide_before_leaving_only_where_one_is_shown() -> None:
    wide = "Figures for water are wide until a top-up"
    assert wide in flat(leaving({"learned_top_ups": 0}))
    assert wide not in flat(leaving({**DRAWN, "learned_top_ups": 0}))
    assert wide in flat(leaving({**DRAWN, "learned_top_ups": 0}, {"learned_top_ups": 0}))
