"""naupliad wrap-up: the end of a class, step by step; each is said before it is done and may be left out."""

import json
import sqlite3
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from daemon.cli.options import is_given, json_option, state_option
from daemon.errors import InputError, NaupliadError
from daemon.input.file import shown
from daemon.made_beside import check_file
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from daemon.stored_station import moment_of, open_station

if TYPE_CHECKING:
    from reports.batch.steps import EndStep


@click.command("wrap-up")
@click.option("--vessel", "vessels", multiple=True, metavar="ID", help="Only this vessel; may be repeated.")
@click.option("--all", "every", is_flag=True, help="All vessels, as without --vessel.")
@click.option(
    "--report",
    "out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="OUT",
    help="Write a report of each vessel's last batch: OUT.pdf or OUT.html.",
)
@click.option("--replace", is_flag=True, help="Replace an earlier report.")
@click.option("--wipe", "wiped", is_flag=True, help="Wipe class data, and prove that it is gone.")
@click.option(
    "--also",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="NAUPLIAD_BACKUP_ALSO",
    help="A folder with backups on another disk: wiped too, while that disk is there.",
)
@state_option
@json_option
@click.pass_context
def wrap_up(
    context: click.Context,
    vessels: tuple[str, ...],
    every: bool,
    out: Path | None,
    replace: bool,
    wiped: bool,
    also: Path | None,
    state: Path,
    as_json: bool,
) -> None:
    """Lead through the end of a class: silence, a report, what is left over, class data.

    Without --report and --wipe it changes nothing: it says what each step would do, and how.

    \b
    naupliad wrap-up
    naupliad wrap-up --report batch.pdf
    naupliad wrap-up --wipe
    """
    if every and vessels:
        raise InputError("--all: found --vessel beside it; allowed: one of them")
    if replace and out is None:
        raise InputError("--replace: found no --report; allowed: with --report")
    if wiped and out is not None:
        raise InputError("--wipe: found --report beside it; allowed: first the report, then the wipe")
    if wiped:
        from daemon.cli.wiping import wipe_all

        wipe_all(state, also, as_json=as_json)
        return
    if out is not None:
        check_file(out, replace=replace)
    station, connection = open_station(state)
    with closing(connection):
        chosen = _chosen(station, vessels)
        if out is None:
            named = str(state) if is_given(context, "state") else ""
            _said(_steps(state, station, connection, chosen, also, named), as_json=as_json)
        else:
            _written(state, station, connection, chosen, out, as_json=as_json)


def _steps(
    state: Path,
    station: Station,
    connection: sqlite3.Connection,
    chosen: list[Vessel],
    also: Path | None,
    named: str,
) -> "tuple[EndStep, ...]":
    # A third of all our modules, and only here.
    from daemon.cli.wiping import to_wipe
    from daemon.letters.class_end import class_end
    from daemon.letters.conversions import setting

    now = moment_of(state, connection)
    would_go = to_wipe(state, station, also, setting(station, connection, now))
    return class_end(station, connection, chosen, now, would_go, named)


def _said(steps: "tuple[EndStep, ...]", *, as_json: bool) -> None:
    if as_json:
        fields = [{**asdict(step), "lines": list(step.lines)} for step in steps]
        click.echo(json.dumps({"steps": fields}, indent=1, ensure_ascii=False))
        return
    for place, step in enumerate(steps, 1):
        click.echo(f"{place}. {step.title}")
        for line in step.lines:
            click.echo(f"   {line}")
        for command in step.commands:
            click.echo(f"     {command}")


def _written(
    state: Path,
    station: Station,
    connection: sqlite3.Connection,
    chosen: list[Vessel],
    out: Path,
    *,
    as_json: bool,
) -> None:
    # Half of all our modules: what is believed is computed anew.
    from daemon.letters.batch_accounts import accounts
    from daemon.letters.report_files import write_report

    newest = reading_store.newest_at(connection)
    if newest is None:
        raise NaupliadError(f"{state}: found no readings yet; a report needs some")
    account = accounts(station, connection, chosen, newest)
    write_report(account, out)
    told = [one.vessel.vessel for one in account.batches]
    fields: dict[str, Any] = {"report": str(out), "vessels": told}
    click.echo(json.dumps(fields, ensure_ascii=False) if as_json else f"Report of {', '.join(told)}: {out}")


def _chosen(station: Station, names: tuple[str, ...]) -> list[Vessel]:
    """The vessels of these names; all where none is named."""
    known = {vessel.id: vessel for vessel in station.vessels}
    for name in names:
        if name not in known:
            raise InputError(f"--vessel: found {shown(name)}; allowed: {', '.join(known)}")
    return [known[name] for name in dict.fromkeys(names)] or list(station.vessels)
