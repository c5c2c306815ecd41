"""naupliad plan kept: planned starts that stand, and taking one back."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.number_option import KEPT_AS
from daemon.cli.options import json_option, state_option
from daemon.errors import InputError
from daemon.hours import local_time
from daemon.station import Station
from daemon.store.planned_starts import KeptEntry
from daemon.store.planned_starts import standing as standing_plans
from daemon.stored_station import moment_of, open_station


@click.command()
@click.option("--withdraw", "number", type=KEPT_AS, metavar="ID", help="Take that one back.")
@state_option
@json_option
def kept(number: int | None, state: Path, as_json: bool) -> None:
    """List planned starts that were kept and still wait, or take one back."""
    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        entries = standing_plans(connection, now)
        against = _against(station, connection, now)
    if number is not None:
        if all(one.id != number for one in entries):
            known = ", ".join(str(one.id) for one in entries) or "none stands"
            raise InputError(f"--withdraw: found {number}; allowed: {known}")
        from daemon.cli.requests import answer

        answer(state, station, {"ask": "start withdraw", "id": number}, now)
        entries = [one for one in entries if one.id != number]
    if as_json:
        click.echo(
            json.dumps({"kept": [_told(station, one) for one in entries]}, indent=1, ensure_ascii=False)
        )
        return
    for one in entries:
        click.echo(_line(station, one))
        for line in against.get(one.id, ()):
            click.echo(f"      ! {line}")
    if not entries:
        click.echo("no planned start stands")


def _against(station: Station, connection: sqlite3.Connection, now: int) -> Mapping[int, Sequence[str]]:
    """What speaks against each plan by now, by its number."""
    from daemon.kept_starts import kept_plans
    from daemon.letters.conversions import setting
    from reports.starts.kept import against

    where = setting(station, connection, now)
    return {one.number: against(where, one) for one in kept_plans(station, connection, now)}


def _told(station: Station, entry: KeptEntry) -> dict[str, Any]:
    start = entry.start
    return {
        "id": entry.id,
        "at": _iso(station, entry.at),
        "vessel": start.vessel,
        "lot": start.lot,
        "swimming": start.swimming,
        "set_at": _iso(station, start.set_at),
        "lesson": {"from": _iso(station, start.lesson[0]), "to": _iso(station, start.lesson[1])},
    }


def _iso(station: Station, at: int) -> str:
    return local_time(at, station.timezone).isoformat()


def _line(station: Station, entry: KeptEntry) -> str:
    set_at, began = (
        local_time(at, station.timezone).strftime("%a %d %b %Y %H:%M")
        for at in (entry.start.set_at, entry.start.lesson[0])
    )
    swim = "; animals are to swim in it already" if entry.start.swimming else ""
    return f"{entry.id:4}  {set_at}  set the cysts in {entry.start.vessel}, for the lesson {began}{swim}"
