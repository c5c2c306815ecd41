"""Played time: the same house and loop as `run`, with another clock, bench and post."""

import logging
import threading
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from daemon import made_beside
from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock import PlayedClock, Wrong
from daemon.letters.night_record import chart_path, night_record
from daemon.play_summary import summary, write_summary
from daemon.post.carrier import Carrier, Outgoing, Unreachable
from daemon.post.folder import FolderCarrier
from daemon.station import Station
from daemon.store.file import FILE_NAME as STORE
from daemon.store.file import LOCK, SUMMARY, WritingStore, no_writer
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from reports.chart.child_process import Draw, DrawingError
from reports.chart.drawing_child import DrawingChild
from sensors.reading import Bench, Reading

log = logging.getLogger(__name__)

_WRITTEN = (STORE, f"{STORE}-wal", f"{STORE}-shm", LOCK, "letters", "charts", SUMMARY)


class Cast(Protocol):
    """What a play needs besides the station: the readings, the deeds and the state of the network."""

    def bench(self) -> Bench:
        """The probes."""

    def deeds(self, until: int, house: House, /) -> Sequence[Deed]:
        """What people did up to a moment and was not recorded yet."""

    def network_up(self, at: int, /) -> bool:
        """Whether letters can leave the building."""

    def free_bytes(self, at: int, /) -> int:
        """The room left on the card."""


@dataclass(frozen=True, slots=True)
class Play:
    """What is to be played: from `began` to `ended` (Unix seconds), without the stretches in `off`.

    In the stretches of `wrong` the station's clock is wrong; the cast lives by the true time all along.
    """

    station: Station
    station_text: str
    cast: Cast
    began: int
    ended: int
    off: Sequence[tuple[int, int]]
    wrong: Sequence[Wrong] = ()


class TrueBench:
    """The probes of a world that goes by the true time, read by a station that may not know it."""

    def __init__(self, bench: Bench, clock: PlayedClock) -> None:
        """Stamp what `bench` reads at the true time with the station's."""
        self._bench = bench
        self._clock = clock

    def sample(self, at: int) -> Sequence[Reading]:
        """Readings of this moment, which the station takes for `at`."""
        true_s = self._clock.true_s()
        readings = self._bench.sample(true_s)
        return readings if at == true_s else [replace(r, at=r.at + at - true_s) for r in readings]

    def close(self) -> None:
        """As the probes do."""
        self._bench.close()


class PlayedPost:
    """A letter box that may be out of reach for a while."""

    def __init__(self, letters: Carrier, reachable: Callable[[], bool]) -> None:
        """Hand over to `letters` while `reachable` says so."""
        self._letters = letters
        self._reachable = reachable

    def carry(self, letter: Outgoing) -> None:
        """Take a letter. Raises Unreachable while the network is down."""
        self.reach()
        self._letters.carry(letter)

    def reach(self) -> None:
        """Raises Unreachable while the network is down."""
        if not self._reachable():
            raise Unreachable("post: the network is down")
        self._letters.reach()


def check_folder(out: Path, *, replace: bool) -> None:
    """Raise InputError unless `out` can take a play: new, empty, or an earlier play to be replaced."""
    made_beside.check_folder(out, "run", _WRITTEN, replace=replace)


def play(what: Play, out: Path, *, progress: Callable[[int], None] = lambda _at: None) -> dict[str, Any]:
    """Play it through and leave store, letters, charts and summary.json in `out`; returns the summary.

    All is made in another folder first: a play that is broken off leaves nothing half-written. What it takes
    the place of takes no deed meanwhile, which would go with it. Raises StoreInUse where one is just written.
    """
    # Whoever waits for the lock has its file open, so that one stays.
    alone = no_writer(out) if (out / STORE).exists() else nullcontext()
    with alone, made_beside.made_beside(out, _WRITTEN, stays=(LOCK,)) as unfinished:
        return _play_into(what, unfinished, progress)


def _play_into(what: Play, folder: Path, progress: Callable[[int], None]) -> dict[str, Any]:
    clock = PlayedClock(what.began, what.off, what.wrong)
    store, child = WritingStore(folder, durable=False), DrawingChild()

    def deeds_now(at: int) -> list[Deed]:
        ahead_s = at - clock.true_s()  # who tells a deed as it is done leaves the time to the station
        return [replace(deed, at=deed.at + ahead_s) for deed in what.cast.deeds(clock.true_s(), house)]

    letters = PlayedPost(FolderCarrier(folder), lambda: what.cast.network_up(clock.true_s()))
    around = Surroundings(
        bench=TrueBench(what.cast.bench(), clock),
        clock=clock,
        workers=InlineWorkers(),
        carriers={"files": letters},
        folder=folder,
        free_bytes=lambda: what.cast.free_bytes(clock.true_s()),
        played_deeds=deeds_now,
        draw=child.draw,
    )
    house = House(what.station, what.station_text, store, around)
    # The last beat comes with or just after the last reading, so that none is left out.
    until = what.ended + what.station.sample_every_s - 1
    try:
        Loop(
            house,
            house.clock,
            what.station.sample_every_s,
            threading.Event(),
            next_job_s=house.next_job_s,
            until_s=until,
            true_s=clock.true_s,
            listeners=[Listener(progress)],
        ).run()
        house.write_estimates(what.ended)
        _draw_last_night(what, store, folder, child.draw)
        account = summary(what.station, store.connection, what.began, what.ended)
        write_summary(folder, account)
    finally:
        child.close()
        store.close()
    return account


def _draw_last_night(what: Play, store: WritingStore, folder: Path, draw: Draw) -> None:
    """The night that the play ends in has no letter yet, but what there is of it can be seen."""
    record = night_record(what.station, store.connection, what.ended)
    path = chart_path(folder, record.night)
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            draw(record, path)
        except DrawingError as error:  # a play is not lost for want of a picture
            log.error("the chart of %s was not drawn: %s", record.night, error)
