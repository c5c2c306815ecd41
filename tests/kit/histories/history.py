"""A history: a station, a tape of what its probes read, and what people did and asked.

It is played by the road that `naupliad replay` takes, in this process and without charts. Its folder can be
kept, and holds then what `naupliad replay` reads as well (`station.toml`, `tape.csv`, `care.csv`).
"""

import csv
import logging
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from daemon.app import House
from daemon.care.deed import Deed
from daemon.care.log import HEADER as CARE_HEADER
from daemon.care.log import format_detail, read_care_log
from daemon.config import parse_station
from daemon.errors import InputError
from daemon.play.story_world import PLENTY_BYTES
from daemon.play.tape import HEADER as TAPE_HEADER
from daemon.play.tape import Tape, TapeBench, read_tape
from daemon.playing import Play, play
from daemon.station import Station
from sensors.reading import Bench, Reading
from tests.kit.histories.hindsight import note_hindsight
from tests.kit.undrawn import undrawn


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A deed taken back, or replaced by another; `place` counts the deeds recorded before, from 0."""

    place: int
    instead: Deed | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """What reaches the daemon at a moment (Unix seconds): a deed, perhaps of earlier, or a request."""

    at: int
    what: Deed | Withdrawn | Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class History:
    """All that is played; entries in time order, `post_down` are stretches in which no letter can leave."""

    name: str
    station_text: str
    station: Station
    readings: tuple[Reading, ...]
    entries: tuple[Entry, ...]
    post_down: tuple[tuple[int, int], ...] = ()

    @property
    def days(self) -> float:
        """How long it is."""
        return (self.readings[-1].at - self.readings[0].at) / 86_400

    def play(self, folder: Path) -> None:
        """Play it into `folder`, which must be new or empty."""
        tape = Tape(self.readings)
        cast = HistoryCast(self, TapeBench(tape))
        off = tape.off_stretches(self.station.off_after_s)
        with _unheard(), undrawn():
            play(Play(self.station, self.station_text, cast, tape.began, tape.ended, off), folder)

    def write(self, folder: Path) -> None:
        """What `naupliad replay` reads. Requests and entries that came late cannot be written so."""
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "station.toml").write_text(self.station_text, encoding="utf-8")
        _write_csv(folder / "tape.csv", TAPE_HEADER, (_tape_row(reading) for reading in self.readings))
        deeds = [entry.what for entry in self.entries if isinstance(entry.what, Deed)]
        _write_csv(folder / "care.csv", CARE_HEADER, (_care_row(deed) for deed in deeds))


class HistoryCast:
    """A history as a play's cast: probes, deeds, the network, and requests as the inbox would hand them."""

    def __init__(self, history: History, bench: TapeBench) -> None:
        self._bench = bench
        self._post_down = history.post_down
        self._coming = list(reversed(history.entries))
        self._ids: list[int | None] = []
        self._begun = False

    def bench(self) -> Bench:
        """The tape as probes."""
        return self._bench

    def deeds(self, until: int, house: House) -> Sequence[Deed]:
        """Hand the house what has reached it up to a moment, in its order; so nothing is left to record."""
        if not self._begun:
            self._begun = True
            note_hindsight(house._store.connection)
        while self._coming and self._coming[-1].at <= until:
            self._hand(self._coming.pop(), until, house)
        return ()

    def _hand(self, entry: Entry, now: int, house: House) -> None:
        match entry.what:
            case Deed():
                self._ids.append(house.care.record(entry.what, now))
            case Withdrawn(place, instead):
                self._take_back(place, instead, now, house)
            case words:
                try:
                    house._requests.answer(words, now)  # what the inbox does; played time has none
                except InputError:
                    return  # a condition that this station has not: the person reads why, and nothing happens

    def _take_back(self, place: int, instead: Deed | None, now: int, house: House) -> None:
        old = self._ids[place]
        if old is None:
            return
        self._ids[place] = None if instead is None else house.care.correct(old, instead, now)
        if instead is None:
            house.care.withdraw(old, now)

    def network_up(self, at: int) -> bool:
        """Whether letters can leave."""
        return not any(began <= at < ended for began, ended in self._post_down)

    def free_bytes(self, _at: int) -> int:
        """The card is never full here."""
        return PLENTY_BYTES


def from_folder(folder: Path) -> History:
    """The history in the files that `naupliad replay` reads."""
    path = folder / "station.toml"
    text = path.read_text(encoding="utf-8")
    station = parse_station(text, str(path))
    deeds = read_care_log(folder / "care.csv", station)
    entries = tuple(Entry(deed.at, deed) for deed in deeds)
    return History(folder.name, text, station, read_tape(folder / "tape.csv", station).readings, entries)


@contextmanager
def _unheard() -> Iterator[None]:
    """A network that a history takes down is no news."""
    log = logging.getLogger("daemon")
    level = log.level
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(level)


def _tape_row(reading: Reading) -> tuple[str, str, str, str]:
    if reading.value is None:
        return _moment(reading.at), reading.probe, "", reading.quality.value
    return _moment(reading.at), reading.probe, f"{reading.value:g}", ""


def _care_row(deed: Deed) -> tuple[str, str, str, str, str, str]:
    amount = "" if deed.amount is None else f"{deed.amount:g}"
    return _moment(deed.at), deed.vessel, deed.deed, amount, deed.unit, format_detail(deed)


def _moment(at: int) -> str:
    return datetime.fromtimestamp(at, UTC).isoformat()


def _write_csv(path: Path, header: Sequence[str], rows: Iterator[Sequence[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)
