"""naupliad report: the chart and letter of any night, made anew from the store."""

import json
from contextlib import closing
from datetime import date
from pathlib import Path

import click

from daemon.cli.options import json_option, state_option
from daemon.cli.stored_station import open_station
from daemon.errors import InputError, NaupliadError
from daemon.input.file import shown
from daemon.letters.conversions import setting
from daemon.letters.night_record import chart_path, night_ends, night_of, night_record
from daemon.store import readings as reading_store
from reports.chart.child_process import DrawingError, draw_in_child
from reports.letters.nightly import nightly_letter


@click.command()
@click.argument("night", required=False)
@state_option
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the chart and the letter.")
@json_option
def report(night: str | None, state: Path, out: Path | None, as_json: bool) -> None:
    """Print the letter of a NIGHT (YYYY-MM-DD; the newest when left out) and draw its chart.

    A night is named by the date on which its letter is due. Chart and letter are written to --out, by
    default a folder report-NIGHT here; station.db is only read.
    """
    station, connection = open_station(state)
    with closing(connection):
        newest = reading_store.newest_at(connection)
        if newest is None:
            raise NaupliadError(f"{state}: found no readings yet; a report needs some")
        wanted = _date(night) if night else night_of(station, newest)
        ended = min(night_ends(station, wanted), newest)
        record = night_record(station, connection, ended)
        if record.night != wanted or record.readings_good == 0:
            raise InputError(f"night: found no readings for {wanted}; allowed: a night with readings")
        place = setting(station, connection, ended)
    folder = out or Path(f"report-{wanted.isoformat()}")
    path = chart_path(folder, wanted)
    _make(path.parent, folder)
    try:
        draw_in_child(record, path)
    except DrawingError as error:
        raise NaupliadError(str(error)) from error
    letter = nightly_letter(place, record, with_chart=False)
    (folder / "letter.txt").write_text(letter.text, encoding="utf-8")
    if as_json:
        fields = {
            "night": wanted.isoformat(),
            "subject": letter.subject,
            "text": letter.text,
            "chart": str(path),
        }
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
    else:
        click.echo(f"{letter.subject}\n\n{letter.text}\nChart: {path}")


def _make(inner: Path, folder: Path) -> None:
    try:
        inner.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{folder}: found {found}; allowed: a folder this user can write to") from error


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InputError(f"night: found {shown(text)}; allowed: a date such as 2027-01-15") from error
