"""The desks of a station behind a real inbox, in a thread of their own, at a moment that a test sets."""

import queue
import re
import threading
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.serving import make_server
from werkzeug.test import TestResponse

from daemon.assembly import Desks, assemble
from daemon.config import parse_station
from daemon.estimates.quantile import Estimate
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.page.guard.pin import FILE_NAME, Cost, page_folder, set_pin
from daemon.page.guard.visit import TOKEN_FIELD
from daemon.page.site import make_site
from daemon.requests.request_queue import RequestQueue
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import WritingStore
from daemon.stored_station import open_station
from sensors.reading import Quality, Reading
from tests.kit.recordings import unix
from tests.kit.station import probe, station_text, vessel

BEGAN = unix("2026-10-24T06:00:00+00:00")  # a Saturday; Lisbon's clocks go back in the night
STEP_S = 1800
READ_S = 24 * 3600
NOW = BEGAN + READ_S
PIN = "735164"
PATIENCE_S = 60.0  # only ever waited out by a test that fails


def shelf_text(*, lots: bool = False, **keys: Any) -> str:
    """A tray of cups, a cup and a heated cone; `keys` are more of the table `[station]`."""
    return station_text(
        *(probe(one) for one in ("tray-water", "cup-water", "cone-water")),
        probe("room-air", "room_c"),
        vessel("tray", "tray-water", "room-air", count=24, brim_ml=30.0),
        vessel("cup", "cup-water", "room-air", brim_ml=30.0),
        vessel(
            *("cone", "cone-water", "room-air"),
            kind="cone",
            mark_ml=2000.0,
            surface_cm2=150.0,
            low_ml=200.0,
            heater_c=27.0,
        ),
        *(['[[lot]]\nid = "spring"\nstrain = "great-salt-lake"\n'] if lots else []),
        zone="Europe/Lisbon",
        every_s=STEP_S,
        **keys,
    )


def leave_a_day(state: Path, text: str) -> None:
    """What a day at 22 °C left in the store, with nothing set."""
    station = parse_station(text, "station.toml")
    store = WritingStore(state, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, BEGAN, text)
        reading_store.add(
            connection,
            [
                Reading(at, plan.id, 22.0, Quality.GOOD)
                for at in range(BEGAN, NOW + 1, STEP_S)
                for plan in station.probes
            ],
        )
    store.close()


class Listening:
    """Whoever answers at a state folder's inbox."""

    def __init__(self, state: Path) -> None:
        self.state = state
        self.now = NOW
        self.asked: list[Mapping[str, Any]] = []
        self._wake, self._ends = threading.Event(), threading.Event()
        self._jobs: queue.SimpleQueue[tuple[Callable[[Desks], Any], Future[Any]]] = queue.SimpleQueue()
        self._opened: Future[None] = Future()
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()
        self._opened.result(PATIENCE_S)

    def believed(self, vessel: str) -> Mapping[str, Estimate]:
        """What is believed of a vessel's batch now; empty where none runs."""
        believed: Mapping[str, Estimate] = self.of(lambda desks: desks.beliefs.estimates(vessel, self.now))
        return believed

    def stage(self, vessel: str) -> str:
        """How far it is."""
        return str(self.of(lambda desks: desks.beliefs.states()[vessel].stage))

    def of(self, look: Callable[[Desks], Any]) -> Any:
        """What the desks say, asked in their own thread."""
        answer: Future[Any] = Future()
        self._jobs.put((look, answer))
        self._wake.set()
        return answer.result(PATIENCE_S)

    def rows(self) -> list[tuple[Any, ...]]:
        """The care log: id, vessel, deed, amount, detail, at, whether it was taken back, replaces."""
        _, connection = open_station(self.state)
        with closing(connection):
            return connection.execute(
                "SELECT id, vessel, deed, amount, detail, at, withdrawn_at IS NOT NULL, replaces FROM deed "
                "ORDER BY id"
            ).fetchall()

    def close(self) -> None:
        """Listen no more."""
        self._ends.set()
        self._wake.set()
        self._thread.join(PATIENCE_S)

    def _serve(self) -> None:
        text_of, connection = open_station(self.state)
        connection.close()
        store = WritingStore(self.state, durable=False)
        inbox = Inbox(self.state / INBOX, self._wake)
        try:
            desks = assemble(text_of, store.connection, self.now)
            requests = RequestQueue(store, desks.requests, lambda _at: None)
            self._opened.set_result(None)
            while not self._ends.is_set():
                self._wake.wait()
                self._wake.clear()
                came = inbox.requests()
                self.asked += [request.words for request in came]
                requests.serve(came, self.now)
                while not requests.is_empty:
                    requests.serve((), self.now)
                while not self._jobs.empty():
                    look, answer = self._jobs.get()
                    answer.set_result(look(desks))
        finally:
            inbox.close()
            store.close()


@contextmanager
def listening(state: Path) -> Iterator[Listening]:
    """As long as it lasts, somebody answers there."""
    made = Listening(state)
    try:
        yield made
    finally:
        made.close()


@dataclass
class Phone:
    """A browser that is signed in and follows nothing by itself."""

    site: Flask
    browser: FlaskClient = field(init=False)
    token: str = ""

    def __post_init__(self) -> None:
        self.browser = self.site.test_client()

    def signed_in(self) -> "Phone":
        self.post("/pin", data={"pin": PIN})
        self.token = _hidden(self.get("/pin"), TOKEN_FIELD)
        return self

    def get(self, address: str) -> TestResponse:
        return self.browser.get(address)

    def post(self, address: str, data: Mapping[str, Any] | None = None) -> TestResponse:
        headers = {"Origin": "http://localhost"}
        return self.browser.post(address, data={TOKEN_FIELD: self.token, **(data or {})}, headers=headers)

    def key_on(self, address: str) -> str:
        """The key of the form at an address."""
        return _hidden(self.get(address), "once")


def _hidden(answer: TestResponse, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]+)"', answer.text)
    assert found, answer.text
    return found[1]


def site_of(state: Path, now: Callable[[], int] = lambda: NOW) -> Flask:
    """The page, at a moment that the test sets; whoever knows the PIN may write."""
    if not (page_folder(state) / FILE_NAME).exists():
        set_pin(page_folder(state), PIN, Cost(2, 8, 1))  # what a try costs is held elsewhere
    return make_site(state, moment=lambda _state, _connection: now(), clock=now)


def page_of(state: Path, now: Callable[[], int] = lambda: NOW) -> Phone:
    """A phone that is signed in at a page of its own."""
    return Phone(site_of(state, now)).signed_in()


@contextmanager
def served(state: Path, now: Callable[[], int] = lambda: NOW) -> Iterator[str]:
    """The page's address on this machine, as long as it lasts."""
    server = make_server("127.0.0.1", 0, site_of(state, now), threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join(PATIENCE_S)
        server.server_close()
