"""naupliad quiet: no letters for a while; and naupliad alarms: what stands, and what is silenced."""

import json
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import click

from daemon.alarms.lifecycle import State
from daemon.cli.options import json_option, state_option, typed_moment
from daemon.cli.requests import answer
from daemon.errors import InputError
from daemon.hours import local_day, local_time, morning_of_day, morning_of_weekday
from daemon.input.file import shown
from daemon.seconds import DAY_S
from daemon.station import Station
from daemon.store import alarms as alarm_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.alarms import AlarmRow
from daemon.store.shelved_alarms import Shelf
from daemon.stored_station import moment_of, open_station, station_and_now
from reports import amounts, times

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@click.command()
@click.argument("until", required=False)
@click.option("--off", is_flag=True, help="Let letters go again.")
@state_option
@json_option
def quiet(until: str | None, off: bool, state: Path, as_json: bool) -> None:
    """No letters UNTIL then: a weekday, a date, HH:MM or an RFC 3339 time. A day means its morning.

    Water above 33 °C brings a letter all the same. Other letters wait, and go then if they still say
    something. Without UNTIL: say whether it is quiet.

    \b
    naupliad quiet monday
    naupliad quiet 2027-02-22
    naupliad quiet --off
    """
    station, now = station_and_now(state)
    if off:
        answer(state, station, {"ask": "loud"}, now)
    elif until is not None:
        answer(state, station, {"ask": "quiet", "until": end_of_quiet(station, until, now)}, now)
    quiet_ends = _quiet_until(state, now)
    if as_json:
        ends = None if quiet_ends is None else local_time(quiet_ends, station.timezone).isoformat()
        click.echo(json.dumps({"quiet_until": ends}))
    elif quiet_ends is None:
        click.echo("Letters go as usual.")
    else:
        ends = times.moment(local_time(quiet_ends, station.timezone), local_time(now, station.timezone))
        hot = amounts.both_units(33.0, station.temperature_unit)
        click.echo(f"No letters until {ends}, but for water above {hot}.")


def _quiet_until(state: Path, now: int) -> int | None:
    _, connection = open_station(state)
    with closing(connection):
        return shelf_store.quiet_until(connection, now)


def end_of_quiet(station: Station, text: str, now: int) -> int:
    """The moment that a word for an end means, Unix seconds. Raises InputError for one that means none."""
    day = text.strip().lower()
    weekday = next((n for n, name in enumerate(_WEEKDAYS) if len(day) >= 3 and name.startswith(day)), None)
    if weekday is not None:
        return morning_of_weekday(station, weekday, now)
    if day == "tomorrow":
        return morning_of_day(station, local_day(now, station.timezone) + timedelta(days=1))
    try:
        if len(day) == len("2027-02-22"):
            return morning_of_day(station, date.fromisoformat(day))
        at = typed_moment("UNTIL", station, text, now)
    except (ValueError, InputError):
        allowed = "a weekday, tomorrow, a date such as 2027-02-22, HH:MM, or RFC 3339 with an offset"
        raise InputError(f"UNTIL: found {shown(text)}; allowed: {allowed}") from None
    return at + DAY_S if len(day) <= len("07:15") and at <= now else at


@click.group()
def alarms() -> None:
    """Show what stands; silence an alarm for a while, or until somebody takes it back."""


@alarms.command("list")
@state_option
@click.option("--all", "everything", is_flag=True, help="Also alarms of which there is nothing to say.")
@json_option
def list_alarms(state: Path, everything: bool, as_json: bool) -> None:
    """List alarms and where they stand."""
    station, connection = open_station(state)
    with closing(connection):
        now = moment_of(state, connection)
        rows = [row for row in alarm_store.standing(connection, now) if everything or not _at_rest(row)]
        aside = {(shelf.vessel, shelf.condition): shelf for shelf in shelf_store.standing(connection, now)}
    if as_json:
        fields = [_as_json(station, row, aside.get((row.vessel, row.condition))) for row in rows]
        click.echo(json.dumps(fields, indent=1, ensure_ascii=False))
    elif not rows:
        click.echo("Nothing stands, and nothing is silenced.")
    for row in [] if as_json else rows:
        click.echo(_line(station, row, aside.get((row.vessel, row.condition)), now))


def _at_rest(row: AlarmRow) -> bool:
    return State(row.state) in (State.NORMAL, State.SUPPRESSED)


def _as_json(station: Station, row: AlarmRow, shelf: Shelf | None) -> dict[str, Any]:
    until = shelf.until if shelf else None
    return {
        "vessel": row.vessel,
        "condition": row.condition,
        "probe": row.probe,
        "state": row.state,
        "at": local_time(row.at, station.timezone).isoformat(),
        "since": local_time(row.since, station.timezone).isoformat() if row.since else None,
        "until": local_time(until, station.timezone).isoformat() if until else None,
        "by": (shelf.by or None) if shelf else None,
    }


def _line(station: Station, row: AlarmRow, shelf: Shelf | None, now: int) -> str:
    until, by = (shelf.until, shelf.by) if shelf else (None, "")
    here, place = local_time(now, station.timezone), _place(row.vessel)
    what = f"{row.condition} of {row.probe}" if row.probe else row.condition
    when = times.moment(local_time(row.since or row.at, station.timezone), here)
    ends = f", until {times.moment(local_time(until, station.timezone), here)}" if until else ""
    who = f" by {by}" if by else ""
    return f"{place}: {what}, {row.state}{who}, since {when}{ends}"


def _place(vessel: str) -> str:
    return vessel or "the station"


@alarms.command()
@state_option
@click.argument("vessel")
@click.argument("condition")
@click.option("--until", required=True, help="When it counts again: as for naupliad quiet.")
@json_option
def shelve(state: Path, vessel: str, condition: str, until: str, as_json: bool) -> None:
    """Silence the alarm about a CONDITION of a VESSEL until then. It is watched on, and not written of."""
    station, now = station_and_now(state)
    ends = end_of_quiet(station, until, now)
    answer(state, station, {"ask": "shelve", "vessel": vessel, "condition": condition, "until": ends}, now)
    when = times.moment(local_time(ends, station.timezone), local_time(now, station.timezone))
    fields = {
        "vessel": vessel,
        "condition": condition,
        "until": local_time(ends, station.timezone).isoformat(),
    }
    click.echo(json.dumps(fields) if as_json else f"{condition} of {_place(vessel)} is silenced until {when}")


@alarms.command("out-of-service")
@state_option
@click.argument("vessel")
@click.argument("condition")
@json_option
def out_of_service(state: Path, vessel: str, condition: str, as_json: bool) -> None:
    """Silence the alarm about a CONDITION of a VESSEL until somebody takes it back."""
    station, now = station_and_now(state)
    answer(state, station, {"ask": "out-of-service", "vessel": vessel, "condition": condition}, now)
    fields = {"vessel": vessel, "condition": condition, "until": None}
    line = f"{condition} of {_place(vessel)} is silenced until naupliad alarms take-back"
    click.echo(json.dumps(fields) if as_json else line)


@alarms.command("take-back")
@state_option
@click.argument("vessel")
@click.argument("condition")
@json_option
def take_back(state: Path, vessel: str, condition: str, as_json: bool) -> None:
    """Let the alarm about a CONDITION of a VESSEL count again."""
    station, now = station_and_now(state)
    answered = answer(state, station, {"ask": "take-back", "vessel": vessel, "condition": condition}, now)
    line = (
        f"{condition} of {_place(vessel)} counts again" if answered["taken_back"] else "it was not silenced"
    )
    click.echo(json.dumps(answered) if as_json else line)


@alarms.command()
@state_option
@json_option
def acknowledge(state: Path, as_json: bool) -> None:
    """Say that somebody has seen every alarm there is, as the button on the Pi does."""
    station, now = station_and_now(state)
    answered = answer(state, station, {"ask": "acknowledge"}, now)
    click.echo(json.dumps(answered) if as_json else "all alarms are acknowledged")
