"""naupliad export: the station's records for other programs."""

import json
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import json_option, state_option
from daemon.cli.stored_station import moment_of, open_station
from daemon.errors import InputError
from daemon.export.rows import EVER, ExportPart
from daemon.hours import moment
from daemon.input.file import did_you_mean, shown
from daemon.station import Station, Vessel

_MIDNIGHT = time(0)


@click.command()
@click.option("--out", type=click.Path(path_type=Path), help="A folder for all tables and their description.")
@click.option("--from", "first", metavar="DAY", help="Only from this local day on (YYYY-MM-DD).")
@click.option("--to", "last", metavar="DAY", help="Only up to this local day and with it.")
@click.option("--vessel", metavar="ID", help="Only what is of this vessel.")
@click.option("--replace", is_flag=True, help="Replace an earlier export.")
@state_option
@json_option
def export(
    out: Path | None,
    first: str | None,
    last: str | None,
    vessel: str | None,
    replace: bool,
    state: Path,
    as_json: bool,
) -> None:
    """Write the station's records as tables (CSV) with a description for programs.

    station.db is only read, and the daemon may go on meanwhile.
    """
    if out is None:
        raise InputError(
            "export: found neither --out nor --zip nor --calendar; allowed: at least one of them"
        )
    station, connection = open_station(state)
    with closing(connection):
        part = _part(station, first, last, _vessel(station, vessel))
        answer: dict[str, Any] = {}
        if out is not None:
            answer["tables"] = _tables(station, connection, part, out, moment_of(state, connection), replace)
    _say(answer, as_json=as_json)


def _tables(
    station: Station, connection: sqlite3.Connection, part: ExportPart, out: Path, now: int, replace: bool
) -> dict[str, Any]:
    from daemon.export.folder import check_out
    from daemon.export.folder import export as write

    check_out(out, replace=replace)
    return {"folder": str(out), "rows": dict(write(station, connection, part, out, now))}


def _say(answer: Mapping[str, Any], *, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(answer, indent=1, ensure_ascii=False))
        return
    if "tables" in answer:
        counts = ", ".join(f"{rows} {name}" for name, rows in answer["tables"]["rows"].items())
        click.echo(f"{answer['tables']['folder']}: {counts}")


def _part(station: Station, first: str | None, last: str | None, vessel: Vessel | None) -> ExportPart:
    began, ended = (
        None if text is None else _day(text, name) for text, name in ((first, "--from"), (last, "--to"))
    )
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
