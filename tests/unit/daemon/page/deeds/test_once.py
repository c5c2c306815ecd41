"""Each form once, whatever is lost: answers on their way, the page's memory, the second of two vessels."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from daemon.page.deeds.once import Once, remembered
from tests.kit.listening_desks import NOW, Listening, Phone, leave_a_day, listening, page_of, shelf_text
from tests.kit.lossy_inbox import ANSWER_LOST, PASSED, REQUEST_LOST, TURNED_AWAY, lossy

DAY_S = 86_400


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text())
    return folder


@pytest.fixture
def daemon(left: Path, tmp_path: Path) -> Iterator[Listening]:
    with listening(shutil.copytree(left, tmp_path / "state")) as made:
        yield made


@pytest.fixture
def page(daemon: Listening) -> Phone:
    return page_of(daemon.state)


def form_of(page: Phone, address: str, **fields: Any) -> dict[str, Any]:
    return {"once": page.key_on(address), **fields}


@pytest.mark.parametrize("fate", [ANSWER_LOST, REQUEST_LOST])
def test_where_no_answer_comes_the_form_may_be_sent_again_and_is_noted_once(
    daemon: Listening, page: Phone, fate: str
) -> None:
    form = form_of(page, "/do/cup/note", text="hello")
    with lossy(daemon.state, fate):
        answer = page.post("/do/cup/note", data=form)
        assert answer.status_code == 504
        assert "Send it again: it is never noted twice." in answer.get_data(as_text=True)
        assert 'value="hello"' in answer.get_data(as_text=True)
        assert page.post("/do/cup/note", data=form).location == "/done/1"
        assert page.post("/do/cup/note", data=form).location == "/done/1"
    assert len(daemon.rows()) == 1


def test_a_busy_inbox_is_told_in_a_line_and_the_form_is_kept(daemon: Listening, page: Phone) -> None:
    form = form_of(page, "/do/cup/note", text="hello")
    with lossy(daemon.state, TURNED_AWAY):
        answer = page.post("/do/cup/note", data=form)
        assert answer.status_code == 503
        assert "The watch is busy or just ending." in answer.text
        assert 'value="hello"' in answer.text
        assert page.post("/do/cup/note", data=form).location == "/done/1"


def test_what_the_daemon_alone_refuses_stands_beside_its_field(daemon: Listening, page: Phone) -> None:
    form = form_of(page, "/do/cup/note", text="hello", when=str(NOW - 100 * DAY_S))
    answer = page.post("/do/cup/note", data=form)
    assert 'id="at-fault">Found a moment 100 days ago; allowed: within the last 90 days<' in answer.text
    assert daemon.rows() == []


def test_of_several_vessels_those_noted_already_are_not_noted_again(daemon: Listening, page: Phone) -> None:
    form = form_of(page, "/do/cup", deed="stir", also=["tray", "cone"])
    with lossy(daemon.state, PASSED, REQUEST_LOST):
        assert page.post("/do/cup", data=form).status_code == 504
        assert len(daemon.rows()) == 1
        again = page.post("/do/cup", data=form)
    assert again.location == "/done/1,2,3"
    assert sorted(row[1] for row in daemon.rows()) == ["cone", "cup", "tray"]


def test_an_entry_changed_without_an_answer_is_changed_once(daemon: Listening, page: Phone) -> None:
    page.post("/do/cup/note", data=form_of(page, "/do/cup/note", text="one"))
    form = form_of(page, "/deed/1", text="two")
    with lossy(daemon.state, ANSWER_LOST):
        assert page.post("/deed/1", data=form).status_code == 504
        assert page.post("/deed/1", data=form).location == "/done/2"
    assert [row[6] for row in daemon.rows()] == [1, 0]


def test_an_entry_taken_back_without_an_answer_is_taken_back(daemon: Listening, page: Phone) -> None:
    page.post("/do/cup", data=form_of(page, "/do/cup", deed="stir"))
    with lossy(daemon.state, ANSWER_LOST):
        assert page.post("/done/1/back").location == "/done/1"
    assert daemon.rows()[0][6] == 1


def test_a_key_is_one_for_a_day_and_no_other_text_is() -> None:
    key = Once().key(NOW)
    assert Once.made_at(key, NOW) == Once.made_at(key, NOW + DAY_S) == NOW
    assert Once.made_at(key, NOW - 60) == NOW - 60  # the clock was put back
    for text in (key + "0", key.upper() + "x", "", "-", f"-1{key}", key.replace("-", "–"), key + "\n"):
        assert Once.made_at(text, NOW) is None
    assert Once.made_at(key, NOW + DAY_S + 1) is None


def test_what_is_forgotten_is_asked_of_the_store() -> None:
    once = Once(most=3)
    keys = [once.key(NOW + n) for n in range(6)]
    for n, key in enumerate(keys):
        with once.sent(key, "stir/cup") as sent:
            assert not sent.doubtful
            sent.deed_id = n
    with once.sent(keys[0], "stir/cup") as sent:
        assert (sent.deed_id, sent.doubtful) == (None, True)
        assert remembered(sent, lambda: 7) == 7
    with once.sent(keys[5], "stir/cup") as sent:
        assert remembered(sent, lambda: 7) == 5


def test_ten_thousand_forms_leave_a_bounded_memory() -> None:
    once = Once(most=50)
    for n in range(10_000):
        with once.sent(once.key(NOW + n), "stir/cup") as sent:
            sent.deed_id = n
    assert len(once) == 50
