"""The night's letter and its chart, made from the store alone."""

import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from daemon.letters.conversions import setting
from daemon.letters.night_record import chart_path, night_record
from daemon.letters.said_last import said_last
from daemon.station import Station
from daemon.store import boots as boot_store
from reports.chart.child_process import Draw, DrawingError
from reports.letters.nightly import nightly_letter
from reports.records import LetterText, NightRecord, Setting


@dataclass(frozen=True, slots=True)
class NightAsked:
    """The night whose letter is due at `due_at`, as it is to be written at `written_at` (Unix seconds).

    `heated` says of each vessel whether its heater is believed in; the store knows of those that were given.
    """

    due_at: int
    written_at: int
    heated: Mapping[str, bool]


@dataclass(frozen=True, slots=True)
class NightTold:
    """The letter's words, and its chart; or, where that was not drawn, why."""

    text: LetterText
    png: bytes | None
    trouble: str | None


class Nights(Protocol):
    """Makes the letters of nights."""

    def begin(self, asked: NightAsked) -> Callable[[], NightTold]:
        """What a worker is to do. Called in the beat's thread, when the store has what the beat wrote."""


def looked_up(
    station: Station, connection: sqlite3.Connection, asked: NightAsked
) -> tuple[Setting, NightRecord]:
    """Where and when a night's letter is written, and its record."""
    night = night_record(station, connection, asked.due_at, asked.written_at)
    vessels = (replace(one, has_heater=asked.heated[one.vessel]) for one in night.vessels)
    sure = boot_store.is_sure_now(connection)
    place = setting(station, connection, asked.written_at, clock_sure=sure)
    place = replace(place, said_last=said_last(connection, "nightly", asked.written_at))
    return place, replace(night, vessels=tuple(vessels))


class NightsHere:
    """Makes them in this process, but for the chart."""

    def __init__(self, station: Station, connection: sqlite3.Connection, folder: Path, draw: Draw) -> None:
        """Charts are drawn into `folder`/charts."""
        self._station, self._connection, self._folder, self._draw = station, connection, folder, draw

    def begin(self, asked: NightAsked) -> Callable[[], NightTold]:
        """Look the night up; what is left is to draw it and to word it."""
        place, record = looked_up(self._station, self._connection, asked)
        path = chart_path(self._folder, record.night)

        def told() -> NightTold:
            png, trouble = None, None
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                self._draw(record, path)
                png = path.read_bytes()
            except (
                DrawingError,
                OSError,
            ) as error:  # without its chart rather than not at all
                trouble = str(error)
            return NightTold(nightly_letter(place, record, with_chart=png is not None), png, trouble)

        return told
