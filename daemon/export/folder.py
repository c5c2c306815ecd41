"""An export as a folder: each table's CSV and their description, whole or not there."""

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from daemon.export.columns import DataTable
from daemon.export.csv_file import Written, write_csv
from daemon.export.data_package import FILE_NAME, descriptor
from daemon.export.rows import ExportPart, Row, Rows
from daemon.export.tables import DEEDS, ESTIMATES, LETTERS, PROBES, READINGS, TABLES, VESSELS
from daemon.made_beside import check_folder, made_beside, not_taken
from daemon.station import Station
from daemon.store.file import one_moment

WRITTEN = (*(table.file for table in TABLES), FILE_NAME)


def check_out(out: Path, *, replace: bool) -> None:
    """Raise InputError unless `out` can take an export: new, empty, or an earlier one to be replaced."""
    check_folder(out, "export", WRITTEN, replace=replace)


def export(
    station: Station, connection: sqlite3.Connection, part: ExportPart, out: Path, made_at: int
) -> Mapping[str, int]:
    """Write a part of the records into `out`, as of `made_at` (Unix s); how many rows each table has.

    Raises NaupliadError where the disk does not take it; then nothing is there, and what was there stays.
    """
    try:
        with made_beside(out, WRITTEN) as folder, one_moment(connection):
            files = _write_tables(Rows(station, connection, part), folder)
            about = descriptor(station.name, made_at, files, whole=part.whole)
            text = json.dumps(about, indent=1, ensure_ascii=False)
            (folder / FILE_NAME).write_text(f"{text}\n", encoding="utf-8")
    except OSError as error:
        raise not_taken(out, error) from error
    return {table.name: file.rows for table, file in files}


def _write_tables(rows: Rows, folder: Path) -> list[tuple[DataTable, Written]]:
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
        with (folder / table.file).open("wb") as file:
            files.append((table, write_csv(file, table.header, made())))
    return files
