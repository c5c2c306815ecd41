"""One row of words a kind of letter, one a condition; a letter stands in the module called as its kind."""

import keyword
from pathlib import Path

import pytest

import reports.letters
from daemon.alarms import conditions
from reports.conditions import CONDITIONS, alarm_in_words, past_alarm_in_words
from reports.letters.kinds import LETTERS
from tests.kit.german_samples import letters
from tests.kit.report_samples import away

FOLDER = Path(reports.letters.__path__[0])


def test_every_kind_has_a_row_of_words_and_a_letter_that_can_be_written() -> None:
    assert {one.kind for one in letters(away())} == set(LETTERS)


@pytest.mark.parametrize("kind", LETTERS)
def test_a_letters_module_is_called_as_its_kind(kind: str) -> None:
    source = FOLDER / f"{kind}{'_' if keyword.iskeyword(kind) else ''}.py"
    assert f"def {kind}_letter(" in source.read_text("utf-8")


def test_no_two_kinds_have_one_name() -> None:
    assert len({row.name for row in LETTERS.values()}) == len(LETTERS)


def test_every_condition_but_the_stations_own_has_its_words() -> None:
    assert set(CONDITIONS) == set(conditions.CONDITIONS) - set(conditions.OF_THE_STATION)


def test_an_alarm_is_said_as_it_stands_and_when_it_is_over() -> None:
    assert alarm_in_words("cold", "", acknowledged=False) == "the water is too cold"
    assert alarm_in_words("cold", "", acknowledged=True) == "the water is too cold (seen)"
    assert past_alarm_in_words("cold", "") == "the water was too cold"


def test_an_alarm_of_a_probe_names_it() -> None:
    assert alarm_in_words("probe", "tray-water", acknowledged=False) == (
        "the probe tray-water gives nothing to believe"
    )
    assert past_alarm_in_words("probe", "tray-water") == "the probe tray-water gave nothing to believe"
