"""Real time: the station's own probes, clock, post and inbox, until a signal says stop."""

import logging
import os
import shutil
import sqlite3
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from daemon.app import House
from daemon.backroom import Backroom, ThreadBackroom
from daemon.beat import Household, Loop
from daemon.clock import Clock, WallClock
from daemon.duties.living import AliveDesk
from daemon.duties.signalling import SignalDesk
from daemon.duties.telling import BoardDesk, slug
from daemon.errors import NaupliadError
from daemon.inbox import Inbox
from daemon.indicator import Indicator
from daemon.post.board import Board
from daemon.running.disk_fault import disk_fault, takes_writes
from daemon.running.file_watch import StationFileWatch
from daemon.running.fitted import Fitted, fit
from daemon.running.going_by import Going, begin_anew, begun_anew, going_by, nobody_looks_on
from daemon.running.holding_on import hold_on
from daemon.running.households import HeardHouse, Listener, LitHouse
from daemon.running.last_word import CardWell, LastWord, Memory
from daemon.running.opened import last_reads, last_reads_in, opened, told_in_a_line
from daemon.running.signals import on_signals, stopped_by_signals
from daemon.service import ServiceNotices
from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.mishaps import Overlooked
from daemon.surroundings import Surroundings
from reports.troubles import LastRead
from sensors.bench import PatientBench

log = logging.getLogger(__name__)

INBOX = "inbox.sock"
# Probes get this share of the time between two beats; what has not answered by then is absent.
_PATIENCE_SHARE = 0.4
_PATIENCE_MOST_S = 20.0
# A beat may be late by its readings and a slow disk; a light told nothing for longer says so.
_LIGHT_BEATS = 2
_LIGHT_GRACE_S = 30
# So long after a machine's start no driver comes up by itself any more (judgement, no source).
_ALL_IS_UP_S = 300


def run_station(config: Path, state: Path) -> None:
    """Run by a station file until SIGTERM or SIGINT. Raises NaupliadError when something needed is missing.

    A changed station file is taken up by a new process in this one's place; then this does not return.
    """
    on_signals(lambda: sys.exit(0))  # who is told to stop while still starting ends at once
    clock, alone = WallClock(), nobody_looks_on(os.environ)
    all_is_up = begun_anew(os.environ) or clock.monotonic_s() > _ALL_IS_UP_S
    blind = alone and all_is_up and (state / FILE_NAME).is_file()
    going, fitted = going_by(
        config,
        state,
        lambda station: fit(station, state, clock.now_s(), os.environ, blind=blind),
        alone=alone,
    )
    run = _Run(config, state, going, fitted, clock)
    try:
        anew = run.until_told()
    except NaupliadError as error:
        found = disk_fault(error, state)
        if found is not None:
            run.say_the_last(found, str(error))
        raise
    if anew:
        begin_anew()


@dataclass
class _Run:
    """One station at work, from what was fitted to its end."""

    config: Path
    state: Path
    going: Going
    fitted: Fitted
    clock: Clock
    wake: threading.Event = field(default_factory=threading.Event)
    notices: ServiceNotices = field(default_factory=lambda: ServiceNotices(os.environ))
    memory: Memory = field(default_factory=lambda: Memory(os.environ))
    anew: bool = False
    beats: int = 0
    last_read: list[LastRead] | None = None

    def until_told(self) -> bool:
        """Beat until a signal comes or the station file was changed; whether it is to begin anew."""
        station = self.going.station
        with ExitStack() as ending:
            patience_s = min(_PATIENCE_SHARE * station.sample_every_s, _PATIENCE_MOST_S)
            bench = PatientBench(self.fitted.probes, patience_s)
            ending.callback(bench.close)
            store = opened(self.state, self.clock.now_s())
            ending.callback(store.close)
            ending.enter_context(told_in_a_line(store.path))
            inbox = Inbox(self.state / INBOX, self.wake)
            ending.callback(inbox.close)
            backroom = ThreadBackroom(self.wake)
            ending.callback(backroom.close, patience_s=1.0)
            house = House(station, self.going.text, store, self._around(bench, backroom, inbox))
            ending.enter_context(self._noting_what_was_read(store, house))
            house.overlook_file(self.going.overlooked)
            household = self._with_ways_out(ending, house, store, backroom)
            self.notices.expect_every(station.sample_every_s)
            asked_to_stop = self._beat(household, house)
        return self.anew and not asked_to_stop()

    def say_the_last(self, found: str, line: str) -> None:
        """Say by every way out that nothing is watched; under a service manager wait for the disk."""
        on_signals(lambda: sys.exit(0))
        word = LastWord(self.going.station, self.fitted.carriers, self.memory)
        times = word.failed(found)
        read = self.last_read
        if read is None:
            read = last_reads_in(self.going.station, self.state)
        word.say(read, self.notices.holding)
        if self.notices.heard:
            hold_on(
                line,
                times,
                lambda: takes_writes(self.state),
                lambda: word.say(read, self.notices.holding),
                self.notices,
                self.clock,
            )

    def _around(self, bench: PatientBench, backroom: Backroom, inbox: Inbox) -> Surroundings:
        return Surroundings(
            bench=bench,
            clock=self.clock,
            backroom=backroom,
            carriers=self.fitted.carriers,
            folder=self.state,
            free_bytes=lambda: shutil.disk_usage(self.state).free,
            inbox=inbox,
        )

    @contextmanager
    def _noting_what_was_read(self, store: WritingStore, house: House) -> Iterator[None]:
        """What a letter can still tell when the disk has failed: the store is closed by then."""
        try:
            yield
        except sqlite3.DatabaseError:
            with suppress(sqlite3.Error):
                self.last_read = last_reads(self.going.station, store.connection, house.beliefs.running())
            raise

    def _with_ways_out(
        self, ending: ExitStack, house: House, store: WritingStore, backroom: Backroom
    ) -> Household:
        station = self.going.station
        listeners: list[Listener] = [CardWell(self.memory, house.card_is_well, self.clock)]
        if station.mqtt is not None:
            board = Board(station.mqtt, self.fitted.broker_password, f"naupliad/{slug(station.name)}")
            ending.callback(board.close)
            listeners.append(BoardDesk(station, store.connection, house.watch, board, backroom))
        if station.alive is not None:
            listeners.append(AliveDesk(station.alive, backroom))
        household: Household = HeardHouse(house, listeners)
        if station.indicator is not None:
            patience_s = _LIGHT_BEATS * station.sample_every_s + _LIGHT_GRACE_S
            indicator = Indicator(station.indicator, self.wake, patience_s=patience_s)
            ending.callback(indicator.close)
            indicator.start()
            household = LitHouse(household, SignalDesk(station, store, house.watch, indicator))
        return household

    def _beat(self, household: Household, house: House) -> Callable[[], bool]:
        """Beat until stopped; gives what says whether a signal has asked for it by now."""
        station = self.going.station

        def begin_anew() -> None:
            self.anew = True
            loop.stop()

        def overlook(found: Overlooked | None) -> None:
            house.overlook_file(found)
            self._show(found)

        file_watch = StationFileWatch(self.config, self.going, overlook, begin_anew)

        def after_beat(at: int) -> None:
            self._completed()
            file_watch.after_beat(at)

        loop = Loop(
            household,
            house.clock,
            station.sample_every_s,
            self.wake,
            next_job_s=house.next_job_s,
            after_beat=after_beat,
        )
        with stopped_by_signals(loop.stop) as asked_to_stop:
            loop.run()
        (self.notices.anew if self.anew and not asked_to_stop() else self.notices.stopping)()
        return asked_to_stop

    def _completed(self) -> None:
        self.beats += 1
        if self.beats == 1:
            self.notices.ready()
            self._show(self.going.overlooked)
            log.info("%s: the first readings are in the store", self.going.station.name)
        self.notices.alive()

    def _show(self, overlooked: Overlooked | None) -> None:
        station = self.going.station
        reads = f"{station.name}: reading every {station.sample_every_s} s"
        self.notices.status(f"{reads}; {overlooked.path} is not taken" if overlooked else reads)
