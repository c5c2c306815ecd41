"""Why we believe it: the page says what the daemon's own beliefs rest on, or in a line why it cannot."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from daemon.letters.conversions import setting
from daemon.letters.explanation import as_records
from reports.explanation import explained
from tests.kit.page_station import Room, cold_room, main_of


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with cold_room(tmp_path) as room:
        room.desks.tell("set", 0.05, lot="spring")
        room.desks.live(room.desks.at + 3600, lambda _at: 22.0)
        room.now = room.desks.at
        yield room


def test_every_line_of_the_grounds_is_on_the_page(room: Room) -> None:
    page = room.get("/why/tray")
    assert page.status_code == 200
    said = main_of(page)
    beliefs, station = room.desks.beliefs, room.desks.station
    place = setting(station, room.desks.store.connection, room.now)
    models = explained(place, as_records(station, beliefs.of("tray").grounds(room.now)))
    assert len(models) == 4
    for title, lines in models:
        assert title in said
        for line in lines:
            assert line in said


def test_where_no_batch_runs_that_is_said(room: Room) -> None:
    room.desks.tell("end")
    assert "No batch is running, so nothing is calculated." in main_of(room.get("/why/tray"))


def test_a_vessel_that_is_none_is_a_line(room: Room) -> None:
    page = room.get("/why/mug")
    assert page.status_code == 404
    assert "There is nothing at this address." in main_of(page)


def test_without_a_daemon_a_line_says_so(tmp_path: Path) -> None:
    with cold_room(tmp_path, at_home=False) as room:
        page = room.get("/why/tray")
        assert page.status_code == 503
        assert "The watch is not running, so it cannot be asked. Back to tray" in main_of(page)


def test_a_daemon_of_an_older_version_is_a_line(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room.desks.requests, "answer", lambda *_words: {"grounds": [{"model": "water"}]})
    page = room.get("/why/tray")
    assert page.status_code == 503
    assert "grounds: found an answer of another version; start the daemon anew" in main_of(page)


def test_a_daemon_that_refuses_is_a_line(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room.desks.requests, "answer", lambda *_words: {"error": "vessel: found\nnone"})
    page = room.get("/why/tray")
    assert page.status_code == 400
    assert "This was not done: vessel: found none" in main_of(page)


def test_a_daemon_that_has_no_place_for_one_more_is_a_line(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    full = {"error": "inbox: 16 clients are here already; try again later"}
    monkeypatch.setattr(room.desks.requests, "answer", lambda *_words: full)
    page = room.get("/why/tray")
    assert page.status_code == 503
    assert "The watch is busy or just ending. Ask again in a moment." in main_of(page)
