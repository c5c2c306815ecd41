"""naupliad report: the chart and letter of any night, weekend or batch, made anew from the store."""

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import click

from daemon.cli.options import json_option, state_option
from daemon.errors import InputError, NaupliadError
from daemon.input.file import shown
from daemon.letters.conversions import setting
from daemon.letters.night_record import chart_path, night_ends, night_of, past_night
from daemon.station import Station, Vessel
from daemon.store import readings as reading_store
from daemon.stored_station import open_station
from reports.chart.child_process import FORMS, DrawingError, draw_in_child
from reports.letters.nightly import nightly_letter
from reports.records import NightRecord

_FORMS = [form.removeprefix(".") for form in FORMS]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a report is made from, and where its chart goes: a folder (None: one of its name), a form."""

    station: Station
    connection: sqlite3.Connection
    newest: int
    out: Path | None
    form: str


@click.command()
@click.argument("night", required=False)
@click.option("--weekend", is_flag=True, help="The last absence up to that night, or the 72 hours before it.")
@click.option("--batch", metavar="VESSEL", help="A vessel's last batch, from its setting to its end or now.")
@click.option("--format", "form", default="png", show_default=True, help="The chart's form: png, svg or pdf.")
@state_option
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the chart and the letter.")
@json_option
def report(
    night: str | None,
    weekend: bool,
    batch: str | None,
    form: str,
    state: Path,
    out: Path | None,
    as_json: bool,
) -> None:
    """Print the letter of a NIGHT (YYYY-MM-DD; the newest when left out) and draw its chart.

    A night is named by the date on which its letter is due. Chart and letter are written to --out, by
    default a folder report-NIGHT here; station.db is only read. A weekend and a batch have a chart and
    what it shows in words, and no letter.
    """
    if batch is not None and (weekend or night is not None):
        found = "--weekend" if weekend else "a night"
        raise InputError(f"--batch: found {found} beside it; allowed: alone, for a batch has its own span")
    if form not in _FORMS:
        raise InputError(f"--format: found {shown(form)}; allowed: {', '.join(_FORMS)}")
    station, connection = open_station(state)
    with closing(connection):
        newest = reading_store.newest_at(connection)
        if newest is None:
            raise NaupliadError(f"{state}: found no readings yet; a report needs some")
        asked = _Asked(station, connection, newest, out, form)
        if batch is not None:
            fields = _batch(asked, _vessel(station, batch))
        else:
            fields = _weekend(asked, night) if weekend else _night(asked, night)
    if as_json:
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
    else:
        told = f"{fields['subject']}\n\n{fields['text']}" if "subject" in fields else fields["text"]
        click.echo(f"{told}\nChart: {fields['chart']}")


def _night(asked: _Asked, night: str | None) -> dict[str, str]:
    station, connection = asked.station, asked.connection
    wanted = _date(night) if night else night_of(station, asked.newest)
    record = past_night(station, connection, wanted, asked.newest)
    if record is None:
        raise InputError(f"night: found no readings for {wanted}; allowed: a night with readings")
    place = setting(station, connection, int(record.span.ended.timestamp()))
    folder = asked.out or Path(f"report-{wanted.isoformat()}")
    path = _draw(record, chart_path(folder, wanted).with_suffix(f".{asked.form}"), folder)
    letter = nightly_letter(place, record, with_chart=False)
    (folder / "letter.txt").write_text(letter.text, encoding="utf-8")
    return {
        "night": wanted.isoformat(),
        "subject": letter.subject,
        "text": letter.text,
        "chart": str(path),
    }


def _weekend(asked: _Asked, night: str | None) -> dict[str, str]:
    from daemon.letters.longer_records import weekend_record  # only here: most reports are of a night

    at = min(night_ends(asked.station, _date(night)), asked.newest) if night else asked.newest
    record = weekend_record(asked.station, asked.connection, at, asked.newest)
    if record.readings_good == 0:
        raise InputError(f"night: found no readings before {night or 'now'}; allowed: a night with readings")
    return _longer(asked, record, "weekend")


def _batch(asked: _Asked, vessel: Vessel) -> dict[str, str]:
    from daemon.letters.longer_records import batch_record  # only here: most reports are of a night

    record = batch_record(asked.station, asked.connection, vessel, asked.newest)
    return _longer(asked, record, f"batch-{vessel.id}")


def _longer(asked: _Asked, record: NightRecord, what: str) -> dict[str, str]:
    """A longer span's chart, and in words what it shows."""
    from reports.chart.alt_text import alt_text  # only here: a night has its letter

    began, ended = record.span.began, record.span.ended
    name = f"{what}-{began.date().isoformat()}"
    folder = asked.out or Path(f"report-{name}")
    path = _draw(record, folder / "charts" / f"{name}.{asked.form}", folder)
    return {
        "from": began.isoformat(),
        "to": ended.isoformat(),
        "text": f"{alt_text(record)}\n",
        "chart": str(path),
    }


def _draw(record: NightRecord, path: Path, folder: Path) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{folder}: found {found}; allowed: a folder this user can write to") from error
    try:
        draw_in_child(record, path)
    except DrawingError as error:
        raise NaupliadError(str(error)) from error
    return path


def _vessel(station: Station, name: str) -> Vessel:
    vessels = {vessel.id: vessel for vessel in station.vessels}
    if name not in vessels:
        raise InputError(f"--batch: found {shown(name)}; allowed: {', '.join(vessels)}")
    return vessels[name]


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InputError(f"night: found {shown(text)}; allowed: a date such as 2027-01-15") from error
