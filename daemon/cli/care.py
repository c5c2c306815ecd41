"""naupliad care: the care log, while the daemon runs (through its inbox) and while it does not."""

import json
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.care.deed import KINDS
from daemon.care.log import format_detail, format_number
from daemon.care.past_moment import past_moment
from daemon.care.spoken_deed import fields_of
from daemon.cli.options import json_option, state_option
from daemon.cli.requests import answer
from daemon.hours import local_time
from daemon.station import Station
from daemon.store import deeds as deed_store
from daemon.store.deeds import Entry
from daemon.stored_station import moment_of, open_station, station_and_now

_DEEDS = ", ".join(KINDS)
# The largest id that a store can hold.
_deed_id = click.argument("deed_id", type=click.IntRange(1, 2**63 - 1), metavar="ID")


@click.group()
def care() -> None:
    """Record, list, correct and withdraw what people did to the cups."""


def _deed_options(command: Any) -> Any:
    for option in (
        click.option(
            "--detail",
            multiple=True,
            callback=lambda _context, _option, details: ";".join(details),
            help="key=value, such as to=mark; several joined by ';', or one by one.",
        ),
        click.option("--unit", default=None, help="Unit of the amount, where it does not stand in it."),
        click.option(
            "--at",
            "moment",
            help="When: 08:30, 'Sat 18:00', 'yesterday 18:00', '2026-11-28 08:30' or RFC 3339; the latest "
            "that is past. Now when left out.",
        ),
        click.argument("amount", nargs=-1),
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
    amount: tuple[str, ...],
    moment: str | None,
    unit: str | None,
    detail: str,
    as_json: bool,
) -> None:
    """Record a DEED done to a VESSEL, with its AMOUNT where it has one.

    \b
    naupliad care add tray-a set 0.05 --detail "salt_g_per_l=25;lot=spring"
    naupliad care add tray-a top-up 18 --detail to=mark
    naupliad care add tray-a top-up 1/2 tsp --at "Sat 18:00"
    naupliad care add tray-a hatched 50%
    """
    station, now = station_and_now(state)
    at = _moment_given(station, moment, now)
    words = fields_of(station, vessel, deed, amount, unit, detail)
    answered = answer(state, station, {"ask": "record", "at": at, **words}, now)
    line = f"recorded as deed {answered['id']}: {_in_words(station, words, answered.get('at', at))}"
    _answered(station, answered, {"id": answered["id"]}, line, now, as_json=as_json)


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
    amount: tuple[str, ...],
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
    words = fields_of(station, vessel, deed, amount, unit, detail)
    answered = answer(state, station, {"ask": "correct", "id": deed_id, "at": at, **words}, now)
    new_id = answered["id"]
    line = f"deed {deed_id} is now deed {new_id}: {_in_words(station, words, answered.get('at', at))}"
    _answered(station, answered, {"id": new_id, "replaces": deed_id}, line, now, as_json=as_json)


@care.command()
@state_option
@_deed_id
@json_option
def withdraw(state: Path, deed_id: int, as_json: bool) -> None:
    """Take deed ID back; it stays in the log, marked as withdrawn."""
    station, now = station_and_now(state)
    answered = answer(state, station, {"ask": "withdraw", "id": deed_id}, now)
    line = f"deed {deed_id} is withdrawn"
    _answered(station, answered, {"id": deed_id}, line, now, as_json=as_json)


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


def _moment_given(station: Station, text: str | None, now: int) -> int:
    return now if text is None else past_moment("--at", text, now, station.timezone)


def _answered(
    station: Station,
    answered: Mapping[str, Any],
    fields: Mapping[str, Any],
    line: str,
    now: int,
    *,
    as_json: bool,
) -> None:
    """What was done, what it changed, and the questions back; the entry is kept as it is."""
    doubts, changed = answered.get("doubts", []), answered.get("changed", {})
    said = _change_line(station, changed, now) if changed else None
    if as_json:
        if "at" in answered:
            fields = {**fields, "at": _when(station, answered["at"]), "doubts": doubts}
        click.echo(json.dumps({**fields, "changed": changed, "said": said}, ensure_ascii=False))
        return
    for spoken in (line, *([said] if said else []), *doubts):
        click.echo(spoken)
    if doubts:
        deed_id = fields["id"]
        click.echo(f"If not: naupliad care correct {deed_id} …, or naupliad care withdraw {deed_id}.")


def _change_line(station: Station, changed: Mapping[str, Any], now: int) -> str | None:
    # Only a deed that changed something needs words of the reports.
    from daemon.letters.told_change import change_in_words

    return change_in_words(station, changed, now)


def _when(station: Station, at: int | None) -> str | None:
    return None if at is None else local_time(at, station.timezone).isoformat()


def _as_json(station: Station, entry: Entry) -> dict[str, Any]:
    deed = entry.deed
    return {
        "id": entry.id,
        "at": _when(station, deed.at),
        "vessel": deed.vessel,
        "deed": deed.deed,
        "amount": deed.amount,
        "unit": deed.unit,
        "detail": dict(deed.detail),
        "recorded_at": _when(station, entry.recorded_at),
        "withdrawn_at": _when(station, entry.withdrawn_at),
        "replaces": entry.replaces,
    }


def _in_words(station: Station, words: Mapping[str, Any], at: int) -> str:
    """The deed as it was understood: what, how much in the unit of the log, and when."""
    when = local_time(at, station.timezone).strftime("%a %d %b %Y %H:%M")
    amount = f" {words['amount']} {words['unit']}".rstrip() if words["amount"] else ""
    return f"{words['vessel']} {words['deed']}{amount}, {when}"


def _line(station: Station, entry: Entry) -> str:
    deed = entry.deed
    when = local_time(deed.at, station.timezone).strftime("%a %d %b %Y %H:%M")
    amount = "" if deed.amount is None else f" {format_number(deed.amount)} {deed.unit}".rstrip()
    marks = f"  (replaces {entry.replaces})" if entry.replaces else ""
    if entry.withdrawn_at is not None:
        day = local_time(entry.withdrawn_at, station.timezone).strftime("%d %b %H:%M")
        marks += f"  (withdrawn {day})"
    return (
        f"{entry.id:>4}  {when}  {deed.vessel:<12} {deed.deed}{amount}  {format_detail(deed)}".rstrip()
        + marks
    )
