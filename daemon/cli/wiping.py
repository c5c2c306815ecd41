"""The part of naupliad wrap-up that wipes class data, and what of it is shown before."""

import json
from contextlib import closing
from pathlib import Path

import click

from daemon.errors import NaupliadError
from daemon.letters.conversions import setting
from daemon.person_names import to_ask_about
from daemon.station import Station
from daemon.store.file import StoreInUse
from daemon.stored_station import moment_of, open_station
from daemon.wiping.wipe import wipe, wipe_plan
from reports.batch.wiped import StillThere, ToWipe, proof_lines, step_line, to_wipe_lines
from reports.records import Setting


def to_wipe(state: Path, station: Station, also: Path | None, place: Setting) -> tuple[str, ...]:
    """What a wipe would do, line by line."""
    plan = wipe_plan(state, also)
    tins = [lot.id for lot in station.lots]
    labels = to_ask_about((*station.labels, *tins, station.name), station.no_names)
    files = {what: len(paths) for what, paths in plan.files.items()}
    names = tuple(path.name for path in plan.backups)
    return to_wipe_lines(place, ToWipe(plan.rows, files, names, tuple(labels), plan.broken_off))


def wipe_all(state: Path, also: Path | None, *, as_json: bool) -> None:
    """Wipe, say each step before it is done, and what was proven.

    Raises NaupliadError where not all is gone, or a daemon runs.
    """
    station, connection = open_station(state)
    with closing(connection):
        place = setting(station, connection, moment_of(state, connection))

    def said(key: str, folder: str = "") -> None:
        if not as_json:
            click.echo(step_line(place, key, folder))

    try:
        proof = wipe(state, also, said)
    except StoreInUse:
        stop = "stop the daemon first: sudo systemctl stop naupliad"
        raise NaupliadError(f"{state}: found a daemon at work; {stop}. Nothing was wiped") from None
    left = [StillThere(one.text, str(one.path), one.column) for one in proof.left]
    if as_json:
        found = [{"text": one.text, "file": one.path, "column": one.column} for one in left]
        fields = {"texts": proof.texts, "files": proof.files, "short": proof.short, "left": found}
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
    else:
        for line in proof_lines(place, proof.texts, proof.files, proof.short, left):
            click.echo(line)
    if left:
        raise NaupliadError(f"{state}: found class data that is not gone; allowed: none")
