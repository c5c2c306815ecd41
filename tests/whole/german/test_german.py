"""Letters, charts and state in German: whole, with no English left, at every length of names."""

import ast
import inspect
import re
import textwrap
from dataclasses import replace
from datetime import timedelta
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.care.deed import KINDS, Deed
from daemon.letters.short_words import deed_in_words, doubt_in_words, waiting_in_words
from daemon.store.letters import LetterRow
from reports import amounts, times, words
from reports.chart.type import WIDTH_PX
from reports.explanation import Ground, Observations, explanation
from reports.language import spoken
from reports.letters.clock import clock_letter
from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.digest import late_note, late_subject
from reports.letters.feed import FeedNews, feed_letter
from reports.letters.harvest import HarvestNews, harvest_letter
from reports.letters.hatch import HatchNews, hatch_letter
from reports.letters.hatch_late import LateHatch, late_hatch_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.lamp import LampStaysOn, LampTrouble, lamp_letter, lamp_stays_on_letter
from reports.letters.lamp_dark import LampWasDark, lamp_was_dark_letter
from reports.letters.leave import VesselOutlook, leave_letter
from reports.letters.memory_card import CardBack, CardFailed, card_back_letter, card_failed_letter
from reports.letters.nightly import nightly_letter
from reports.letters.outage import OutageNews, outage_letter
from reports.letters.page import numbered
from reports.letters.probe import ProbeTrouble, probe_letter
from reports.letters.record_full import RecordFull, record_full_letter
from reports.letters.return_ import ReturnNews, return_letter
from reports.letters.salinity import SalinityTrouble, salinity_letter
from reports.letters.sample import sample_letter
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
from reports.letters.warmth import TemperatureAhead, TemperatureTrouble
from reports.letters.water import WaterTrouble, water_letter
from reports.night_json import from_json, to_json
from reports.records import Absence, BrineDue, ClockTrouble, Event, NightRecord, Range, Setting, Span
from reports.state import state_text
from sensors.trust.slow_evidence import SlowEvidence
from sensors.trust.water_probe import WaterProbe
from tests.kit import news_samples as news
from tests.kit.command_line import ROOT
from tests.kit.drawn_words import drawn_words
from tests.kit.german_samples import NIGHTS, german, german_night, letters
from tests.kit.letter_text import ENGLISH, body, flat, words_of
from tests.kit.report_samples import (
    WEEKEND,
    any_of,
    at_hour,
    away,
    cold,
    here,
    local,
    outlook,
    probe,
    read,
    vessel,
)

SETTINGS = [german(setting) for setting in (here("C"), here("F"), away("C"), away("F"))]
SETTINGS += [german(away(), returns_at=None, next_letter_at=None)]
SETTINGS += [german(away(), next_letter_if_batch=True)]
LATIN_MONTH = r"(Januar|Februar|März|April|Mai|Juni|Juli|August|September|Oktober|November|Dezember)"


@cache
def every_letter():
    """Written where a test asks for them, not where tests are collected: each process does that."""
    return [letter for setting in SETTINGS for letter in letters(setting)]


def prose(letter):
    """Subject and text without commands to copy and without the name of a probe."""
    said = f"{letter.subject} {flat(letter)}".replace("tray-water", "Fühler")
    return re.sub(r"naupliad care add .*?(?= - | [A-Z])", "", said)


def test_no_english_is_left_in_any_letter():
    assert len(every_letter()) > 250
    for letter in every_letter():
        said = prose(letter)
        assert not ENGLISH.search(said), (ENGLISH.search(said), said)
        assert body(letter.html).words == words_of(letter.text)


def test_every_letter_asks_for_one_thing_in_a_whole_sentence():
    for letter in every_letter():
        said = flat(letter)
        assert said.count("Zu tun: ") == 1
        assert re.search(r"Zu tun: [A-ZÄÖÜ]", said), said
        assert not re.search(r"Vorsicht: [a-zäöü]", said), said
        assert 'lang="de"' in letter.html
        assert letter.language == "de"


def test_a_whole_sentence_after_a_colon_begins_with_a_capital():
    """Amtliche Regelung der deutschen Rechtschreibung, § 54 (from memory)."""
    states = [state_text(german(here()), record, []) for record in NIGHTS]
    texts = [flat(letter) for letter in every_letter()]
    for said in [*texts, *(" ".join(state.split()) for state in states)]:
        small = re.search(
            r": (?:(?:das|die|der) \w+ (?:ist|war|steht|stand|liefert)|er zeigt|[a-zäöü]\w*en Sie)\b", said
        )
        assert not small, said
    assert any("tray-a: Das Wasser ist zu kalt, seit" in text for text in texts)


# What was read aloud in letters once and is no German, or says something else than is meant.
NO_GERMAN = re.compile(
    r"als man sagen kann|an der Wand aus|Wasser nachzufüllen|Ernte abzuschließen| und mehr\b|"
    r"was es nicht ist|"
    r"der Strom der Station|wählen Sie vorher|Bis dahin \(|bis dahin wird nichts|und 1 weitere[, ]|davon \d|"
    r"Am besten ab:|schalten Sie mit trockenen Händen die Luft ab|in dem Gefäß:|Lampenstunden|"
    # "They have started fires" was read as "You have"; eggs were plugged in, what was taken out poured back.
    r"Lampe an, wenn niemand da ist: Sie haben|Sind welche angesetzt, sehen Sie nach, ob sie|mL davon|"
    r"Stecken Sie sie|[Ss]tellen Sie \d+ Gefäßen|Dann stellen Sie kein|"
    r"\b(in|an|aus|bei|mit|nach|und|von|zu|zum) \1\b|Süßwasser|Es fehlen (wie|\d)|Jetzt nichts:|"
    r"nichts: Das|und so für jedes der|hindurchsehen\.|Ist es trüb|Entscheiden Sie vor|deswegen|"
    r"Lampe in ihrer|Die Hälfte ist jetzt erwartet|wacht die Station über|heil sind:|"
    r"in ein Gefäß zum Aufheben"
)


CATALOGUE = ROOT / "reports/locale/de/LC_MESSAGES/naupliad.po"


def test_no_letter_says_what_was_once_found_to_be_no_german():
    for letter in every_letter():
        said = f"{letter.subject} {flat(letter)}"
        assert not NO_GERMAN.search(said), (NO_GERMAN.search(said), said)


def test_a_tin_of_cysts_has_one_word():
    translated = CATALOGUE.read_text(encoding="utf-8")
    assert "derselben Dose" in translated
    assert not re.search("Packung|Päckchen|Büchse", translated)


def test_the_one_thing_to_do_is_said_in_the_right_case():
    many = [outlook(vessel=f"jar-{n}", count=1, fill_ml=5.0, brine=None) for n in range(5)]
    said = flat(leave_letter(german(here()), WEEKEND, many))
    assert "oder geben Sie 5 Gefäßen vorsichtig einen wärmeren Platz." in said
    early = news.returned_vessel(past_alarms=(), fill_ml=0.0, hatched_fraction=Range(0.0, 0.0, 0.02))
    said = flat(return_letter(german(news.monday(here())), news.returned(early)))
    assert "Zu tun: Sehen Sie einmal mit einer Taschenlampe von der Seite in einen der Becher." in said
    dry = [news.returned_vessel(vessel=one, past_alarms=()) for one in "abcd"]
    said = flat(return_letter(german(news.monday(here())), news.returned(*dry)))
    assert "bis zur Füllmarke ein, und zwar wie unten angegeben." in said


def test_no_pronoun_stands_for_the_wrong_thing_where_it_is_dangerous():
    said = flat(salinity_letter(german(here()), [replace(news.fresh(), has_heater=True)]))
    assert "Danach gießen Sie langsam 130 mL des starken Salzwassers ein." in said
    assert "Stecken Sie die Heizung erst wieder ein, wenn das Wasser sie bedeckt." in said
    idle = flat(cold_letter(german(here()), [cold(stage="nothing set", has_heater=True)]))
    assert "sehen Sie nach, ob die Heizung eingesteckt, eingeschaltet und richtig gestellt ist." in idle
    nightly = flat(cold_letter(german(here()), [cold(usual_c=17.4, has_lamp=True)]))
    assert "wenn niemand da ist: Solche Geräte haben schon Brände ausgelöst." in nightly


def test_the_deeds_of_a_night_are_listed_in_german():
    said = flat(nightly_letter(german(here()), NIGHTS[0], with_chart=False))
    assert "Erledigt: 21 mL nachgefüllt, Sa 09:00; erste Nauplien gesehen, Sa 11:30." in said


def test_several_probes_are_said_in_the_right_case_and_number():
    two = [probe(), probe(probe="room-air", measures="room_c")]
    said = flat(probe_letter(german(here()), two))
    assert "Kein glaubhafter Messwert von tray-water und 1 weiteren seit" in said
    assert "Ohne diese Fühler fehlt hier: die Wassertemperatur und die Raumtemperatur." in said
    assert re.search(r"room-air Raumtemperatur bei", said)
    assert "Der Wasserfühler steht in Salzwasser." in said


def test_of_several_harvests_it_is_asked_in_the_plural():
    drawn = [
        news.returned_vessel(vessel=one, fill_ml=0.0, brine=BrineDue(90.0, 28.0, harvested=True))
        for one in "ab"
    ]
    said = flat(return_letter(german(news.monday(here())), news.returned(*drawn)))
    assert "ob die Ansätze in a (24 Becher) und b (24 Becher) zu Ende sind" in said


def test_cold_in_a_warm_room_is_said_in_german():
    said = flat(cold_letter(german(here()), [cold(room_c=read(21.0))]))
    assert "vom kalten Fenster, von der Wand oder vom Boden weg: Der Raum ist warm (21,0 °C)." in said


def test_every_subject_is_short_and_names_the_room():
    for letter in every_letter():
        assert len(letter.subject) < 60, letter.subject
        assert letter.subject == words.clean(letter.subject)


def test_every_letter_wraps_and_keeps_numbers_with_their_units():
    for letter in every_letter():
        assert max(len(line) for line in letter.text.splitlines()) <= 72
        assert not re.search(rf"\d\n\s*(°|mL|%|g/kg|Lux|Uhr|Stunde|Tag)|\d\.\n\s*{LATIN_MONTH}", letter.text)


def test_numbers_have_a_decimal_comma_but_in_commands():
    for letter in every_letter():
        said = prose(letter)
        assert not re.search(r"\d\.\d", said), said
    leave = flat(leave_letter(german(here()), WEEKEND, [outlook(count=1, fill_ml=7.5)]))
    assert "top-up 7.5" in leave
    assert "7,5 mL" in leave


def test_hours_and_dates_are_said_as_germans_say_them():
    with spoken("de"):
        assert times.moment(local(15, 14, 30), local(15, 20)) == "heute um 14:30 Uhr"
        assert times.moment(local(23, 14, 30), local(15, 20)) == "Samstag, 23. Januar um 14:30 Uhr"
        assert times.on_moment(local(23, 14, 30), local(15, 20)) == "am Samstag, 23. Januar um 14:30 Uhr"
        assert times.short_day(local(15, 14)) == "Fr 15. Jan."
        assert words.joined(["a", "b", "c"]) == "a, b und c"
        assert amounts.number(-1234.5, 1) == "−1234,5"
        assert amounts.spoons(320.0) == "etwa 1¼ Tassen zu 250 mL"
        assert amounts.temperature_range(Range(17.5, 18.2, 19.0), "C") == (
            "wahrscheinlich 18,2 °C (17,5 bis 19,0)"
        )


def test_a_letter_says_what_to_do_when_somebody_is_back():
    said = flat(cold_letter(german(away()), [cold()]))
    assert "Zu tun: Wenn Sie zurück sind (Montag, 18. Januar um 08:00 Uhr), sehen Sie zuerst nach" in said
    assert cold_letter(german(here()), [cold()]).subject == "Kalt: 17,4 °C, tray-a, Room 12"


def test_each_letter_speaks_its_own_language():
    assert cold_letter(here(), [cold()]).subject == "Cold: 17.4 °C, tray-a, Room 12"
    assert cold_letter(german(here()), [cold()]).subject.startswith("Kalt: 17,4 °C")
    with spoken("de"):
        assert 'lang="en"' in sample_letter(here()).html


def test_a_late_and_numbered_letter_says_so_in_german():
    said = numbered(sample_letter(german(here())), 12)
    assert said.text.endswith("\nBrief 12.\n")
    assert "Brief 12." in said.html
    with spoken("de"):
        assert late_subject("Kalt: 17,4 °C") == "Verspätet: Kalt: 17,4 °C"
        for fate in ("stands", "over", "told again", "passed"):
            assert not ENGLISH.search(late_note(local(14, 3), fate))


def test_the_state_is_said_in_german():
    waiting = [Event(local(15, 20), "cold", waiting_in_words(_row("cold", "queued"), "de"))]
    for record in NIGHTS:
        said = state_text(german(here()), record, waiting).replace("tray-water", "Fühler")
        assert not ENGLISH.search(said), said
    assert "Wartet aufs Senden: Brief über Kälte (wartet auf die Post), heute um 20:00 Uhr." in said


@pytest.mark.parametrize("count", [0, 1, 3])
def test_what_the_numbers_rest_on_is_said_in_german(count):
    span = None if count == 0 else Span(local(14, 3), local(15, 4))
    kinds = ("top-up", "salinity", "float", "set", "brine", "remove", "harvest", "first-swimmer")
    taught = [
        Observations(kind, count, local(15, 9)) for kind in (*kinds, "hatched", "count", "lot") if count
    ]
    names = (
        "k",
        "salt_g",
        "t50_h_at_25_c",
        "synchrony",
        "time_constant_h",
        "lamp_rise_k",
        "offset_k",
        "heater_c",
    )
    knowns = tuple((name, Range(0.5, 1.25, count + 2.0)) for name in names)
    grounds = [
        Ground(model, ("loss_ml",), span, timedelta(minutes=40 * count), tuple(taught), knowns)
        for model in ("water", "salt", "hatch", "warmth")
    ]
    said = explanation(german(here()), "tray-a", 24, grounds)
    said += explanation(german(here()), "tray-a", 24, [])
    assert not ENGLISH.search(said.replace("docs/explanation/science.md", "")), said
    assert "Faktor dieses Gefäßes: 0,50 bis" in said


def _row(kind, state):
    return LetterRow(**{**dict.fromkeys(LetterRow.__slots__), "kind": kind, "state": state})


@pytest.mark.parametrize(
    "kind", ["leave", "return", "nightly", "digest", "sample", "hot", "storage", "hatch"]
)
def test_a_waiting_letter_is_named_in_either_language(kind):
    assert waiting_in_words(_row(kind, "held"), "en") == f"{kind} letter (waits for its time)"
    assert waiting_in_words(_row(kind, "parked"), "de").endswith("(von der Post abgewiesen)")


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"note"}))
def test_every_deed_is_named_in_german(kind):
    deed = Deed(0, "tray-a", kind, 0.5 if KINDS[kind].amount else None)
    english, said = deed_in_words(deed, "en"), deed_in_words(deed, "de")
    assert said != english
    assert "." not in said
    assert ("0,5" in said or "50 %" in said) == (deed.amount is not None and kind != "cover")


def test_a_reading_of_a_scale_is_said_as_it_was_read():
    by_glass = Deed(0, "tray-a", "salinity", 1.018, other_unit="sg")
    assert deed_in_words(by_glass, "en") == "salt measured: specific gravity 1.018"
    assert deed_in_words(by_glass, "de") == "Salz gemessen: relative Dichte 1,018"


def test_a_note_stays_as_it_was_written():
    note = Deed(0, "tray-a", "note", detail={"text": "the {water} is 1.5 cm"})
    assert deed_in_words(note, "de") == "the {water} is 1.5 cm"


def test_what_is_strange_about_a_probe_is_said_in_german(doubts):
    assert len(doubts) == 4
    for doubt in doubts:
        assert doubt_in_words(doubt, "en") == doubt
        assert not ENGLISH.search(doubt_in_words(doubt, "de"))
    assert doubt_in_words("{odd} words of an older version", "de") == "{odd} words of an older version"


@pytest.fixture
def doubts():
    """What the trust in a probe may say of it, from its source."""
    said = (WaterProbe.doubt, SlowEvidence.doubt)
    sources = [ast.parse(textwrap.dedent(inspect.getsource(function))) for function in said]
    returned = [node.value for source in sources for node in ast.walk(source) if isinstance(node, ast.Return)]
    return [v.value for v in returned if isinstance(v, ast.Constant) and isinstance(v.value, str)]


@pytest.mark.parametrize("record", NIGHTS, ids=range(len(NIGHTS)))
def test_the_chart_is_drawn_in_german_and_inside_its_picture(record):
    texts = drawn_words(record)
    assert any(drawn.text.startswith("Room 12: Fr 15. Jan. 20:00 bis") for drawn in texts)
    for drawn in texts:
        assert not ENGLISH.search(drawn.text), drawn.text
        assert not re.search(r"\d\.\d", drawn.text), drawn.text
        assert -1 <= drawn.box.x0 <= drawn.box.x1 <= WIDTH_PX + 1, drawn.text


def test_the_salt_at_the_axis_has_a_decimal_comma():
    steady = tuple(replace(point, range=Range(24.6, 24.7, 24.8)) for point in vessel().salinity_g_per_kg)
    record = german_night(vessel(salinity_g_per_kg=steady, deeds=()))
    texts = [drawn.text for drawn in drawn_words(record)]
    assert any(re.fullmatch(r"24,\d+|25,\d+", text) for text in texts)


def test_the_child_gets_the_language():
    assert from_json(to_json(german_night())).language == "de"


MANY = {
    cold_letter: [TemperatureTrouble],
    hot_letter: [TemperatureTrouble],
    lamp_letter: [LampTrouble],
    lamp_stays_on_letter: [LampStaysOn],
    lamp_was_dark_letter: [LampWasDark],
    water_letter: [WaterTrouble],
    salinity_letter: [SalinityTrouble],
    swing_letter: [SwingTrouble],
    cold_ahead_letter: [TemperatureAhead],
    hot_ahead_letter: [TemperatureAhead],
    probe_letter: [ProbeTrouble],
    hatch_letter: [HatchNews],
    late_hatch_letter: [LateHatch],
    harvest_letter: [HarvestNews],
    feed_letter: [FeedNews],
    outage_letter: OutageNews,
    clock_letter: ClockTrouble,
    storage_letter: StorageTrouble,
    store_lost_letter: StoreLost,
    store_saved_letter: StoreSaved,
    rows_spoiled_letter: RowsSpoiled,
    file_overlooked_letter: FileOverlooked,
    card_failed_letter: CardFailed,
    record_full_letter: RecordFull,
    card_back_letter: CardBack,
    return_letter: ReturnNews,
}
NUMBERS = st.floats() | st.floats(0.0, 100.0)


def records_of(kind, text):
    if isinstance(kind, list):
        return st.lists(any_of(kind[0], NUMBERS, text), min_size=1, max_size=5)
    return any_of(kind, NUMBERS, text)


@pytest.mark.parametrize("write", MANY)
@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
@given(data=st.data())
def test_no_record_breaks_a_german_letter(write, data):
    setting = german(data.draw(any_of(Setting)))
    letter = write(setting, data.draw(records_of(MANY[write], any_of(str))))
    assert len(letter.subject) < 60


@pytest.mark.parametrize("write", MANY)
@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
@given(data=st.data())
def test_a_german_letter_says_neither_none_nor_nan_nor_english(write, data):
    setting = german(data.draw(any_of(Setting, NUMBERS, st.just("Raum 12"))))
    letter = write(setting, data.draw(records_of(MANY[write], st.just("Schale"))))
    said = prose(letter)
    assert not re.search(r"\b(None|nan|inf)\b", said), said
    assert not ENGLISH.search(said), (ENGLISH.search(said), said)


@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
@given(
    any_of(Setting),
    any_of(NightRecord),
    st.lists(any_of(VesselOutlook), min_size=1, max_size=4),
    st.booleans(),
)
def test_no_night_and_no_outlook_breaks_a_german_letter(setting, record, outlooks, chart):
    assert len(nightly_letter(german(setting), record, with_chart=chart).subject) < 60
    absence = Absence(local(15, 15, 30), local(18, 8))
    assert len(leave_letter(german(setting), absence, outlooks).subject) < 60
    state_text(german(setting), record, [])


HOSTILE = "Becherreihe an der Fensterseite des Biologieraums im Erdgeschoss"


@pytest.mark.parametrize("station", ["Room 12", HOSTILE, "R" * 200, "東" * 80, "x\n\r\x00y"])
def test_a_subject_keeps_its_value_whatever_the_names(station):
    setting = german(away(station=station))
    said = cold_letter(setting, [cold(vessel=HOSTILE), cold(vessel=HOSTILE[::-1], count=1)])
    assert said.subject.startswith("Kalt: 17,4 °C, ")
    for letter in letters(setting):
        assert len(letter.subject) < 60
        assert letter.subject == words.clean(letter.subject)


def test_an_outage_of_a_minute_is_bent_rightly():
    span = Span(at_hour(2), at_hour(2.01))
    with spoken("de"):
        assert times.duration(times.elapsed(span.began, span.ended)) == "weniger als eine Minute"
        assert times.ago(times.elapsed(span.began, span.ended)) == "vor weniger als einer Minute"
        assert times.duration_after(times.elapsed(at_hour(0), at_hour(52))) == "2 Tagen 4 Stunden"
        assert times.duration(times.elapsed(at_hour(0), at_hour(52))) == "2 Tage 4 Stunden"
