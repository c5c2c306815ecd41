"""The PIN: which digits it may be, and that only those are it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError, NaupliadError
from daemon.page.guard.pin import FILE_NAME, USUAL, PinSource, digits_of, new_pin, set_pin

WHY_SIX = "at four, trying goes on for five days on average, at six for a year and a half"


@pytest.mark.parametrize("typed", ["735164", "73 51 64", "735-164", "730516492847"])
def test_six_to_twelve_digits_are_a_pin_however_they_are_grouped(typed: str) -> None:
    assert new_pin(typed) == digits_of(typed) == typed.replace(" ", "").replace("-", "")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("7351", f"PIN: found 4 digits; allowed: 6 to 12 digits: {WHY_SIX}"),
        ("7351648295073", "PIN: found 13 digits; allowed: 6 to 12 digits"),
        ("", "PIN: found nothing; allowed: 6 to 12 digits"),
        ("7351x4", "PIN: found other characters than digits; allowed: 6 to 12 digits"),
        ("٧٣٥١٦٤", "PIN: found other characters than digits; allowed: 6 to 12 digits"),
    ],
)
def test_anything_else_is_refused_in_a_line_that_does_not_repeat_it(typed: str, said: str) -> None:
    with pytest.raises(InputError) as refusal:
        new_pin(typed)
    assert str(refusal.value) == said
    assert digits_of(typed) is None


@pytest.mark.parametrize(
    "typed", ["000000", "123456", "234567890", "654321", "098765", "121212", "123123", "73737373"]
)
def test_digits_that_are_tried_first_are_refused(typed: str) -> None:
    with pytest.raises(InputError) as refusal:
        new_pin(typed)
    assert str(refusal.value) == (
        "PIN: found digits that are tried first; allowed: 6 to 12 digits that are not all alike, not in a row"
        " and not a group of 3 repeated"
    )


@given(st.text(max_size=20))
def test_no_text_but_digits_in_groups_can_be_a_pin(typed: str) -> None:
    digits = digits_of(typed)
    if digits is not None:
        assert 6 <= len(digits) <= 12
        assert set(digits) <= set("0123456789")
        assert set(typed) <= set("0123456789 -")


def test_a_pin_that_was_set_fits_itself_alone_and_stands_nowhere(tmp_path: Path) -> None:
    set_pin(tmp_path, "735164")
    record = PinSource(tmp_path, {}).now()
    assert record is not None
    assert record.cost == USUAL
    assert record.fits("735164")
    assert not record.fits("735165")
    assert "735164" not in (tmp_path / FILE_NAME).read_text()


def test_the_same_pin_set_again_is_another_one_and_is_taken_up_at_once(tmp_path: Path) -> None:
    source = PinSource(tmp_path, {})
    assert source.now() is None
    set_pin(tmp_path, "735164")
    first = source.now()
    set_pin(tmp_path, "735164")
    second = source.now()
    assert first is not None
    assert second is not None
    assert (first.id, first.salt, first.key) != (second.id, second.salt, second.key)
    assert first.id != second.id
    assert second.fits("735164")


KEPT = '{"id": "a", "salt": "00", "key": "00", "cost": %s}'
COSTS = (
    "[1048576, 8, 1]",
    "[1000, 8, 1]",
    "[2, 8]",
    "[2, 8, 1.5]",
    "[2, 8, 9999]",
    "[true, 8, 1]",
    "[2, 0, 1]",
    "7",
)


@pytest.mark.parametrize(
    "words",
    [
        "[]",
        "{}",
        '{"id": 1, "salt": "x", "key": ""}',
        '{"id": "a", "salt": 1}',
        "{",
        *(KEPT % cost for cost in COSTS),
    ],
)
def test_a_spoiled_file_is_no_pin(tmp_path: Path, words: str) -> None:
    (tmp_path / FILE_NAME).write_text(words)
    assert PinSource(tmp_path, {}).now() is None


def test_a_folder_that_takes_nothing_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(NaupliadError, match=r"/file/page: the PIN cannot be kept: Not a directory$"):
        set_pin(tmp_path / "file" / "page", "735164")


def test_a_credential_goes_before_the_file_and_is_the_same_pin_at_every_start(tmp_path: Path) -> None:
    set_pin(tmp_path, "735164")
    (tmp_path / "page-pin").write_text("802943\n")
    first = PinSource(tmp_path, {"CREDENTIALS_DIRECTORY": str(tmp_path)}).now()
    again = PinSource(tmp_path, {"CREDENTIALS_DIRECTORY": str(tmp_path)}).now()
    assert first is not None
    assert first == again
    assert first.fits("802943")
    assert not first.fits("735164")


def test_a_credential_that_is_no_good_is_logged_without_its_digits_and_is_none(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "page-pin").write_text("7351\n")
    assert PinSource(tmp_path, {"CREDENTIALS_DIRECTORY": str(tmp_path)}).now() is None
    (line,) = caplog.messages
    assert "found 4 digits" in line
    assert "7351" not in line
