"""A form that is sent after its session ended: the PIN, then the form again, a tap from being noted."""

import html
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from daemon.page.guard.sessions import IDLE_S
from tests.kit.listening_desks import (
    NOW,
    PIN,
    Listening,
    Phone,
    leave_a_day,
    listening,
    shelf_text,
    site_of,
)

WRONG = "802943"
HOME = {"Origin": "http://localhost"}


@dataclass
class Clock:
    """What time the page takes it to be, Unix s."""

    at: int = NOW

    def __call__(self) -> int:
        return self.at


@dataclass
class Teacher:
    """Whoever filled in a form and was called away."""

    phone: Phone
    clock: Clock

    def away(self) -> None:
        """Half an hour goes by without use."""
        self.clock.at += IDLE_S

    def gives(self, asked: str, pin: str = PIN) -> Any:
        """The form for the PIN, sent as a browser sends it, with all its hidden fields."""
        assert 'action="/pin"' in asked
        return self.phone.browser.post("/pin", data={**hidden_of(asked), "pin": pin}, headers=HOME)

    def sends(self, shown: str, address: str) -> Any:
        """The form on a page at that address, as it stands: one tap."""
        form = re.search(rf'<form method="post" action="{re.escape(address)}".*?</form>', shown, re.DOTALL)
        assert form, shown
        return self.phone.browser.post(address, data=filled_in(form[0]), headers=HOME)


def hidden_of(text: str) -> dict[str, str]:
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', text)
    return {name: html.unescape(value) for name, value in found}


def filled_in(form: str) -> dict[str, Any]:
    """What a browser would send of it."""
    values: dict[str, Any] = dict(hidden_of(form))
    for tag in re.findall(r"<input [^>]*>", form):
        name, value = re.search(r'name="([^"]+)"', tag), re.search(r'value="([^"]*)"', tag)
        is_choice = 'type="radio"' in tag or 'type="checkbox"' in tag
        if name and 'type="hidden"' not in tag and (not is_choice or " checked" in tag):
            values[name[1]] = html.unescape(value[1] if value else "")
    for name, body in re.findall(r'<select [^>]*name="([^"]+)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', body) or re.search(r'value="([^"]*)"', body)
        assert chosen
        values[name] = html.unescape(chosen[1])
    return values


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text(lots=True))
    return folder


@pytest.fixture
def daemon(left: Path, tmp_path: Path) -> Iterator[Listening]:
    with listening(shutil.copytree(left, tmp_path / "state")) as made:
        yield made


@pytest.fixture
def teacher(daemon: Listening) -> Teacher:
    clock = Clock()
    return Teacher(Phone(site_of(daemon.state, clock)).signed_in(), clock)


def filled(teacher: Teacher, address: str, fields: Mapping[str, Any]) -> str:
    """A form filled in, and sent too late: what is shown then."""
    key = teacher.phone.key_on(address)
    teacher.away()
    refused = teacher.phone.post(address, data={"once": key, **fields})
    assert refused.status_code == 403
    return refused.text


@pytest.mark.parametrize(
    ("choice", "fields", "kept"),
    [
        ("top-up", {"amount": "12,5 ml", "also": "tray", "amount:tray": "7"}, 12.5),
        ("note", {"text": '"><script>alert(1)</script> & Füße'}, None),
        ("count", {"amount": "40", "volume_ml": "250", "of_cysts": "100"}, 40.0),
    ],
)
def test_after_the_pin_the_form_stands_as_it_was_filled_in_a_tap_from_being_noted(
    daemon: Listening, teacher: Teacher, choice: str, fields: dict[str, str], kept: float | None
) -> None:
    address = f"/do/cup/{choice}"
    asked = filled(teacher, address, {**fields, "when": str(NOW - 3600)})
    assert "what you filled in stands here again" in asked
    assert "<script" not in asked
    shown = teacher.gives(teacher.gives(asked, WRONG).text if choice == "count" else asked)
    if choice == "count":  # a wrong PIN keeps it, too
        assert shown.status_code == 429
        teacher.clock.at += 5
        shown = teacher.gives(shown.text)
    assert shown.status_code == 200
    assert "<script" not in shown.text
    assert "Nothing was noted yet: this is what you filled in." in shown.text
    assert daemon.rows() == []
    for name, value in fields.items():
        if name != "also":
            assert f'name="{name}"' in shown.text
            assert f'value="{html.escape(value).replace("&quot;", "&#34;")}"' in shown.text
    taken = teacher.sends(shown.text, address)
    assert taken.status_code == 303, taken.text
    rows = daemon.rows()
    assert [(row[1], row[3], row[5]) for row in rows][:1] == [("cup", kept, NOW - 3600)]
    assert len(rows) == (2 if "also" in fields else 1)
    again = teacher.sends(shown.text, address)
    assert again.status_code == 303
    assert daemon.rows() == rows


def test_a_button_that_was_tapped_too_late_is_a_form_with_one_button(
    daemon: Listening, teacher: Teacher
) -> None:
    asked = filled(teacher, "/do/cup", {"deed": "stir", "also": "tray", "when": str(NOW - 3600)})
    shown = teacher.gives(asked)
    assert daemon.rows() == []
    assert teacher.sends(shown.text, "/do/cup/stir").status_code == 303
    assert [(row[1], row[2]) for row in daemon.rows()] == [("cup", "stir"), ("tray", "stir")]


def test_so_does_the_form_that_changes_an_entry(daemon: Listening, teacher: Teacher) -> None:
    address = "/do/cup/top-up"
    key = teacher.phone.key_on(address)
    entry = teacher.phone.post(address, data={"once": key, "amount": "3"}).location.rpartition("/")[2]
    before = daemon.rows()
    shown = teacher.gives(filled(teacher, f"/deed/{entry}", {"amount": "4"}))
    assert daemon.rows() == before
    assert teacher.sends(shown.text, f"/deed/{entry}").status_code == 303
    assert [row[3] for row in daemon.rows()] == [3.0, 4.0]


def test_a_form_of_the_station_keeps_what_was_filled_in(daemon: Listening, teacher: Teacher) -> None:
    teacher.away()
    moment = "2026-10-26T07:30"
    asked = teacher.phone.post("/station/quiet", data={"moment": moment, "until": "1"})
    shown = teacher.gives(asked.text)
    assert f'id="quiet-moment" type="datetime-local" name="moment" value="{moment}"' in shown.text
    assert "Nothing was done yet" in shown.text
    assert [words["ask"] for words in daemon.asked] == []


def test_a_form_of_an_earlier_session_is_shown_again_at_once_and_notes_nothing(
    daemon: Listening, teacher: Teacher
) -> None:
    key = teacher.phone.key_on("/do/cup/note")
    refused = teacher.phone.post("/do/cup/note", data={"once": key, "text": "lid off", "form_token": "x"})
    assert refused.status_code == 403
    assert 'value="lid off"' in refused.text
    assert daemon.rows() == []
    assert teacher.sends(refused.text, "/do/cup/note").status_code == 303


def test_another_site_can_neither_fill_in_a_form_nor_have_it_noted(
    daemon: Listening, teacher: Teacher
) -> None:
    form = {"pin": PIN, "held": "text=mine", "held_to": "/do/cup/note", "next": "/"}
    for origin in ("http://evil.example", "null"):
        answer = teacher.phone.browser.post("/pin", data=form, headers={"Origin": origin})
        assert answer.status_code == 403
        assert "mine" not in answer.text
    assert daemon.rows() == []


@pytest.mark.parametrize(
    ("to", "fields"),
    [
        ("/do/nowhere/note", "text=x"),
        ("/deed/999", "amount=1"),
        ("/deed/" + "9" * 40, "amount=1"),
        ("/station", "x=1"),
        ("//evil.example/do/cup/note", "text=x"),
        ("/do/cup/note", "&" * 300 + "=" * 300),
        ("/do/cup/top-up", "amount=" + "x" * 20_000),
        ("/pin", "pin=1"),
        ("/done/1/back", "x=1"),
        ("\x00", "\x00"),
    ],
)
def test_what_was_made_up_in_its_place_signs_in_and_records_nothing(
    daemon: Listening, teacher: Teacher, to: str, fields: str
) -> None:
    form = {"pin": PIN, "held": fields, "held_to": to, "next": "/today"}
    answer = teacher.phone.browser.post("/pin", data=form, headers=HOME)
    assert answer.status_code in (200, 303)
    assert answer.status_code == 200 or answer.location == "/today"
    assert daemon.rows() == []


def test_too_much_to_carry_is_said_before_the_pin_is_given(daemon: Listening, teacher: Teacher) -> None:
    teacher.away()
    asked = teacher.phone.post("/do/cup/note", data={"text": "ä" * 5000})
    assert "give the PIN first, then do it once more" in asked.text
    assert 'name="held"' not in asked.text
