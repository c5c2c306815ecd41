"""The pages where hands and mains meet hold each caution, in its place."""

import re
from pathlib import Path

import pytest

from tests.kit.checkout import DOCS
from tests.kit.pages import PAGES, named, prose, section

SAFETY = DOCS / "explanation" / "safety.md"
WIRING = DOCS / "wiring" / "index.md"

# Each caution: the page and heading it stands under, and what one paragraph or bullet there must say.
CAUTIONS = {
    "adults only": (SAFETY, "Lamp and salt water", ["Lamps, plugs and wiring are for adults", "electrician"]),
    "apart": (SAFETY, "Lamp and salt water", ["away", "higher than it, never over it", "drip", "fall in"]),
    "drip loop": (SAFETY, "Lamp and salt water", ["loop below its plug", "drip loop"]),
    "dry hands": (
        SAFETY,
        "Lamp and salt water",
        ["30 mA or less", "Dry your hands", "over the water", "when you pour"],
    ),
    "heater": (SAFETY, "Lamp and salt water", ["switch it off", "unplug", "dangerously hot", "covers it"]),
    "where to switch": (SAFETY, "Lamp and salt water", ["at its switch or timer", "dry hands"]),
    "wet or damaged": (SAFETY, "Lamp and salt water", ["wet or damaged", "leave it", "person in charge"]),
    "siphon": (
        SAFETY,
        "Air pumps",
        ["siphons back", "higher than the water, never over it", "non-return valve", "drip loop"],
    ),
    "clamped lamp": (SAFETY, "Hot lamps", ["started fires", "unattended", "burns"]),
    "lamp and absence": (SAFETY, "Hot lamps", ["absence", "no hot lamp on", "low-voltage LED", "your rules"]),
    "too warm": (SAFETY, "Hot lamps", ["lamp or the sun away", "dry hands", "not add ice"]),
    "power cut": (SAFETY, "After a power cut", ["Look first", "not touch", "wet"]),
    "fuse": (SAFETY, "After a power cut", ["fuse", "safety switch", "not switched on again", "in charge"]),
    "probe": (SAFETY, "The probe", ["3.3 V", "sealed", "Tie the cable"]),
    "drilling": (SAFETY, "Tools and glass", ["Drilling", "heat-shrinking", "adult", "goggles", "unplugged"]),
    "glass": (SAFETY, "Tools and glass", ["plastic, not of glass", "Broken glass", "adult", "brush"]),
    "boiling": (SAFETY, "Tools and glass", ["Boiling", "scald", "adult"]),
    "hands": (SAFETY, "Cysts and animals", ["Wash your hands"]),
    "allergy": (SAFETY, "Cysts and animals", ["Cyst dust", "allergy", "shellfish", "away from faces"]),
    "no food again": (SAFETY, "Cysts and animals", ["Spoons, cups", "not used for food again"]),
    "release": (
        SAFETY,
        "Cysts and animals",
        ["Never release", "pond", "river", "sea", "drain", "adult", "rules"],
    ),
    "bleach": (SAFETY, "Cysts and animals", ["adults", "gloves", "window", "vinegar", "descaler", "cleaner"]),
    "off before wires": (WIRING, "Before you touch anything", ["pull out its power supply"]),
    "wiring for adults": (
        WIRING,
        "Before you touch anything",
        ["drilling", "heat-shrinking", "adults", "Goggles", "unplugged"],
    ),
    "electrician": (
        WIRING,
        "Mains and salt water",
        ["plugs are for adults", "electrician", "rules", "first"],
    ),
    "siphon at the pump": (
        WIRING,
        "Mains and salt water",
        ["siphons back", "higher than the water, never over it", "non-return valve"],
    ),
    "sockets": (WIRING, "Mains and salt water", ["30 mA or less", "higher than it and never over it"]),
    "drip loop at the shelf": (WIRING, "Mains and salt water", ["drip loop"]),
    "hot lamp": (WIRING, "Mains and salt water", ["heat lamp", "absence", "no hot lamp on"]),
    "wet plug": (
        WIRING,
        "Mains and salt water",
        ["wet", "do not touch", "in charge", "not switched on again"],
    ),
    "plastic tube": (WIRING, "What to seal", ["plastic tube", "no tube of glass"]),
}


def items(text: str) -> list[str]:
    """Paragraphs and list items, each on one line and without its marks."""
    parts = re.split(r"\n\s*\n|\n(?=- |\d+\. )", text)
    return [" ".join(part.replace("**", "").split()) for part in parts]


@pytest.mark.parametrize("caution", CAUTIONS)
def test_a_caution_stands_whole_in_one_item_of_its_section(caution: str) -> None:
    page, heading, words = CAUTIONS[caution]
    assert any(all(word in item for word in words) for item in items(section(page, heading))), words


def test_the_safety_page_says_first_that_nothing_is_switched_and_that_it_is_no_fire_alarm() -> None:
    first = " ".join(SAFETY.read_text("utf-8").split("\n## ")[0].replace("**", "").split())
    for told in ("never switches mains power", "no fire alarm, no smoke alarm", "they come first"):
        assert told in first


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_no_page_sends_anybody_to_the_wall_to_switch(page: Path) -> None:
    assert not re.search(r"\b(?:on|off|unplug|switch\w*) at the wall\b", prose(page))


def test_a_sentence_of_the_safety_page_is_short() -> None:
    for item in items(SAFETY.read_text("utf-8")):
        for sentence in re.split(r"(?<=[.!?;:])\s+", item):
            assert len(sentence.split()) <= 25, sentence
