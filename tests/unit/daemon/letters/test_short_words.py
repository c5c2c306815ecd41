"""Deeds and waiting letters in a few words, as they are said afterwards."""

import pytest

from daemon.care.deed import KINDS, Deed
from daemon.letters.short_words import deed_in_words, waiting_in_words
from daemon.store.letters import LetterRow

SAID = [
    (Deed(0, "tray-a", "set", 0.05), "set 0.05 g of cysts"),
    (Deed(0, "tray-a", "top-up", 18.5), "poured in 18.5 mL of water"),
    (Deed(0, "tray-a", "brine", 90.0), "poured in 90 mL of brine"),
    (Deed(0, "tray-a", "remove", 40.0), "took out 40 mL"),
    (Deed(0, "tray-a", "cover", 1.0), "covered"),
    (Deed(0, "tray-a", "cover", 0.0), "uncovered"),
    (Deed(0, "tray-a", "stir"), "stirred"),
    (Deed(0, "tray-a", "feed", 0.02), "fed 0.02 g"),
    (Deed(0, "tray-a", "first-swimmer"), "first swimmer seen"),
    (Deed(0, "tray-a", "hatched", 0.92), "92 % hatched"),
    (Deed(0, "tray-a", "hatched", 0.0), "none hatched yet"),
    (Deed(0, "tray-a", "count", 38.0), "counted 38 animals"),
    (Deed(0, "tray-a", "salinity", 28.0), "salt measured: 28 g in a kg of brine"),
    (Deed(0, "tray-a", "salinity", 1.018, other_unit="sg"), "salt measured: specific gravity 1.018"),
    (Deed(0, "tray-a", "harvest", 600.0), "drew off 600 mL"),
    (Deed(0, "tray-a", "note", detail={"text": "looks well"}), "looks well"),
    (Deed(0, "tray-a", "end"), "batch ended"),
]


@pytest.mark.parametrize(("deed", "words"), SAID)
def test_a_deed_is_said_as_one_that_was_done(deed: Deed, words: str) -> None:
    assert deed_in_words(deed, "en") == words


def test_no_deed_is_without_words() -> None:
    assert {deed.deed for deed, _ in SAID} == set(KINDS)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("held", "cold letter (waits for its time)"),
        ("queued", "cold letter (waits for the post)"),
        ("parked", "cold letter (refused by the post)"),
    ],
)
def test_a_letter_that_waits_says_for_what(state: str, words: str) -> None:
    fields = dict.fromkeys(LetterRow.__slots__) | {"kind": "cold", "state": state}
    assert waiting_in_words(LetterRow(**fields), "en") == words  # type: ignore[arg-type]  # the rest is not read
