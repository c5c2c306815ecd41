"""Real time: the station's own probes, clock, post and inbox, until a signal says stop."""

import logging
import os
import sqlite3
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.clock import Clock, WallClock
from daemon.config import read_station
from daemon.errors import InputError, NaupliadError
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from daemon.letters.night_child import NightsInChild
from daemon.post.carrier import Carrier
from daemon.post.secrets import MQTT_PASSWORD, or_without, read_secret
from daemon.post.station_carriers import make_carriers
from daemon.running.disk.fault import disk_fault, in_a_line
from daemon.running.disk.last_word import CardWell, LastWord, Memory, last_reads, last_reads_in
from daemon.running.disk.store import taken_up
from daemon.running.disk.store_watch import StoreWatch, close
from daemon.running.disk.wait import takes_writes, wait_for_disk
from daemon.running.process import begin_anew, begun_anew, nobody_looks_on, on_signals, stopped_by_signals
from daemon.running.service_notices import ServiceNotices
from daemon.running.station_file_watch import Followed, StationFileWatch, follow
from daemon.setting_up.desk import SetUpDesk, Sifted
from daemon.setting_up.place import SetUpPlace
from daemon.station import Station, WebAddress
from daemon.station_probes import open_probes
from daemon.store.backup import free_bytes
from daemon.store.file import FILE_NAME, WritingStore
from daemon.store.made_ahead import make_ahead
from daemon.store.mishaps import Overlooked
from daemon.surroundings import Surroundings
from daemon.watching.snapshot.snapshots import Snapshots
from daemon.workers import ThreadWorkers, Workers
from reports.letters.memory_card import LastRead
from sensors.probe_bench import PatientBench
from sensors.reading import Probe

log = logging.getLogger(__name__)

# Probes get this share of the time between two beats; what has not answered by then is absent.
_PATIENCE_SHARE = 0.4
_PATIENCE_MOST_S = 20.0
# A beat may be late by its readings and a slow disk; a light that hears nothing for longer says so.
_LIGHT_BEATS = 2
_LIGHT_GRACE_S = 30
# So long after a machine's start no driver comes up by itself any more (judgement, no source).
_ALL_IS_UP_S = 300


def run_station(config: Path, state: Path) -> None:
    """Run by a station file until SIGTERM or SIGINT. Raises NaupliadError when something needed is missing.

    A changed station file is taken up by a new process in this one's place; then this does not return.
    """
    on_signals(lambda: sys.exit(0))  # who is stopped while still starting ends at once
    clock = WallClock()
    try:
        followed, equipment = _take_up(config, state, clock)
    except NaupliadError as refused:
        if not _is_for_a_first_start(refused, config, state):
            raise
        from daemon.running.first_file import FirstFile  # a station that runs has no use for it

        if FirstFile(config, state, refused, lambda: _take_up(config, state, clock), clock).wait():
            begin_anew()
        return
    run = _Run(config, state, followed, equipment, clock)
    try:
        anew = run.until_ended()
    except NaupliadError as error:
        found = disk_fault(error, state)
        if found is not None:
            run.say_the_last(found, str(error))
        raise
    if anew:
        begin_anew()


@dataclass(frozen=True, slots=True)
class _Equipment:
    """What a run takes from its machine: probes, open as far as they can be, ways out by name, secrets."""

    probes: Sequence[Probe]
    carriers: Mapping[str, Carrier]
    broker_password: str | None
    alive: WebAddress | None


def _take_up(config: Path, state: Path, clock: Clock) -> tuple[Followed, _Equipment]:
    """The station to follow. One that ran before, and at whose start nobody looks on, may begin blind."""
    alone = nobody_looks_on(os.environ)
    all_is_up = begun_anew(os.environ) or clock.monotonic_s() > _ALL_IS_UP_S
    blind = alone and all_is_up and _has_run(state)
    return follow(
        config, state, lambda station: _equip(station, state, clock.now_s(), blind=blind), alone=alone
    )


def _is_for_a_first_start(refused: NaupliadError, config: Path, state: Path) -> bool:
    """Whether to wait where nobody looks on: for a file to go by, or what a station that never ran lacks."""
    if not nobody_looks_on(os.environ):
        return False
    if not _has_run(state):
        return True
    try:
        read_station(config)
    except InputError:
        return isinstance(refused, InputError)
    return False


def _has_run(state: Path) -> bool:
    """Whether a store stands there; a folder that lets nobody look is for who opens it to refuse."""
    with suppress(OSError):
        return (state / FILE_NAME).is_file()
    return False


def _equip(station: Station, state: Path, now: int, *, blind: bool) -> _Equipment:
    """Raises InputError for a wrong file or a missing extra, and as `open_probes` does."""
    password = None
    if station.mqtt is not None:
        from daemon.post.mqtt import check_installed  # a station carries in memory only the ways out it has

        check_installed()
        password = or_without(partial(read_secret, MQTT_PASSWORD, os.environ), go_on=blind)
    alive = None
    if station.alive is not None:
        from daemon.post.kept_address import alive_address

        alive = or_without(partial(alive_address, station.alive, os.environ), go_on=blind)
    carriers = make_carriers(station, state, os.environ, go_on=blind)
    return _Equipment(open_probes(station, now, blind=blind), carriers, password, alive)


@dataclass
class _Run:
    """One station at work, from what it was equipped with to its end."""

    config: Path
    state: Path
    followed: Followed
    equipment: _Equipment
    clock: Clock
    wake: threading.Event = field(default_factory=threading.Event)
    notices: ServiceNotices = field(default_factory=lambda: ServiceNotices(os.environ))
    memory: Memory = field(default_factory=lambda: Memory(os.environ))
    anew: bool = False
    beats: int = 0
    last_read: list[LastRead] | None = None
    store: WritingStore | None = None

    @property
    def station(self) -> Station:
        """As the file says that is followed."""
        return self.followed.station

    def until_ended(self) -> bool:
        """Beat until a signal comes or the station file was changed; whether it is to begin anew."""
        with ExitStack() as ending:
            patience_s = min(_PATIENCE_SHARE * self.station.sample_every_s, _PATIENCE_MOST_S)
            bench = PatientBench(self.equipment.probes, patience_s)
            ending.callback(bench.close)
            make_ahead(self.state)
            ending.callback(self._close_store)
            ending.enter_context(in_a_line(self.state / FILE_NAME))
            around: list[Surroundings] = []

            def put_together(store: WritingStore) -> House:
                around.extend(() if around else [self._around(ending, bench)])  # the lock comes first
                self._take_up_record(store)
                return House(self.station, self.followed.text, store, around[0])

            store, house = taken_up(self.state, self.clock.now_s(), put_together, self.clock)
            self.store = store
            ending.enter_context(self._noting_what_was_read(store, house))
            house.overlook_file(self.followed.overlooked)
            outside = self._outside(ending, house, store, around[0].workers)
            self.notices.expect_every(self.station.sample_every_s)
            asked_to_stop = self._beat(house, store, outside)
        return self.anew and not asked_to_stop()

    def say_the_last(self, found: str, line: str) -> None:
        """Say by every way out that nothing is watched; under a service manager wait for the disk."""
        on_signals(lambda: sys.exit(0))
        word = LastWord(self.station, self.equipment.carriers, self.memory)
        times = word.failed(found)
        read = last_reads_in(self.station, self.state) if self.last_read is None else self.last_read

        def say() -> None:
            word.say(read, self.notices.holding)

        say()
        if self.notices.heard:
            wait_for_disk(line, times, lambda: takes_writes(self.state), say, self.notices, self.clock)

    def _close_store(self) -> None:
        if self.store is not None:
            close(self.store, self.clock.now_s())

    def _around(self, ending: ExitStack, bench: PatientBench) -> Surroundings:
        inbox = Inbox(self.state / INBOX, self.wake)
        ending.callback(inbox.close)
        workers = ThreadWorkers(self.wake)
        ending.callback(workers.close, patience_s=1.0)
        place = SetUpPlace(self.config, self.state, os.environ, self.station)
        set_up = SetUpDesk(place, workers)
        ending.callback(set_up.close)
        return Surroundings(
            bench=bench,
            clock=self.clock,
            workers=workers,
            carriers=self.equipment.carriers,
            folder=self.state,
            nights=NightsInChild(self.state),
            free_bytes=lambda: free_bytes(self.state),
            inbox=Sifted(inbox, set_up),
            snapshots=Snapshots(self.state, self.station),
        )

    @contextmanager
    def _noting_what_was_read(self, store: WritingStore, house: House) -> Iterator[None]:
        """What a letter can still tell when the disk has failed: the store is closed by then."""
        try:
            yield
        except sqlite3.DatabaseError:
            with suppress(sqlite3.Error):
                self.last_read = last_reads(self.station, store.connection, house.beliefs.running())
            raise

    def _take_up_record(self, store: WritingStore) -> None:
        """Before anything is written; a station that tells no centre, and never did, has no trigger."""
        broker = self.station.mqtt
        told_before = store.connection.execute("SELECT 1 FROM sqlite_master WHERE type = 'trigger'")
        if (broker is not None and broker.record) or told_before.fetchone():
            from daemon.outside.record import take_up

            take_up(store, broker, self.clock.now_s())

    def _outside(
        self, ending: ExitStack, house: House, store: WritingStore, workers: Workers
    ) -> list[Listener]:
        """Who hears of beats outside the house: the broker, whoever looks after a sign of life, the light."""
        station, found = self.station, []
        if station.mqtt is not None:
            from daemon.outside.mqtt_desk import MqttDesk, slug
            from daemon.post.mqtt import RetainedTopics

            base, boxes = f"naupliad/{slug(station.name)}", None
            if station.mqtt.record:
                from daemon.outside.record import recorded

                record = recorded(station, station.mqtt, store, house, self.wake)
                base, boxes = record.base, record.line
                found.append(Listener(record.desk.after_beat, after_between=record.desk.look))
            topics = RetainedTopics(station.mqtt, self.equipment.broker_password, base, boxes=boxes)
            ending.callback(topics.close)
            desk = MqttDesk(station, store.connection, house.watch, topics, workers)
            found.append(Listener(desk.after_beat))
        if station.alive is not None and self.equipment.alive is not None:
            from daemon.outside.sign_of_life import SignOfLife

            sign = SignOfLife(self.equipment.alive, station.alive.every_s, workers)
            found.append(Listener(sign.after_beat))
        if station.indicator is not None:
            from daemon.outside.indicator import Indicator
            from daemon.outside.signal_desk import SignalDesk

            patience_s = _LIGHT_BEATS * station.sample_every_s + _LIGHT_GRACE_S
            indicator = Indicator(station.indicator, self.wake, patience_s=patience_s)
            ending.callback(indicator.close)
            indicator.start()
            light = SignalDesk(station, store, house.watch, indicator)
            # Its button is pressed between beats.
            found.append(Listener(light.look, after_between=light.look))
        return found

    def _beat(self, house: House, store: WritingStore, outside: Sequence[Listener]) -> Callable[[], bool]:
        """Beat until stopped; gives what says whether a signal has asked for it by now."""

        def begin_anew() -> None:
            self.anew = True
            loop.stop()

        def overlook(found: Overlooked | None) -> None:
            house.overlook_file(found)
            self._show(found)

        listeners = [
            Listener(CardWell(self.memory, house.card_is_well, self.clock).after_beat),
            *outside,
            Listener(self._completed),
            Listener(StoreWatch(store, begin_anew).after_beat),
            Listener(house.keep_snapshot),
            Listener(StationFileWatch(self.config, self.followed, overlook, begin_anew).after_beat),
        ]
        loop = Loop(
            house,
            house.clock,
            self.station.sample_every_s,
            self.wake,
            next_job_s=house.next_job_s,
            listeners=listeners,
        )
        with stopped_by_signals(loop.stop) as asked_to_stop:
            loop.run()
        house.requests.turn_away()
        house.keep_snapshot()
        (self.notices.anew if self.anew and not asked_to_stop() else self.notices.stopping)()
        return asked_to_stop

    def _completed(self, _at: int) -> None:
        self.beats += 1
        if self.beats == 1:
            self.notices.ready()
            self._show(self.followed.overlooked)
            log.info("%s: the first readings are kept", self.station.name)
        self.notices.alive()

    def _show(self, overlooked: Overlooked | None) -> None:
        reads = f"{self.station.name}: reading every {self.station.sample_every_s} s"
        self.notices.status(f"{reads}; {overlooked.path} is not taken" if overlooked else reads)
