"""Stations as the page finds them: one that lived four nights, and one with an inbox that answers."""

import re
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path
from typing import Any, TypeVar

from flask import Flask
from werkzeug.serving import make_server
from werkzeug.test import TestResponse

from daemon.config import parse_station
from daemon.inbox.listening import Inbox
from daemon.page.guard.answers import SESSION_COOKIE
from daemon.page.guard.pin import Cost, page_folder, set_pin
from daemon.page.guard.sessions import form_token
from daemon.page.guard.visit import TOKEN_FIELD
from daemon.page.site import make_site
from daemon.requests.request_queue import RequestQueue
from daemon.store import runs as run_store
from tests.kit.command_line import naupliad
from tests.kit.desks import Desks, moment
from tests.kit.recordings import good, stamp, tape_rows, unix, write_care, write_tape
from tests.kit.station import SCHOOL_HOURS, probe, station_text, table, vessel

# The first beat of the four nights, a Thursday; the last is on Sunday before its letter.
FIRST = unix("2027-01-14T10:00:00+00:00")
EVERY_S, HOUR = 600, 3600
NIGHTS = ("2027-01-14", "2027-01-15", "2027-01-16", "2027-01-17")


def four_nights(folder: Path, **keys: Any) -> Path:
    """What the daemon left that watched the small room from Thursday to Sunday: cold on Saturday, and nothing
    read on Friday from noon to six. `keys` are more of the table `[station]`."""
    folder.mkdir()
    (folder / "station.toml").write_text(station_text(every_s=EVERY_S, **keys), encoding="utf-8")
    rows = [
        *tape_rows(FIRST, 26 * 6, good(23.0), EVERY_S),
        *tape_rows(FIRST + 32 * HOUR, 16 * 6, good(22.5), EVERY_S),
        *tape_rows(FIRST + 48 * HOUR, 12 * 6, good(17.0), EVERY_S),
        *tape_rows(FIRST + 60 * HOUR, 21 * 6, good(23.5), EVERY_S),
    ]
    write_tape(folder / "tape.csv", rows)
    write_care(folder / "care.csv", f"{stamp(FIRST + HOUR)},cup,set,0.05,g,salt_g_per_l=25;lot=spring")
    said = naupliad(
        *("replay", folder / "tape.csv", "--care", folder / "care.csv"),
        *("--config", folder / "station.toml", "--out", folder / "state"),
    )
    assert (said.code, said.err) == (0, "")
    return folder / "state"


def main_of(page: TestResponse) -> str:
    """The words of a page's main part, on one line; an answer without one is a fault."""
    html = page.get_data(as_text=True)
    found = re.search(r"<main[^>]*>(.*)</main>", html, re.DOTALL)
    assert found, html[:300]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", found[1])).split())


T = TypeVar("T")
PIN = "735164"
OWN = {"Origin": "http://localhost"}  # as a browser names the page that it sends a form from


@dataclass
class Room:
    """A tray's desks with a real inbox before them, and their page; the test is the daemon's thread.

    `now` is what both take for the time (Unix s); `at_home` False: no daemon answers. Who looks is signed in.
    """

    desks: Desks
    now: int
    at_home: bool = True
    wake: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self.folder = self.desks.folder
        self.queue = RequestQueue(self.desks.store, self.desks.requests, lambda _at: None)
        self.inbox = Inbox(self.folder / "inbox.sock", self.wake) if self.at_home else None
        set_pin(page_folder(self.folder), PIN, Cost(2, 8, 1))  # what a try costs is held elsewhere
        self.signed_out()
        assert self.client.post("/pin", data={"pin": PIN}, headers=OWN).status_code == 303

    def site(self) -> Flask:
        """The page."""
        return make_site(
            self.folder, moment=lambda _state, _connection: self.desks.at, clock=lambda: float(self.now)
        )

    def signed_out(self) -> None:
        """From now on somebody looks who knows no PIN."""
        self.client = self.site().test_client()

    def get(self, path: str) -> TestResponse:
        """What the page shows."""
        return self.while_it_answers(lambda: self.client.get(path))

    def post(self, path: str, **form: str | list[str]) -> TestResponse:
        """What it answers to one of its forms."""
        cookie = self.client.get_cookie(SESSION_COOKIE)
        token = {} if cookie is None else {TOKEN_FIELD: form_token(cookie.value)}
        return self.while_it_answers(lambda: self.client.post(path, data={**token, **form}, headers=OWN))

    def while_it_answers(self, ask: Callable[[], T]) -> T:
        """What somebody comes back with who asks from another thread; the daemon answers in this one."""
        with ThreadPoolExecutor(1) as browser:
            answer = browser.submit(ask)
            answer.add_done_callback(lambda _done: self.wake.set())
            while not answer.done():
                self.wake.wait()
                self.wake.clear()
                if self.inbox is not None:
                    self.queue.serve(self.inbox.requests(), self.now)
            return answer.result()

    def rows(self, query: str) -> list[tuple[Any, ...]]:
        """What stands in the store."""
        return self.desks.store.connection.execute(query).fetchall()

    def close(self) -> None:
        """The daemon ends."""
        if self.inbox is not None:
            self.inbox.close()
        self.desks.store.close()


def tray_text(*vessels: str, page_reading: str = "all", **keys: Any) -> str:
    """The text of `tray_station`; `keys` are more of the table `[station]`."""
    told = {"cold_c": 18.0, "hot_c": 30.0, "lamp": ["18:00-07:00"]}
    return station_text(
        probe("water"),
        probe("light", "light_lux"),
        *(vessel(name, "water", "light", **told) for name in vessels or ("tray",)),
        *([table("[page]", reading=page_reading)] if page_reading != "all" else []),
        name="Room 7",
        attended=SCHOOL_HOURS,
        every_s=EVERY_S,
        **keys,
    )


@contextmanager
def cold_room(folder: Path, *vessels: str, at_home: bool = True, **keys: Any) -> Iterator[Room]:
    """A room whose tray stands too cold since four hours: a Tuesday at noon."""
    text, state = tray_text(*vessels, **keys), folder / "state"
    state.mkdir()
    began = moment(12, "08:00")
    desks = Desks(parse_station(text, "station.toml"), state, began)
    run_store.keep_station_file(desks.store.connection, began, text)
    desks.live(moment(12, "12:00"), lambda _at: 15.0)
    room = Room(desks, desks.at, at_home)
    try:
        yield room
    finally:
        room.close()


@contextmanager
def served(site: Flask) -> Iterator[str]:
    """A page on a port of its own, as a browser finds it: its address."""
    server = make_server("127.0.0.1", 0, site, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
