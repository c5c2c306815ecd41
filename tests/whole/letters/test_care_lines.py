"""Every line for the care log that a letter gives to copy is one that the command takes, as it stands."""

import re
import shlex

import pytest

from daemon.care.spoken_deed import fields_of
from daemon.cli.care import add
from reports.records import LetterText
from tests.kit.german_samples import german, letters
from tests.kit.report_samples import away, here
from tests.kit.station import probe, station, vessel

SAMPLES = [letter for setting in (here("C"), away("F"), german(here("C"))) for letter in letters(setting)]
COMMAND = "naupliad care "


def care_lines(letter: LetterText) -> list[str]:
    """The commands of a letter: each to the end of its point or paragraph, over wrapped lines."""
    points = re.split(r"\n(?=- )|\n\n", letter.text)
    joined = [" ".join(point.split()) for point in points]
    return [point[point.index(COMMAND) :] for point in joined if COMMAND in point]


LINES = sorted({line for letter in SAMPLES for line in care_lines(letter)})


def taken(line: str) -> dict[str, str | None]:
    """The deed's fields. Raises ClickException or InputError where the command would refuse it."""
    words = shlex.split(line)
    assert words[:3] == ["naupliad", "care", "add"]
    said = add.make_context("add", words[3:]).params
    room = station(
        probe("water"), vessel(said["vessel"], "water", mark_ml=1000.0, surface_cm2=100.0, brim_ml=100.0)
    )
    return fields_of(room, said["vessel"], said["deed"], said["amount"], said["unit"], said["detail"])


@pytest.mark.parametrize("line", LINES)
def test_a_line_to_copy_is_taken_by_the_command(line: str) -> None:
    assert taken(line)["deed"]


def test_letters_give_lines_to_copy_for_water_for_salt_and_for_looks() -> None:
    deeds = {taken(line)["deed"] for line in LINES}
    assert {"top-up", "brine", "remove", "hatched", "first-swimmer"} <= deeds


def test_both_hatch_letters_ask_by_name_for_a_look_that_found_nothing() -> None:
    asking = [letter for letter in SAMPLES if letter.kind == "hatch"]
    assert len(asking) >= 3 * 7
    assert [
        letter.subject for letter in asking if not re.search(r"care add \S+ hatched 0\b", flat(letter))
    ] == []


def flat(letter: LetterText) -> str:
    return " ".join(letter.text.split())
