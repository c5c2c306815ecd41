"""The page of a letter: headings, tables and lines to copy, as a phone and a screen reader need them."""

import re
from dataclasses import replace

from reports.letters.blocks import Action, Body, Caution, Facts, Paragraph, Table
from reports.letters.page import letter
from tests.kit.letter_bounds import faults
from tests.kit.letter_text import body, words_of
from tests.kit.report_samples import here

TABLE = Table(("Vessel", "Water", "Pour"), (("cup-1 and cup-2", "3.0 °C", "–"), ("jar", "4.0 °C", "20 mL")))
WRITTEN = letter(
    "cold",
    "Cold: 3.0 °C, Room 12",
    "The cups are cold.",
    Body(
        Action("move them."),
        care=(Caution("Dry hands."), Caution("Let the lamp cool."), Caution("Dry hands.")),
        record=("naupliad care add jar stir", "or: naupliad care add jar top-up 3"),
        known=[TABLE, Facts("jar", ("Set: today.",))],
        means=("Cold slows the hatch.",),
        ending="Next letter: today.",
    ),
    here(),
)


def test_the_lead_is_the_one_first_heading_and_titles_are_headings_below_it():
    assert re.findall(r"<(h\d)[^>]*>([^<]*)", WRITTEN.html) == [
        ("h1", "The cups are cold."),
        ("h2", "Then write it in the care log:"),
        ("h2", "jar"),
        ("h2", "What it means"),
    ]
    assert WRITTEN.html.count("<main>") == 1
    assert '<html lang="en">' in WRITTEN.html


def test_the_deed_and_one_caution_come_before_all_else():
    said = " ".join(WRITTEN.text.split())
    assert said.startswith(
        "The cups are cold. Do this: move them. Take care: Dry hands. Let the lamp cool. Then"
    )


def test_a_table_has_heads_of_columns_and_rows():
    plain = re.sub(r"</?span[^>]*>", "", WRITTEN.html)
    assert re.findall(r'<th scope="(\w+)"[^>]*>([^<]*)', plain) == [
        *(("col", "Vessel"), ("col", "Water"), ("col", "Pour")),
        *(("row", "cup-1 and cup-2"), ("row", "jar")),
    ]


def test_a_cell_carries_its_head_for_phones_and_an_empty_one_is_left_out_there():
    labels = re.findall(
        r'<td class="([^"]*)"[^>]*><span class="label" style="display:none">([^<]*)', WRITTEN.html
    )
    assert labels == [("cell", "Water: "), ("cell none", "Pour: "), ("cell", "Water: "), ("cell", "Pour: ")]
    assert body(WRITTEN.html).words == words_of(WRITTEN.text)


def test_a_line_to_copy_is_code_with_a_space_before_it():
    assert '<li style="margin:.2em 0"><code' in WRITTEN.html
    assert re.search(r"or: <code[^>]*>naupliad care add jar <span[^>]*>top-up</span> 3</code>", WRITTEN.html)


def spared(setting, *texts, rows=(("jar", "4.0 °C", "–"),)):
    """A letter of some 130 words, with paragraphs that can be left out."""
    body_of = Body(
        Action("move them."),
        known=[Table(("Vessel", "Water", "Pour"), rows)],
        notes=("Word. " * 100,),
        spare=[Paragraph(text) for text in texts],
        ending="Next letter: today.",
    )
    return letter("cold", "Cold: 3.0 °C, Room 12", "The cups are cold.", body_of, setting)


SHORT, LONG = "It is short.", "Long. " * 40


def test_what_is_spare_is_said_only_as_far_as_the_letter_stays_short():
    said = spared(here(), LONG, SHORT)
    assert SHORT in said.text
    assert "Long" not in said.text
    assert faults(said.text + "Letter 6.\n", "cold") == []
    assert "What it means\n" in said.text


def test_with_more_rows_there_is_more_room():
    rows = (("jar", "4.0 °C", "–"), ("cone", "5.0 °C", "–"), ("tray", "6.0 °C", "–"))
    said = spared(here(), LONG, rows=rows)
    assert "Long. Long." in said.text
    assert faults(said.text + "Letter 6.\n", "cold") == []


def test_what_the_last_letter_spared_is_not_said_again():
    assert SHORT not in spared(replace(here(), said_last=frozenset({SHORT})), SHORT).text
