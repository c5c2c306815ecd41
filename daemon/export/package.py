"""An export, whole or not there: each table's CSV and their description, as a folder or as a zip."""

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile

from daemon.export.columns import DataTable
from daemon.export.csv_file import Written, write_csv
from daemon.export.data_package import FILE_NAME, descriptor
from daemon.export.rows import ExportPart, Row, Rows
from daemon.export.tables import DEEDS, ESTIMATES, LETTERS, PROBES, READINGS, TABLES, VESSELS
from daemon.export.zipped import member
from daemon.hours import local_time
from daemon.made_beside import check_folder, made_beside, not_taken
from daemon.station import Station
from daemon.store.file import one_moment

WRITTEN = (*(table.file for table in TABLES), FILE_NAME)

Opened = Callable[[str], AbstractContextManager[IO[bytes]]]


def check_out(out: Path, *, replace: bool) -> None:
    """Raise InputError unless `out` can take an export: new, empty, or an earlier one to be replaced."""
    check_folder(out, "export", WRITTEN, replace=replace)


def write_folder(
    station: Station, connection: sqlite3.Connection, part: ExportPart, out: Path, made_at: int
) -> Mapping[str, int]:
    """Write a part of the records into `out`, as of `made_at` (Unix s); how many rows each table has.

    Raises NaupliadError where the disk does not take it; then nothing is there, and what was there stays.
    """
    try:
        with made_beside(out, WRITTEN) as folder:
            return _write(station, connection, part, made_at, lambda name: (folder / name).open("wb"))
    except OSError as error:
        raise not_taken(out, error) from error


def write_zip(
    station: Station, connection: sqlite3.Connection, part: ExportPart, file: IO[bytes], made_at: int
) -> Mapping[str, int]:
    """The same as a zip, into any binary file."""
    at = local_time(made_at, station.timezone)
    with ZipFile(file, "w", ZIP_DEFLATED) as packed:
        return _write(station, connection, part, made_at, lambda name: member(packed, name, at, large=True))


def _write(
    station: Station, connection: sqlite3.Connection, part: ExportPart, made_at: int, opened: Opened
) -> Mapping[str, int]:
    with one_moment(connection):
        files = _write_tables(Rows(station, connection, part), opened)
    about = descriptor(station.name, made_at, files, whole=part.whole)
    with opened(FILE_NAME) as file:
        file.write(f"{json.dumps(about, indent=1, ensure_ascii=False)}\n".encode())
    return {table.name: written.rows for table, written in files}


def _write_tables(rows: Rows, opened: Opened) -> list[tuple[DataTable, Written]]:
    """Probes and vessels last: old records may know some that the station file no longer has."""
    order: Sequence[tuple[DataTable, Callable[[], Iterator[Row]]]] = (
        (READINGS, rows.readings),
        (ESTIMATES, rows.estimates),
        (DEEDS, rows.deeds),
        (LETTERS, rows.letters),
        (PROBES, rows.probes),
        (VESSELS, rows.vessels),
    )
    files = []
    for table, made in order:
        with opened(table.file) as file:
            files.append((table, write_csv(file, table.header, made())))
    return files
