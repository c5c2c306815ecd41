"""naupliad export: the station's records for other programs, a batch for a lesson, a calendar."""

import json
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import json_option, state_option
from daemon.errors import InputError
from daemon.export.rows import EVER, ExportPart
from daemon.hours import moment
from daemon.input.file import did_you_mean, shown
from daemon.made_beside import check_file, file_made_beside, not_taken
from daemon.station import Station, Vessel
from daemon.store.batches import BatchSpan, every
from daemon.stored_station import moment_of, open_station

_FILE = click.Path(path_type=Path)
_MIDNIGHT = time(0)
LAST = "last"


@dataclass(frozen=True, slots=True)
class _Records:
    """What is exported from: `now` is the station's, Unix s."""

    state: Path
    station: Station
    connection: sqlite3.Connection
    now: int


@click.command()
@click.option("--out", type=_FILE, help="A folder for all tables and their description.")
@click.option("--from", "first", metavar="DAY", help="Tables only from this local day on (YYYY-MM-DD).")
@click.option("--to", "last", metavar="DAY", help="Tables only up to this local day and with it.")
@click.option("--vessel", metavar="ID", help="Tables or a batch only of this vessel.")
@click.option("--zip", "packed", type=_FILE, help="A zip for a lesson, of one batch.")
@click.option("--batch", metavar="ID", help=f"Which: {LAST} (when left out), or the number of its set.")
@click.option("--calendar", type=_FILE, help="A calendar file (.ics) of what is expected and due.")
@click.option("--replace", is_flag=True, help="Replace an earlier export.")
@state_option
@json_option
def export(
    out: Path | None,
    first: str | None,
    last: str | None,
    vessel: str | None,
    packed: Path | None,
    batch: str | None,
    calendar: Path | None,
    replace: bool,
    state: Path,
    as_json: bool,
) -> None:
    """Write the station's records for other programs: tables (CSV), a batch for a lesson, a calendar.

    station.db is only read, and the daemon may go on meanwhile.
    """
    _check_together(out, packed, calendar, days=(first, last), batch=batch)
    station, connection = open_station(state)
    with closing(connection):
        records = _Records(state, station, connection, moment_of(state, connection))
        only = _vessel(station, vessel)
        part = _part(station, first, last, only)
        wanted = None if packed is None else _batch(records, batch, only)
        _check_places(out, packed, calendar, replace=replace)
        answer: dict[str, Any] = {}
        if out is not None:
            answer["tables"] = _tables(records, part, out)
        if packed is not None and wanted is not None:
            answer["lesson"] = _lesson(records, wanted, packed)
        if calendar is not None:
            answer["calendar"] = _calendar(records, calendar)
    if as_json:
        click.echo(json.dumps(answer, indent=1, ensure_ascii=False))
    else:
        _say(answer)


def _check_together(
    out: Path | None,
    packed: Path | None,
    calendar: Path | None,
    *,
    days: tuple[str | None, str | None],
    batch: str | None,
) -> None:
    """Raises InputError for options that go with none of those that say what to write."""
    if out is None and packed is None and calendar is None:
        raise InputError("export: found no --out, --zip or --calendar; allowed: at least one of them")
    for option, found in zip(("--from", "--to"), days, strict=True):
        if found is not None and out is None:
            raise InputError(f"{option}: found {shown(found)} without --out; allowed: with --out")
    if batch is not None and packed is None:
        raise InputError(f"--batch: found {shown(batch)} without --zip; allowed: with --zip")


def _check_places(out: Path | None, packed: Path | None, calendar: Path | None, *, replace: bool) -> None:
    """Before anything is written, so that nothing is where one of them cannot be."""
    if out is not None:
        from daemon.export.package import check_out

        check_out(out, replace=replace)
    for path in (packed, calendar):
        if path is not None:
            check_file(path, replace=replace)


def _tables(records: _Records, part: ExportPart, out: Path) -> dict[str, Any]:
    from daemon.export.package import write_folder

    rows = write_folder(records.station, records.connection, part, out, records.now)
    return {"folder": str(out), "rows": dict(rows)}


def _lesson(records: _Records, batch: BatchSpan, path: Path) -> dict[str, Any]:
    from daemon.export.lesson import write_lesson  # only here: zip and what it needs

    try:
        with file_made_beside(path) as file:
            rows = write_lesson(records.station, records.connection, batch, records.state, file)
    except OSError as error:
        raise not_taken(path, error) from error
    return {"file": str(path), "batch": batch.id, "vessel": batch.vessel, "rows": rows}


def _calendar(records: _Records, path: Path) -> dict[str, Any]:
    from daemon.export.calendar import entries  # only here: the record of a night
    from daemon.export.ical import calendar_bytes

    found = entries(records.station, records.connection, records.now)
    try:
        with file_made_beside(path) as file:
            file.write(calendar_bytes(records.station.name, found))
    except OSError as error:
        raise not_taken(path, error) from error
    return {"file": str(path), "entries": len(found)}


def _say(answer: Mapping[str, Any]) -> None:
    if "tables" in answer:
        click.echo(f"{answer['tables']['folder']}: {_counted(answer['tables']['rows'])}")
    if "lesson" in answer:
        lesson = answer["lesson"]
        click.echo(
            f"{lesson['file']}: batch {lesson['batch']} of {lesson['vessel']}, {_counted(lesson['rows'])}"
        )
    if "calendar" in answer:
        click.echo(f"{answer['calendar']['file']}: {answer['calendar']['entries']} entries")


def _counted(rows: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {name}" for name, count in rows.items())


def _part(station: Station, first: str | None, last: str | None, vessel: Vessel | None) -> ExportPart:
    began = None if first is None else _day(first, "--from")
    ended = None if last is None else _day(last, "--to")
    if began is not None and ended is not None and began > ended:
        raise InputError(f"--to: found {ended}, before --from {began}; allowed: that day or a later one")
    zone = station.timezone
    return ExportPart(
        EVER[0] if began is None else moment(began, _MIDNIGHT, zone),
        EVER[1] if ended is None else moment(ended + timedelta(days=1), _MIDNIGHT, zone) - 1,
        vessel,
    )


def _day(text: str, option: str) -> date:
    try:
        day = date.fromisoformat(text)
        if 1900 < day.year < 2200:  # what a store may hold, and a local time zone can tell
            return day
    except ValueError:
        pass
    raise InputError(f"{option}: found {shown(text)}; allowed: a date such as 2027-01-15")


def _vessel(station: Station, name: str | None) -> Vessel | None:
    if name is None:
        return None
    vessel = station.vessel(name)
    if vessel is None:
        known = [one.id for one in station.vessels]
        found = f"{shown(name)}{did_you_mean(name, known)}"
        raise InputError(f"--vessel: found {found}; allowed: {', '.join(known)}")
    return vessel


def _batch(records: _Records, text: str | None, vessel: Vessel | None) -> BatchSpan:
    """The batch of that number, or the last one set; of this vessel where one is given."""
    batches = [
        batch for batch in every(records.connection, EVER[1]) if vessel is None or batch.vessel == vessel.id
    ]
    wanted = LAST if text is None else text
    if wanted == LAST:
        known = {one.id for one in records.station.vessels}
        found = next((batch for batch in reversed(batches) if batch.vessel in known), None)
    else:
        found = next((batch for batch in batches if str(batch.id) == wanted), None)
    if found is None:
        where = "" if vessel is None else f" of {vessel.id}"
        raise InputError(
            f"--batch: found no batch {shown(wanted)}{where}; allowed: {LAST}, or the number of a set that "
            "'naupliad care list' shows"
        )
    return found
