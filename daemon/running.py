"""Real time: the station's own probes, clock, post and inbox, until a signal says stop."""

import logging
import os
import shutil
import signal
import socket
import sqlite3
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from daemon.app import House, Surroundings
from daemon.backroom import ThreadBackroom
from daemon.beat import Household, Loop
from daemon.clock import Clock, WallClock
from daemon.duties.living import AliveDesk
from daemon.duties.signalling import SignalDesk
from daemon.duties.telling import BoardDesk, slug
from daemon.errors import InputError, NaupliadError
from daemon.fitting import openers
from daemon.inbox import Inbox
from daemon.indicator import Indicator
from daemon.post.board import Board, check_installed
from daemon.post.carriers import make_carriers
from daemon.post.secrets import MQTT_PASSWORD, read_secret
from daemon.service import ServiceNotices
from daemon.station import Station
from daemon.store import runs as run_store
from daemon.store.backup import BACKUPS, newest_good
from daemon.store.file import WritingStore
from daemon.store.salvage import SetAside, set_aside_if_broken
from sensors.bench import PatientBench
from sensors.errors import SensorError
from sensors.late import LateProbe
from sensors.reading import Measure, Probe

log = logging.getLogger(__name__)

INBOX = "inbox.sock"
# Probes get this share of the time between two beats; what has not answered by then is absent.
_PATIENCE_SHARE = 0.4
_PATIENCE_MOST_S = 20.0
# A beat may be late by its readings and a slow disk; a light told nothing for longer says so.
_LIGHT_BEATS = 2
_LIGHT_GRACE_S = 30
# SQLite's primary result codes that speak of the disk or the file on it (https://sqlite.org/rescode.html).
_OF_THE_DISK = frozenset(
    {
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_IOERR,
        sqlite3.SQLITE_READONLY,
        sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_CORRUPT,
        sqlite3.SQLITE_NOTADB,
    }
)


def open_probes(station: Station, now: int) -> list[Probe]:
    """Every probe of the station; one that cannot be opened yet is a LateProbe, and is logged.

    Raises NaupliadError with a line for each when no water thermometer can be opened: a station that
    sees no water had better say so than run.
    """
    opens = openers(station, now)
    probes: list[Probe] = []
    missing: list[str] = []
    for plan in station.probes:
        try:
            probes.append(opens[plan.id]())
        except SensorError as error:
            missing.append(str(error))
            probes.append(LateProbe(plan.id, plan.measures, opens[plan.id]))
    if not any(probe.measures is Measure.WATER_C and not isinstance(probe, LateProbe) for probe in probes):
        for probe in probes:
            probe.close()
        raise NaupliadError("\n".join([*missing, "no water thermometer can be read, so nothing was started"]))
    for line in missing:
        log.error("%s Going on without it; it is tried again.", line)
    return probes


def run_station(station: Station, station_text: str, state: Path) -> None:
    """Run until SIGTERM or SIGINT. Raises NaupliadError when something that is needed is missing."""
    _on_signals(lambda: sys.exit(0))  # who is told to stop while still starting ends at once
    password = None
    if station.mqtt is not None:
        check_installed()
        password = read_secret(MQTT_PASSWORD, os.environ)
    clock, wake = WallClock(), threading.Event()
    probes = open_probes(station, clock.now_s())
    with ExitStack() as ending:
        bench = PatientBench(probes, min(_PATIENCE_SHARE * station.sample_every_s, _PATIENCE_MOST_S))
        ending.callback(bench.close)
        carriers = make_carriers(station, state, os.environ)
        store = _opened(_made(state), clock.now_s())
        ending.callback(store.close)
        ending.enter_context(_told_in_a_line(store.path))
        inbox = Inbox(state / INBOX, wake)
        ending.callback(inbox.close)
        backroom = ThreadBackroom(wake)
        ending.callback(backroom.close, patience_s=1.0)
        around = Surroundings(
            bench=bench,
            clock=clock,
            backroom=backroom,
            carriers=carriers,
            folder=state,
            wake=wake,
            played=False,
            free_bytes=lambda: shutil.disk_usage(state).free,
            inbox=inbox,
        )
        house = House(station, station_text, store, around)
        ending.callback(house.close)
        household: Household = house
        listeners: list[Listener] = []
        if station.mqtt is not None:
            board = Board(station.mqtt, password, f"naupliad/{slug(station.name)}")
            ending.callback(board.close)
            listeners.append(BoardDesk(station, store.connection, house.watch, board, backroom))
        if station.alive is not None:
            listeners.append(AliveDesk(station.alive, backroom))
        if listeners:
            household = HeardHouse(household, listeners)
        if station.indicator is not None:
            patience_s = _LIGHT_BEATS * station.sample_every_s + _LIGHT_GRACE_S
            indicator = Indicator(station.indicator, wake, patience_s=patience_s)
            ending.callback(indicator.close)
            indicator.start()
            household = LitHouse(household, SignalDesk(station, store, house.watch, indicator))
        notices = ServiceNotices(os.environ)
        notices.expect_every(station.sample_every_s)
        ending.callback(notices.stopping)
        _beat_until_stopped(household, house.clock, station, wake, notices)


class Listener(Protocol):
    """Tells others outside that, and what, the station beats."""

    def after_beat(self, at: int, /) -> None:
        """A beat was completed."""


class HeardHouse:
    """A household whose completed beats are heard of outside."""

    def __init__(self, household: Household, listeners: Sequence[Listener]) -> None:
        """`listeners` hear of a beat only when all of it was done."""
        self._household = household
        self._listeners = listeners

    def beat(self, at: int) -> None:
        """The household's beat, then word of it."""
        self._household.beat(at)
        for listener in self._listeners:
            listener.after_beat(at)

    def between(self, at: int) -> None:
        """What cannot wait."""
        self._household.between(at)

    def clock_stepped(self, at: int, step_s: int) -> None:
        """The wall clock was moved."""
        self._household.clock_stepped(at, step_s)


class LitHouse:
    """A household that shows on the Pi what stands, and hears the button there."""

    def __init__(self, household: Household, desk: SignalDesk) -> None:
        """`desk` belongs to the household's own alarms."""
        self._household = household
        self._desk = desk

    def beat(self, at: int) -> None:
        """The household's beat, then the light."""
        self._household.beat(at)
        self._desk.look(at)

    def between(self, at: int) -> None:
        """What cannot wait, a press of the button among it."""
        self._household.between(at)
        self._desk.look(at)

    def clock_stepped(self, at: int, step_s: int) -> None:
        """The wall clock was moved."""
        self._household.clock_stepped(at, step_s)


@contextmanager
def _told_in_a_line(path: Path) -> Iterator[None]:
    """A disk that fails ends the daemon with a line that says so; nothing half-written is left.

    It is started anew by its service, again and again until the disk takes writes.
    """
    try:
        yield
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF not in _OF_THE_DISK:
            raise
        raise NaupliadError(
            f"{path}: found {error}; allowed: a disk that takes and keeps what is written. The daemon ends, "
            "and goes on where it was when it is started and the disk is well"
        ) from error


def _opened(state: Path, now: int) -> WritingStore:
    """The store; one that is broken is kept beside it under another name."""
    found: list[SetAside] = []

    def salvage(path: Path) -> None:
        today = datetime.fromtimestamp(now, UTC).date()
        aside = set_aside_if_broken(path, today, lambda state: newest_good(state / BACKUPS))
        found.extend([aside] if aside else [])

    store = WritingStore(state, before_opening=salvage)
    for aside in found:
        begins = f"the backup {aside.backup} takes its place" if aside.backup else "an empty one begins"
        log.error("%s: found %s; it is kept as %s, %s", store.path, aside.found, aside.kept_as, begins)
        with store.transaction() as connection:
            run_store.keep_set_aside(connection, aside, now)
    return store


def _made(state: Path) -> Path:
    try:
        state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{state}: found {found}; allowed: a folder this user can write to") from error
    return state


def _beat_until_stopped(
    household: Household, clock: Clock, station: Station, wake: threading.Event, notices: ServiceNotices
) -> None:
    beats = 0

    def after_beat(_at: int) -> None:
        nonlocal beats
        beats += 1
        if beats == 1:
            notices.ready()
            notices.status(f"{station.name}: reading every {station.sample_every_s} s")
            log.info("%s: the first readings are in the store", station.name)
        notices.alive()

    loop = Loop(household, clock, station.sample_every_s, wake, after_beat=after_beat)
    with _stopped_by_signals(loop.stop):
        loop.run()


@contextmanager
def _stopped_by_signals(stop: Callable[[], None]) -> Iterator[None]:
    """While inside, SIGTERM and SIGINT call `stop`, from a thread of its own.

    A handler of Python's runs in the main thread and only when that wakes: a signal that comes as it falls
    asleep would be heard at the next beat, a minute later.
    """
    told, telling = socket.socketpair()
    telling.setblocking(False)

    def listen() -> None:
        if told.recv(1):
            stop()

    thread = threading.Thread(target=listen, name="signals", daemon=True)
    thread.start()
    signal.set_wakeup_fd(telling.fileno())
    _on_signals(lambda: None)
    try:
        yield
    finally:
        signal.set_wakeup_fd(-1)
        telling.close()
        thread.join()
        told.close()


def _on_signals(do: Callable[[], None]) -> None:
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: do())
