"""One batch for a lesson, as a zip: readings thinned, estimates, deeds, charts, and what it all means."""

import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile

from daemon.errors import InputError
from daemon.export.cells import number
from daemon.export.columns import DataTable
from daemon.export.csv_file import BYTE_ORDER_MARK, write_csv
from daemon.export.rows import ExportPart, Row, Rows
from daemon.export.tables import DEEDS, ESTIMATES, READINGS
from daemon.export.thinned import step_s_of, thinned
from daemon.export.units import MOMENT
from daemon.export.zipped import member
from daemon.letters.conversions import local, setting
from daemon.letters.night_record import chart_path, night_of
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from daemon.store.batches import BatchSpan
from daemon.store.file import one_moment
from reports.export.lesson_readme import LessonBatch, lesson_readme
from sensors.reading import Reading

README = "README.txt"
HOURS = "hours_since_set"
# What a class has a use for.
COLUMNS: Mapping[str, Sequence[str]] = {
    READINGS.name: ("at_local", "at_utc", "probe", "measures", "unit", "value", "quality"),
    ESTIMATES.name: ("at_local", "at_utc", "quantity", "unit", "p10", "p50", "p90", "p50_local"),
    DEEDS.name: ("at_local", "at_utc", "deed", "amount", "unit", "detail"),
}
_NIGHTS = 14  # a hatch and the first days after it [P]; each is about 0.1 MB


def write_lesson(
    station: Station, connection: sqlite3.Connection, batch: BatchSpan, charts: Path, file: IO[bytes]
) -> dict[str, int]:
    """Write the zip of a batch into any binary file; how many rows each table has.

    `charts` is the folder in which `charts` stands. Raises InputError for a batch of a vessel that the
    station no longer has.
    """
    vessel = station.vessel(batch.vessel)
    if vessel is None:
        known = ", ".join(one.id for one in station.vessels)
        raise InputError(f"batch {batch.id}: found one of {batch.vessel!r}; allowed: one of {known}")
    with one_moment(connection), ZipFile(file, "w", ZIP_DEFLATED) as packed:
        return _Lesson(station, connection, vessel, batch, packed).write(charts)


class _Lesson:
    """The batch and the zip it goes into."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        vessel: Vessel,
        batch: BatchSpan,
        packed: ZipFile,
    ) -> None:
        newest = reading_store.newest_at(connection)
        self._station, self._connection, self._vessel, self._packed = station, connection, vessel, packed
        self._began, self._ended = batch.set_at, batch.until(max(newest or 0, batch.set_at))
        self._runs = batch.ended_at is None
        self._step_s = step_s_of(self._ended - self._began)
        self._folder = f"{vessel.id}-{local(station, self._began).date().isoformat()}"

    def write(self, charts: Path) -> dict[str, int]:
        rows = Rows(station := self._station, self._connection, self._part())
        made: Sequence[tuple[DataTable, Callable[[], Iterator[Row]]]] = (
            (READINGS, lambda: rows.of_readings(self._readings())),
            (ESTIMATES, lambda: map(_rounded, rows.estimates())),
            (DEEDS, lambda: _standing(rows.deeds())),
        )
        counts = {table.name: self._table(table, each()) for table, each in made}
        nights = self._charts(charts)
        place = setting(station, self._connection, self._ended)
        batch = LessonBatch(
            self._vessel.id,
            self._vessel.count,
            local(station, self._began),
            local(station, self._ended),
            runs=self._runs,
            step_min=self._step_s // 60,
            charts=nights,
        )
        with self._member(README) as file:
            file.write(BYTE_ORDER_MARK + lesson_readme(place, batch).replace("\n", "\r\n").encode())
        return counts

    def _part(self) -> ExportPart:
        return ExportPart(self._began, self._ended, self._vessel)

    def _readings(self) -> Iterator[Reading]:
        every = reading_store.between(self._connection, self._began - 1, self._ended)
        return thinned(every, self._began, self._step_s)

    def _table(self, table: DataTable, rows: Iterator[Row]) -> int:
        names = COLUMNS[table.name]
        places = [table.header.index(name) for name in names]
        at = table.header.index("at_utc")
        with self._member(table.file) as file:
            file.write(BYTE_ORDER_MARK)
            kept = ([self._hours(row[at]), *(row[place] for place in places)] for row in rows)
            return write_csv(file, [HOURS, *names], kept).rows

    def _hours(self, at_utc: str) -> str:
        return f"{(datetime.fromisoformat(at_utc).timestamp() - self._began) / HOUR_S:.2f}"

    def _charts(self, folder: Path) -> int:
        """The charts there are of its first nights; how many."""
        night, last = (night_of(self._station, at) for at in (self._began, self._ended))
        found = 0
        while night <= last and found < _NIGHTS:
            path = chart_path(folder, night)
            night += timedelta(days=1)
            try:
                drawn = path.read_bytes()
            except OSError:  # not drawn, or for others' eyes only: a lesson goes without
                continue
            with self._member(f"charts/{path.name}") as file:
                file.write(drawn)
            found += 1
        return found

    def _member(self, name: str) -> AbstractContextManager[IO[bytes]]:
        """A file of the zip, of the batch's last moment."""
        return member(self._packed, f"{self._folder}/{name}", local(self._station, self._ended))


def _rounded(row: Row) -> Row:
    """An estimate no finer than anybody would draw it: moments to the second."""
    unit, first = ESTIMATES.header.index("unit"), ESTIMATES.header.index("p10")
    digits = 0 if row[unit] == MOMENT else 3
    believed = [number(round(float(cell), digits)) for cell in row[first : first + 3]]
    return [*row[:first], *believed, *row[first + 3 :]]


def _standing(rows: Iterator[Row]) -> Iterator[Row]:
    withdrawn = DEEDS.header.index("withdrawn_at_utc")
    return (row for row in rows if not row[withdrawn])
