"""naupliad next-class: the station file for the next class, with what was learned beside it."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import click

from daemon.cli.options import config_option, is_given, json_option, state_option
from daemon.config.next_text import NextText, next_text, with_comments
from daemon.config.station_file import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.hours import local_day
from daemon.input.file import read_text
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import check_current, open_for_reading
from daemon.stored_station import moment_of
from reports.batch.next_class import next_class_lines
from reports.chart.child_process import write_whole


@click.command("next-class")
@config_option
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    metavar="NEW.toml",
    help="The new station file; a name that is not there yet.",
)
@state_option
@json_option
@click.pass_context
def next_class(context: click.Context, config: Path, out: Path, state: Path, as_json: bool) -> None:
    """Copy the set-up for the next class; what was learned stands above it as proposals.

    Comments, tins and probes are kept, days away that are over are left out, and no value is changed.
    Without --config it is the file that the station ran by last.

    \b
    naupliad next-class --out next.toml
    """
    if out.exists():
        raise InputError(f"{out}: found a file; allowed: a name that is not there yet")
    with closing(open_for_reading(state)) as connection:
        check_current(state, connection)
        text, name = _text(context, config, state, connection)
        station, now = parse_station(text, name), moment_of(state, connection)
        edited = next_text(text, name, local_day(now, station.timezone))
        lines = list(_told(state, connection, parse_station(edited.text, name), edited, now))
    _write(out, with_comments(edited.text, lines))
    if as_json:
        fields = {"file": str(out), "left_out": list(edited.over), "lines": lines}
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
        return
    for line in lines:
        click.echo(line)
    click.echo(f"Written: {out}")


def _text(
    context: click.Context, config: Path, state: Path, connection: sqlite3.Connection
) -> tuple[str, str]:
    """The text to copy, and what it is called: the file that was named, else the one that ran last."""
    if is_given(context, "config"):
        return read_text(config), str(config)
    text = run_store.station_file(connection)
    if text is None:
        raise InputError(f"{state}: found records that no station has used yet; allowed: one that has run")
    return text, f"{state}/station.db"


def _told(
    state: Path, connection: sqlite3.Connection, station: Station, edited: NextText, now: int
) -> tuple[str, ...]:
    # Half of all our modules: what is believed is computed anew.
    from daemon.last_times import last_times
    from daemon.letters.conversions import setting as setting_of
    from daemon.letters.next_class import next_class as learned
    from reports.starts.last_time import next_class_lines as again_lines

    newest = reading_store.newest_at(connection)
    if newest is None:
        raise NaupliadError(f"{state}: found no readings yet; allowed: a station that has run")
    told = next_class_lines(learned(station, connection, newest, edited))
    setting = setting_of(station, connection, now)
    return (*told, *again_lines(setting, last_times(station, connection, now)))


def _write(out: Path, text: str) -> None:
    try:
        write_whole(out, text.encode())
    except OSError as error:
        raise InputError(f"{out}: found {error.strerror}; allowed: a file this user can write") from error
