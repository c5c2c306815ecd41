"""naupliad care: the care log, while the daemon runs (through its inbox) and while it does not."""

import json
from collections.abc import Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.care.deed import KINDS
from daemon.care.log import deed_from_fields, format_detail, format_number, unit_of
from daemon.cli.options import json_option, state_option, typed_moment
from daemon.cli.requests import answer
from daemon.cli.stored_station import moment_of, open_station, station_and_now
from daemon.hours import local_time
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store.deeds import Entry

_DEEDS = ", ".join(KINDS)
# The largest id that a store can hold.
_deed_id = click.argument("deed_id", type=click.IntRange(1, 2**63 - 1), metavar="ID")


@click.group()
def care() -> None:
    """Record, list, correct and withdraw what people did to the cups."""


def _deed_options(command: Any) -> Any:
    for option in (
        click.option("--detail", default="", help="key=value pairs joined by ';', such as to=mark."),
        click.option("--unit", default=None, help="Unit of the amount; the deed's own when left out."),
        click.option(
            "--at", "moment", help="When: RFC 3339 with an offset, or HH:MM today. Now when left out."
        ),
        click.argument("amount", required=False),
        click.argument("deed"),
        click.argument("vessel"),
    ):
        command = option(command)
    return command


@care.command()
@state_option
@_deed_options
@json_option
def add(
    state: Path,
    vessel: str,
    deed: str,
    amount: str | None,
    moment: str | None,
    unit: str | None,
    detail: str,
    as_json: bool,
) -> None:
    """Record a DEED done to a VESSEL, with its AMOUNT where it has one.

    \b
    naupliad care add tray-a set 0.05 --detail "salt_g_per_l=25;lot=spring"
    naupliad care add tray-a top-up 18 --detail to=mark
    naupliad care add tray-a first-swimmer
    """
    station, now = station_and_now(state)
    at = _moment_given(station, moment, now)
    words = _deed_words(station, vessel, deed, amount, at, unit, detail)
    answered = answer(state, station, {"ask": "record", **words}, now)
    deed_id, doubts = answered["id"], answered.get("doubts", [])
    _say({"id": deed_id, "doubts": doubts}, f"recorded as deed {deed_id}", as_json=as_json)
    _question_back(doubts, deed_id, as_json=as_json)


@care.command()
@state_option
@_deed_id
@_deed_options
@json_option
def correct(
    state: Path,
    deed_id: int,
    vessel: str,
    deed: str,
    amount: str | None,
    moment: str | None,
    unit: str | None,
    detail: str,
    as_json: bool,
) -> None:
    """Put another entry in the place of deed ID; the old one is kept, marked as withdrawn.

    Without --at the corrected deed keeps the time of the old one.
    """
    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        old = deed_store.find(connection, deed_id)
    at = old.deed.at if moment is None and old is not None else _moment_given(station, moment, now)
    words = _deed_words(station, vessel, deed, amount, at, unit, detail)
    answered = answer(state, station, {"ask": "correct", "id": deed_id, **words}, now)
    new_id, doubts = answered["id"], answered.get("doubts", [])
    fields = {"id": new_id, "replaces": deed_id, "doubts": doubts}
    _say(fields, f"deed {deed_id} is now deed {new_id}", as_json=as_json)
    _question_back(doubts, new_id, as_json=as_json)


@care.command()
@state_option
@_deed_id
@json_option
def withdraw(state: Path, deed_id: int, as_json: bool) -> None:
    """Take deed ID back; it stays in the log, marked as withdrawn."""
    station, now = station_and_now(state)
    answer(state, station, {"ask": "withdraw", "id": deed_id}, now)
    _say({"id": deed_id}, f"deed {deed_id} is withdrawn", as_json=as_json)


@care.command("list")
@state_option
@click.option("--vessel", help="Only this vessel.")
@click.option("--all", "everything", is_flag=True, help="Also what was withdrawn.")
@json_option
def list_deeds(state: Path, vessel: str | None, everything: bool, as_json: bool) -> None:
    """List the care log, the newest last."""
    station, connection = open_station(state)
    with closing(connection):
        entries = deed_store.every(connection)
    shown = [
        entry
        for entry in entries
        if (everything or entry.withdrawn_at is None) and vessel in (None, entry.deed.vessel)
    ]
    if as_json:
        click.echo(json.dumps([_as_json(station, entry) for entry in shown], indent=1, ensure_ascii=False))
    elif not shown:
        click.echo("No deeds recorded.")
    else:
        for entry in shown:
            click.echo(_line(station, entry))


def _deed_words(
    station: Station,
    vessel: str,
    deed: str,
    amount: str | None,
    at: int,
    unit: str | None,
    detail: str,
) -> dict[str, Any]:
    """The request's words, checked here too so that a mistake is said before anything is sent."""
    given_unit = unit if unit is not None else unit_of(deed) if deed in KINDS else ""
    deed_from_fields(at, vessel, deed, amount, given_unit, detail, station)
    return {"at": at, "vessel": vessel, "deed": deed, "amount": amount, "unit": given_unit, "detail": detail}


def _moment_given(station: Station, text: str | None, now: int) -> int:
    return now if text is None else typed_moment("--at", station, text, now)


def _say(fields: Mapping[str, Any], line: str, *, as_json: bool) -> None:
    click.echo(json.dumps(fields) if as_json else line)


def _question_back(doubts: Sequence[str], deed_id: int, *, as_json: bool) -> None:
    """The questions back, and how to put the entry right; it is kept as it is."""
    if as_json or not doubts:
        return
    for doubt in doubts:
        click.echo(doubt)
    click.echo(f"If not: naupliad care correct {deed_id} …, or naupliad care withdraw {deed_id}.")


def _as_json(station: Station, entry: Entry) -> dict[str, Any]:
    def when(at: int | None) -> str | None:
        return None if at is None else local_time(at, station.timezone).isoformat()

    deed = entry.deed
    return {
        "id": entry.id,
        "at": when(deed.at),
        "vessel": deed.vessel,
        "deed": deed.deed,
        "amount": deed.amount,
        "unit": unit_of(deed.deed),
        "detail": dict(deed.detail),
        "recorded_at": when(entry.recorded_at),
        "withdrawn_at": when(entry.withdrawn_at),
        "replaces": entry.replaces,
    }


def _line(station: Station, entry: Entry) -> str:
    deed = entry.deed
    when = local_time(deed.at, station.timezone).strftime("%a %d %b %Y %H:%M")
    amount = "" if deed.amount is None else f" {format_number(deed.amount)} {unit_of(deed.deed)}".rstrip()
    marks = f"  (replaces {entry.replaces})" if entry.replaces else ""
    if entry.withdrawn_at is not None:
        day = local_time(entry.withdrawn_at, station.timezone).strftime("%d %b %H:%M")
        marks += f"  (withdrawn {day})"
    return (
        f"{entry.id:>4}  {when}  {deed.vessel:<12} {deed.deed}{amount}  {format_detail(deed)}".rstrip()
        + marks
    )
