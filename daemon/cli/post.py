"""naupliad post: the outbox, and a sample letter to see whether the post works."""

import json
import os
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import config_option, json_option, state_option
from daemon.config import read_station
from daemon.errors import NaupliadError
from daemon.hours import local_time
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.station import Station
from daemon.store import deliveries as delivery_store
from daemon.store import letters as letter_store
from daemon.store.letters import LetterRow
from daemon.stored_station import open_station


@click.group()
def post() -> None:
    """Look into the outbox, have it tried now, or send a sample letter."""


@post.command("list")
@state_option
@click.option("--all", "everything", is_flag=True, help="Also what was sent or merged.")
@json_option
def list_letters(state: Path, everything: bool, as_json: bool) -> None:
    """List letters that wait, and why."""
    station, connection = open_station(state)
    with closing(connection):
        rows = letter_store.in_state(connection, "held", "queued", "parked", "sent", "merged")
        letters = [_as_json(station, connection, row) for row in rows]
    if not everything:
        letters = [row for row in letters if _waits(row)]
    if as_json:
        click.echo(json.dumps(letters, indent=1, ensure_ascii=False))
        return
    click.echo("\n".join(line for row in letters for line in _lines(row)) if letters else "No letter waits.")


def _as_json(station: Station, connection: sqlite3.Connection, row: LetterRow) -> dict[str, Any]:
    def moment(at: int | None) -> str | None:
        return None if at is None else local_time(at, station.timezone).isoformat()

    return {
        "id": row.id,
        "number": row.number,
        "at": moment(row.at),
        "kind": row.kind,
        "subject": row.subject,
        "state": row.state,
        "attempts": row.attempts,
        "due_at": moment(row.due_at) if row.state in ("held", "queued") else None,
        "sent_at": moment(row.sent_at),
        "merged_into": row.merged_into,
        "deliveries": [
            {
                "carrier": delivery.carrier,
                "state": delivery.state,
                "attempts": delivery.attempts,
                "due_at": moment(delivery.due_at) if delivery.state == "queued" else None,
                "sent_at": moment(delivery.sent_at),
                "trouble": delivery.trouble,
            }
            for delivery in delivery_store.of(connection, row.id)
        ],
    }


def _waits(row: dict[str, Any]) -> bool:
    """Whether a letter, or one way of it, is not done with."""
    ways = {delivery["state"] for delivery in row["deliveries"]}
    return row["state"] in ("held", "queued", "parked") or not ways.isdisjoint(("queued", "parked"))


def _lines(row: dict[str, Any]) -> list[str]:
    number = "" if row["number"] is None else f"no. {row['number']}"
    head = f"{row['id']:>4}  {number:<8} {_short(row['at'])}  {row['state']:<7} {row['kind']:<8}"
    head += f" {row['subject']}"
    if row["state"] == "held":
        return [f"{head}  (waits until {_short(row['due_at'])})"]
    return [head, *(f"      {_way(way)}" for way in row["deliveries"] if _is_worth_saying(way))]


def _is_worth_saying(way: dict[str, Any]) -> bool:
    return way["state"] in ("queued", "parked") or bool(way["trouble"])


def _way(way: dict[str, Any]) -> str:
    tries = "1 try" if way["attempts"] == 1 else f"{way['attempts']} tries"
    trouble = f": {way['trouble']}" if way["trouble"] else ""
    if way["state"] == "queued":
        return f"{way['carrier']}: waits, {tries}, next at {_short(way['due_at'])}{trouble}"
    if way["state"] == "parked":
        return f"{way['carrier']}: refused for good, {tries}{trouble}"
    return f"{way['carrier']}: {way['state']}, {tries}{trouble}"


def _short(moment: str) -> str:
    return moment[:16].replace("T", " ")


@post.command("try")
@click.argument("letter", nargs=-1, type=click.IntRange(min=1))
@state_option
def try_now(letter: tuple[int, ...], state: Path) -> None:
    """Have the daemon try every waiting letter now, the parked ones too; or only those of some ids."""
    answer = ask(state / INBOX, {"ask": "post", "letters": list(letter)})
    if answer is None:
        raise NaupliadError(f"{state}: found no daemon running; start it, for it sends the letters")
    if "error" in answer:
        raise NaupliadError(str(answer["error"]))
    count = answer["letters"]
    letters = "1 letter is" if count == 1 else f"{count} letters are"
    click.echo(f"{letters} tried now; see 'naupliad post list'" if count else "No letter waits for the post.")


@post.command()
@config_option
@state_option
def sample(config: Path, state: Path) -> None:
    """Send a sample letter now by every way the station has, and say what happened."""
    # What writes and carries letters; the other commands of the group only look, or ask the daemon.
    from daemon.letters.sample import sample_of, where_to
    from daemon.post.station_carriers import make_carriers

    station = read_station(config)
    letter = sample_of(station, int(time.time()))
    failed = []
    for name, carrier in make_carriers(station, state, os.environ).items():
        try:
            carrier.carry(letter)
        except NaupliadError as error:
            failed.append(f"{name}: {error}")
        else:
            click.echo(f"the sample letter is on its way to {where_to(station, state, name, os.environ)}")
    if failed:
        raise NaupliadError("\n".join(failed))
