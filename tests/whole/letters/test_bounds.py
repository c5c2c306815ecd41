"""Every letter of every story and sample is short, and says early what to do (tests/kit/letter_bounds).

Random histories hold it too: the invariant `a_letter_is_short`.
"""

import pytest

from daemon.play.story_file import story_names
from reports.letters.digest import late_note
from tests.kit import german_samples as samples
from tests.kit.heater_letters import heater_letters
from tests.kit.invariants.letter import text_of
from tests.kit.letter_bounds import DO_WITHIN_WORDS, do_at, faults, groups, most_words, sentences, words
from tests.kit.played import Played
from tests.kit.plays import Plays
from tests.kit.report_samples import away, here, local
from tests.kit.telling import LONG, WEEKENDS, Telling

TOLD = [n for n in story_names() if n not in WEEKENDS]
CASES = [pytest.param(n, marks=pytest.mark.long) if n in LONG else n for n in TOLD]
MAKERS = (
    *(samples.of_warmth, samples.of_light_and_probes, samples.of_water, samples.of_animals),
    *(samples.of_the_station, samples.planned),
    lambda setting: heater_letters(setting, samples.german_night, samples.DEEDS, "the water is too cold"),
)
NAMES = ("warmth", "light and probes", "water", "animals", "the station", "planned", "heaters")
SHORT = "Cold: 3.0 °C.\n\nDo this: move the cups.\n\nRoom 12, Friday 15 January 2027 at 22:10.\n"


@pytest.mark.parametrize("name", CASES)
def test_every_letter_of_a_story_is_short(told: Plays[Telling], name: str) -> None:
    found = {one.subject: faults(one.text, one.kind, one.subject) for one in told[name].letters}
    assert {subject: of for subject, of in found.items() if of} == {}


@pytest.mark.parametrize("name", WEEKENDS)
def test_every_letter_of_a_rehearsed_weekend_is_short(rehearsed: Plays[Played], name: str) -> None:
    rows = rehearsed[name].rows("SELECT kind, subject, message FROM letter WHERE sent_at IS NOT NULL")
    found = {subject: faults(text_of(message), kind, subject) for kind, subject, message in rows}
    assert found
    assert {subject: of for subject, of in found.items() if of} == {}


@pytest.mark.parametrize("setting", [here(), away()], ids=["here", "away"])
@pytest.mark.parametrize("make", MAKERS, ids=NAMES)
def test_every_sample_is_short(make, setting) -> None:  # type: ignore[no-untyped-def]  # cases
    # Before they leave somebody is there.
    written = [one for one in make(setting) if setting.attended_now or one.kind != "leave"]
    found = [(one.subject, faults(one.text, one.kind, one.subject)) for one in written]
    assert found
    assert [(subject, of) for subject, of in found if of] == []


@pytest.mark.parametrize("fate", ["stands", "over", "told again", "passed"])
def test_a_letter_that_goes_late_still_says_early_what_to_do(fate: str) -> None:
    note = late_note(local(15, 21), fate)
    alarms = [one for make in MAKERS[:3] for one in make(away()) if one.kind != "leave"]
    assert alarms
    assert max(do_at(f"{note}\n\n{one.text}") or 0 for one in alarms) <= DO_WITHIN_WORDS


# What is found ------------------------------------------------------------------------------------------


def test_a_short_letter_has_no_fault() -> None:
    assert faults(SHORT, "cold", "Cold: 3.0 °C, tray-a, Room 12") == []


def test_a_deed_that_comes_late_is_found() -> None:
    early, late = (SHORT.replace("3.0 °C", " ".join(["word."] * n)) for n in (44, 45))
    assert (do_at(early), do_at(late)) == (45, 46)
    assert faults(early, "cold") == []
    assert faults(late, "cold") == ["“Do this:” after 46 words"]
    assert faults("Cold.", "cold") == ["no “Do this:”"]


def test_a_long_letter_is_found_by_its_kind() -> None:
    long = SHORT + "\nThe water is cold. " * 40
    assert words(long) == 176
    assert faults(long, "cold") == ["176 words, of 150 for 1 groups"]
    assert faults(long, "nightly") == faults(long, "leave") == []


def test_a_long_sentence_is_found_but_in_a_table_and_a_line_to_copy() -> None:
    twenty = " ".join(["word"] * 20)
    assert faults(f"{SHORT}\n{twenty} word word word word word.\n", "cold") == []
    assert faults(f"{SHORT}\n{twenty} 1 2 3 4 5 6.\n", "cold") == [
        f"a sentence of 26 words: {twenty} 1 2 3 4 5 6."
    ]
    assert faults(f"{SHORT}\n- Pour: 3 mL.\n- Stir: naupliad care add {twenty} 1 2 3 4.\n", "cold") == []
    assert faults(f"{SHORT}\nVessel  What\n------  ----\njar     {twenty} 1 2 3 4 5 6\n", "cold") == []


def test_lines_of_facts_are_sentences_of_their_own_and_go_on_indented() -> None:
    text = "jar\n- Water: 3 °C. Low.\n- Limit,\n  of the jar: 18 °C.\n\nAlso\n----\n\nDo this: go."
    assert sentences(text) == ["jar", "Water: 3 °C.", "Low.", "Limit, of the jar: 18 °C.", "go."]


def test_a_row_more_and_what_else_waits_have_room() -> None:
    table = "Vessel  Water\n------  -------\ncup-1   3.0 °C\ncup-2   4.0 °C\n  more\ncup-3   5.0 °C"
    also = "Also\n----\n\n- The lamp is off.\n- The clock is\n  not sure."
    assert groups(table) == 3
    assert most_words(table, "cold") == 150 + 2 * 20
    assert most_words(also, "cold") == 150 + 2 * 25
    assert most_words("Over by now:\n- Letter 3, today: a\n- Letter 4, today: b", "digest") == 150 + 20


def test_a_long_subject_is_found() -> None:
    assert faults(SHORT, "cold", "x" * 59) == []
    assert faults(SHORT, "cold", "x" * 60) == [f"a subject of 60 characters: {'x' * 60}"]
