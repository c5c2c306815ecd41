"""Every line for the care log that a letter gives to copy is one that the command takes, as it stands."""

import re
from functools import cache

from reports.records import LetterText
from tests.kit.care_lines import command_in, taken
from tests.kit.german_samples import german, letters
from tests.kit.report_samples import away, here
from tests.kit.station import probe, station, vessel

NOW = 1_800_000_000


@cache
def samples() -> list[LetterText]:
    """Written where a test asks for them, not where tests are collected: each process does that."""
    return [letter for setting in (here("C"), away("F"), german(here("C"))) for letter in letters(setting)]


def care_lines(letter: LetterText) -> list[str]:
    """The commands of a letter: each to the end of its point or paragraph, over wrapped lines."""
    points = re.split(r"\n(?=- )|\n\n", letter.text)
    joined = [" ".join(point.split()) for point in points]
    return [command for point in joined if (command := command_in(point)) is not None]


@cache
def lines() -> list[str]:
    return sorted({line for letter in samples() for line in care_lines(letter)})


def deed_of(line: str) -> str:
    """The deed that a line keeps, in a station that has its vessel."""
    words = line.split()
    room = station(
        probe("water"), vessel(words[3], "water", mark_ml=1000.0, surface_cm2=100.0, brim_ml=100.0)
    )
    return taken(line, room, NOW)


def test_every_line_to_copy_is_taken_by_the_command() -> None:
    assert len(lines()) > 30
    for line in lines():
        assert deed_of(line), line


def test_letters_give_lines_to_copy_for_water_for_salt_and_for_looks() -> None:
    deeds = {deed_of(line) for line in lines()}
    assert {"top-up", "brine", "remove", "hatched", "first-swimmer"} <= deeds


def test_both_hatch_letters_ask_by_name_for_a_look_that_found_nothing() -> None:
    asking = [letter for letter in samples() if letter.kind == "hatch"]
    assert len(asking) >= 3 * 7
    assert [
        letter.subject for letter in asking if not re.search(r"care add \S+ hatched 0\b", flat(letter))
    ] == []


def flat(letter: LetterText) -> str:
    return " ".join(letter.text.split())
