"""What the checks say of a field is German on a German page: every line that a form can bring about."""

import re
import shutil
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from daemon.care.deed import KINDS
from daemon.care.log import deed_from_fields
from daemon.care.past_moment import past_moment
from daemon.care.spoken_deed import fields_of
from daemon.config import parse_station
from daemon.errors import InputError
from daemon.page.deeds.checked import in_words
from reports.page.doing.choices import CHOICES
from tests.kit.listening_desks import NOW, Phone, leave_a_day, listening, page_of, shelf_text

GERMAN: Any = SimpleNamespace(language="de")
ENGLISH: Any = SimpleNamespace(language="en")
# Words of the checks that are no German ones.
LEFT = re.compile(
    r"\b(found|allowed|or|and|such|number|line|days?|hours?|minutes|ahead|ago|earlier|of|mark)\b"
)
STATION = parse_station(shelf_text(lots=True), "station.toml")
AMOUNTS = ("", "x", "-5", "1e9", "1,900", "5 parsecs", "9" * 50)
DETAILS = (
    "salt_g_per_l=9999",
    "salt_g_per_l=x",
    "volume_ml=1e9",
    "water_c=99",
    "of_cysts=0",
    "text=",
    "lot=\x00",
)
MORE = (
    "food=grass",
    "with=eyes",
    "light=perhaps",
    "lot=a;lot=b",
    "above_ml=-1",
    "text=" + "x" * 2000,
    "colour=1",
)


def refusals() -> list[str]:
    """The lines of all checks of a deed, without the field's name."""
    found: set[str] = set()
    for deed in KINDS:
        for amount in AMOUNTS:
            for detail in ("", *DETAILS, *MORE):
                try:
                    fields_of(STATION, "cup", deed, amount.split(), None, detail)
                except InputError as error:
                    found.update(error.faults)
    for text in ("soon", "2199-01-01T00:00", "2026-10-25T23:00", "2026-10-28T00:00", "99:99"):
        try:
            past_moment("time", text, NOW, STATION.timezone)
        except InputError as error:
            found.update(error.faults)
    with pytest.raises(InputError) as refused:
        deed_from_fields(0, "cup", "salinity", "1.05", "sg", "with=hydrometer;water_c=35;scale_c=5", STATION)
    found.update(refused.value.faults)
    found |= {"time: found a moment 3 days ahead; allowed: now or earlier"}
    found |= {"time: found a moment 95 days ago; allowed: within the last 90 days"}
    return sorted(line.partition(": ")[2] for line in found)


def test_every_line_of_the_checks_is_said_in_german() -> None:
    lines = refusals()
    assert len(lines) > 40
    for line in lines:
        said = in_words(GERMAN, line)
        typed = re.sub(r"'[^']*'", "", said)  # what somebody typed stays as it is
        assert not LEFT.search(typed), f"{line!r} became {said!r}"
        assert "\n" not in said


def test_in_english_they_stay_as_the_checks_have_them() -> None:
    for line in refusals():
        assert in_words(ENGLISH, line) == line


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "Found '99'; allowed: 0 to 40 ml (of one cup: twice its mark at most)",
            "0 bis 40 mL (eines Bechers",
        ),
        ("Found '1,900'; allowed: 1900 or 1.9, whichever is meant", "1900 oder 1,9"),
        ("Found a moment 3 hours ahead; allowed: now or earlier", "ein Zeitpunkt, 3 Stunden voraus"),
        ("Found a moment 95 days ago; allowed: within the last 90 days", "ein Zeitpunkt vor 95 Tagen"),
        ("Found no text; allowed: text=… for note", "Das muss ausgefüllt werden."),
    ],
)
def test_a_line_keeps_its_figures(line: str, said: str) -> None:
    assert said in in_words(GERMAN, line)


@pytest.mark.parametrize(
    "line", ["", "Etwas auf Deutsch.", "a line of nobody's making", "Found nothing at all"]
)
def test_a_line_that_has_no_such_parts_stays(line: str) -> None:
    assert in_words(GERMAN, line) == line


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text(lots=True, language="de"))
    state = shutil.copytree(folder, tmp_path_factory.mktemp("german") / "state")
    with listening(state):
        yield page_of(state)


@pytest.mark.parametrize("choice", sorted(CHOICES))
def test_a_german_form_says_no_english(page: Phone, choice: str) -> None:
    form = {
        "amount": "5 parsecs",
        "text": "",
        "at": "2199-01-01T00:00",
        "salt_g_per_l": "x",
        "volume_ml": "-1",
    }
    answer = page.post(f"/do/cup/{choice}", data={"once": page.key_on(f"/do/cup/{choice}"), **form})
    assert answer.status_code == 422
    faults = re.findall(r'(?:class="wrong"|role="alert")[^>]*>([^<]*)<', answer.text)
    assert faults
    assert not [one for one in faults if re.search(r"Found|allowed", one)]
