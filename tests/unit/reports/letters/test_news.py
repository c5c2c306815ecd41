"""Letters of what is foreseen, salt, animals, the station, the return: what holds for all of them."""

import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reports.letters.clock import clock_letter
from reports.letters.cold import cold_ahead_letter
from reports.letters.feed import FeedNews, feed_letter
from reports.letters.feeding import FeedDue
from reports.letters.harvest import HarvestNews, harvest_letter
from reports.letters.hatch_late import LateHatch, late_hatch_letter
from reports.letters.hot import hot_ahead_letter
from reports.letters.lamp import LampStaysOn, lamp_stays_on_letter
from reports.letters.lamp_dark import LampWasDark, lamp_was_dark_letter
from reports.letters.leave import VesselOutlook, leave_letter
from reports.letters.memory_card import CardBack, CardFailed, card_back_letter, card_failed_letter
from reports.letters.outage import OutageNews, outage_letter
from reports.letters.record_full import RecordFull, record_full_letter
from reports.letters.return_ import ReturnNews, return_letter
from reports.letters.salinity import SalinityTrouble, salinity_letter
from reports.letters.station_records import (
    RowsSpoiled,
    StoreLost,
    StoreSaved,
    rows_spoiled_letter,
    store_lost_letter,
    store_saved_letter,
)
from reports.letters.storage import (
    FileOverlooked,
    StorageTrouble,
    file_overlooked_letter,
    storage_letter,
)
from reports.letters.swing import SwingTrouble, swing_letter
from reports.letters.warmth import TemperatureAhead
from reports.records import Absence, ClockTrouble, Setting
from tests.kit import news_samples as news
from tests.kit.letter_text import body, flat, school_grade, words_of
from tests.kit.report_samples import WEEKEND, any_of, away, here, outlook

LETTERS = {
    "cold-ahead": lambda s: cold_ahead_letter(s, [news.cold_ahead()]),
    "cold-ahead-lamp": lambda s: cold_ahead_letter(s, [news.cold_ahead(has_lamp=True)]),
    "cold-ahead-heater": lambda s: cold_ahead_letter(s, [news.cold_ahead(has_heater=True)]),
    "hot-ahead": lambda s: hot_ahead_letter(s, [news.hot_ahead()]),
    "hot-ahead-lamp": lambda s: hot_ahead_letter(s, [news.hot_ahead(sun=False, has_lamp=True)]),
    "hot-ahead-room": lambda s: hot_ahead_letter(s, [news.hot_ahead(sun=False)]),
    "lamp-stays-on": lambda s: lamp_stays_on_letter(s, [news.lamp_stays_on()]),
    "lamp-was-dark": lambda s: lamp_was_dark_letter(s, [news.lamp_was_dark()]),
    "swing": lambda s: swing_letter(s, [news.swing()]),
    "salty": lambda s: salinity_letter(s, [news.salty()]),
    "salty-low": lambda s: salinity_letter(
        s, [news.salty(fill_ml=52.0, loss_ml=news.Range(47.0, 52.0, 58.0))]
    ),
    "fresh": lambda s: salinity_letter(s, [news.fresh()]),
    "late-hatch": lambda s: late_hatch_letter(s, [news.late()]),
    "overdue-hatch": lambda s: late_hatch_letter(s, [news.overdue()]),
    "harvest": lambda s: harvest_letter(s, [news.harvest()]),
    "harvest-closing": lambda s: harvest_letter(s, [news.harvest(closing=True)]),
    "harvest-heater": lambda s: harvest_letter(s, [news.harvest(has_heater=True)]),
    "feed": lambda s: feed_letter(s, [news.feed()]),
    "feed-small": lambda s: feed_letter(s, [news.feed(small=True)]),
    "outage": lambda s: outage_letter(s, news.outage()),
    "clock": lambda s: clock_letter(s, news.clock_trouble()),
    "clock-set": lambda s: clock_letter(s, news.clock_trouble(step_s=7_380, restamped=123)),
    "storage": lambda s: storage_letter(s, news.storage()),
    "store-lost": lambda s: store_lost_letter(s, news.store_lost(backup_until=None)),
    "store-lost-backup": lambda s: store_lost_letter(s, news.store_lost()),
    "store-gone": lambda s: store_lost_letter(s, news.store_lost(kept_as=None, backup_until=None)),
    "store-gone-backup": lambda s: store_lost_letter(s, news.store_lost(kept_as=None)),
    "store-saved": lambda s: store_saved_letter(s, news.store_saved()),
    "rows-spoiled": lambda s: rows_spoiled_letter(s, news.rows_spoiled()),
    "rows-spoiled-no-deeds": lambda s: rows_spoiled_letter(s, news.rows_spoiled(deeds=0)),
    "file-overlooked": lambda s: file_overlooked_letter(s, news.file_overlooked()),
    "record-full": lambda s: record_full_letter(s, news.record_full()),
    "card-failed": lambda s: card_failed_letter(s, news.card_failed()),
    "card-full": lambda s: card_failed_letter(s, news.card_failed(found="full", last_read=())),
    "card-back": lambda s: card_back_letter(s, news.card_back()),
    "card-back-failing": lambda s: card_back_letter(s, news.card_back(found="failing")),
    "return": lambda s: return_letter(news.monday(s), news.returned()),
    "leave": lambda s: leave_letter(
        s,
        WEEKEND,
        [
            outlook(
                feed=FeedDue("tray-a", 24, 250.0, True),
                water_c_min_away=news.Range(13, 15, 17),
                water_c_max_away=news.Range(26, 29, 34),
            )
        ],
    ),
}
KINDS = {
    "cold-ahead": "cold",
    "hot-ahead": "hot",
    "lamp-stays-on": "lamp",
    "lamp-was-dark": "lamp",
    "swing": "swing",
    "salty": "water",
    "late-hatch": "hatch",
    "harvest": "harvest",
    "feed": "feed",
    "outage": "outage",
    "clock": "clock",
    "storage": "storage",
    "store-lost": "storage",
    "store-lost-backup": "storage",
    "file-overlooked": "storage",
    "card-failed": "storage",
    "card-back": "storage",
    "return": "return",
}
ALSO = ("jar: the water is low, since today at 13:00.",)
ALL = [
    pytest.param(write(setting), id=f"{name}-{setting.unit}-{'here' if setting.attended_now else 'away'}")
    for setting in (here("C"), here("F"), away("C"), replace(away("F"), also=ALSO))
    for name, write in LETTERS.items()
]


@pytest.mark.parametrize(("name", "kind"), KINDS.items())
def test_a_letter_is_of_its_kind(name, kind):
    assert LETTERS[name](here()).kind == kind


@pytest.mark.parametrize("letter", ALL)
def test_a_letter_asks_for_exactly_one_thing(letter):
    assert letter.text.count("Do this:") == letter.html.count("Do this:") == 1


@pytest.mark.parametrize("letter", ALL)
def test_text_and_html_hold_the_same_words(letter):
    assert body(letter.html).words == words_of(letter.text)


@pytest.mark.parametrize("letter", ALL)
def test_a_subject_is_one_short_line_that_names_the_place(letter):
    assert len(letter.subject) < 60
    assert "Room 12" in letter.subject
    assert not re.search(r"[\x00-\x1f…]", letter.subject)


@pytest.mark.parametrize("letter", ALL)
def test_text_wraps_at_72_columns_and_not_before_a_unit(letter):
    assert max(len(line) for line in letter.text.splitlines()) <= 72
    assert not re.search(r"\d\n\s*(°|mL|%|g/kg|lux)", letter.text)


@pytest.mark.parametrize(
    "letter", [one for one in ALL if not one.id.startswith(("card-failed", "card-full"))]
)
def test_a_letter_says_when_the_next_one_comes(letter):
    assert re.search(r"Next letter: to\w+ at 20:00, or sooner if needed\.", flat(letter))


def test_a_letter_that_goes_only_while_a_batch_runs_is_announced_so():
    said = flat(LETTERS["feed"](replace(here(), next_letter_if_batch=True)))
    assert "Next letter: today at 20:00, if a batch runs then, or sooner if needed." in said


@pytest.mark.parametrize("name", ["card-failed", "card-full"])
def test_a_station_that_watches_nothing_promises_no_planned_letter(name):
    said = flat(LETTERS[name](here()))
    assert "Next letter" not in said
    assert "Until it watches again, it sends only this letter, once a day." in said


@pytest.mark.parametrize("letter", ALL)
def test_html_loads_nothing_from_outside(letter):
    assert body(letter.html).links == []
    assert "http" not in letter.html
    assert "url(" not in letter.html


@pytest.mark.parametrize("letter", ALL)
def test_nobody_is_advised_to_let_animals_go_or_is_blamed(letter):
    said = flat(letter).lower()
    assert not re.search(
        r"\b(release|let (them|the animals) go|set (them|the animals) free|(?<!sea and )drain)\b", said
    )
    assert not re.search(r"\byou (forgot|should have|failed|did not)\b|\byour mistake\b", said)


@pytest.mark.parametrize("letter", ALL)
def test_prose_can_be_read_at_about_eleven(letter):
    """Flesch–Kincaid grade (Kincaid and others 1975) [M]: 6 is for 11 to 12 years."""
    assert school_grade(letter.text) < 6.5


@pytest.mark.parametrize("letter", ALL)
def test_one_unit_of_temperature_is_kept_but_for_safety(letter):
    """Both units stand only as "33 °C (91 °F)", where safety asks that everybody can read it."""
    said = re.sub(r"\d+ °[CF] \(\d+ °[CF]\)", "", flat(letter))
    assert len({unit for unit in ("°C", "°F") if unit in said}) <= 1


@pytest.mark.parametrize("name", LETTERS)
def test_what_else_waits_stands_under_also_before_the_ending(name):
    letter = LETTERS[name](replace(here(), also=ALSO))
    assert re.search(rf"\n\nAlso\n----\n\n- {ALSO[0]}\n\n[^\n]+(\n[^\n]+)*\n\nRoom 12, ", letter.text)
    assert body(letter.html).words == words_of(letter.text)
    assert "\nAlso\n" not in LETTERS[name](here()).text


@pytest.mark.parametrize("name", ["hot-ahead-lamp", "lamp-stays-on", "harvest"])
def test_letters_near_mains_carry_the_short_caution(name):
    assert "Dry hands; do not reach over the water" in flat(LETTERS[name](away()))


@pytest.mark.parametrize("name", ["harvest", "feed", "late-hatch", "return"])
def test_letters_about_animals_speak_of_washing_and_allergy(name):
    said = flat(LETTERS[name](here()))
    assert "Wash your hands after." in said
    assert "Cyst dust can set off allergies, as shellfish can." in said
    assert "Keep animals out of pond, river, sea and drain." in said


# Any record ----------------------------------------------------------------------------------------------

NO_NUMBERS = st.sampled_from([float("nan"), float("inf"), float("-inf"), 1e300, 0.0])
NUMBERS = st.floats(-60.0, 150.0) | NO_NUMBERS | st.floats()
NAMES = st.sampled_from(["tray-a", "x" * 80, "Töpfe & <b>Gläser</b>", "two\nlines", "", "水槽"])


def some(kind):
    return st.lists(any_of(kind, NUMBERS, NAMES), min_size=1, max_size=3)


def one(kind):
    return any_of(kind, NUMBERS, NAMES)


ANY = {
    "cold_ahead_letter": st.builds(cold_ahead_letter, one(Setting), some(TemperatureAhead)),
    "hot_ahead_letter": st.builds(hot_ahead_letter, one(Setting), some(TemperatureAhead)),
    "lamp_stays_on_letter": st.builds(lamp_stays_on_letter, one(Setting), some(LampStaysOn)),
    "lamp_was_dark_letter": st.builds(lamp_was_dark_letter, one(Setting), some(LampWasDark)),
    "swing_letter": st.builds(swing_letter, one(Setting), some(SwingTrouble)),
    "salinity_letter": st.builds(salinity_letter, one(Setting), some(SalinityTrouble)),
    "late_hatch_letter": st.builds(late_hatch_letter, one(Setting), some(LateHatch)),
    "harvest_letter": st.builds(harvest_letter, one(Setting), some(HarvestNews)),
    "feed_letter": st.builds(feed_letter, one(Setting), some(FeedNews)),
    "outage_letter": st.builds(outage_letter, one(Setting), one(OutageNews)),
    "clock_letter": st.builds(clock_letter, one(Setting), one(ClockTrouble)),
    "storage_letter": st.builds(storage_letter, one(Setting), one(StorageTrouble)),
    "store_lost_letter": st.builds(store_lost_letter, one(Setting), one(StoreLost)),
    "store_saved_letter": st.builds(store_saved_letter, one(Setting), one(StoreSaved)),
    "rows_spoiled_letter": st.builds(rows_spoiled_letter, one(Setting), one(RowsSpoiled)),
    "file_overlooked_letter": st.builds(file_overlooked_letter, one(Setting), one(FileOverlooked)),
    "record_full_letter": st.builds(record_full_letter, one(Setting), one(RecordFull)),
    "card_failed_letter": st.builds(card_failed_letter, one(Setting), one(CardFailed)),
    "card_back_letter": st.builds(card_back_letter, one(Setting), one(CardBack)),
    "return_letter": st.builds(return_letter, one(Setting), one(ReturnNews)),
    "leave_letter": st.builds(leave_letter, one(Setting), one(Absence), some(VesselOutlook)),
}


@pytest.mark.parametrize("of_a_kind", ANY.values(), ids=list(ANY))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_no_record_breaks_a_letter_or_puts_no_number_into_words(of_a_kind, data):
    letter = data.draw(of_a_kind)
    assert 0 < len(letter.subject) <= 59
    assert not re.search(r"[\x00-\x1f\x7f]", letter.subject)
    assert letter.text.count("Do this:") == 1
    said = f"{letter.subject}\n{letter.text}"
    assert not re.search(r"\b(nan|inf|None|True|False)\b", said)
    units = re.sub(r"\d+ °[CF] \(\d+ °[CF]\)", "", " ".join(said.split()))
    assert len({unit for unit in ("°C", "°F") if unit in units}) <= 1
