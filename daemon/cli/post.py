"""naupliad post: the outbox, and a sample letter to see whether the post works."""

import json
import os
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.places import config_option, json_option, open_station, state_option
from daemon.config import read_station
from daemon.duties.setting import local, setting
from daemon.errors import NaupliadError
from daemon.inbox import ask
from daemon.post.message import compose, message_id_for
from daemon.running import INBOX, make_carrier
from daemon.store import letters as letter_store
from reports.letter import sample_letter


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
    states = ("held", "queued", "parked", *(("sent", "merged") if everything else ()))
    with closing(connection):
        rows = letter_store.in_state(connection, *states)
    told = [
        {
            "id": row.id,
            "at": local(station, row.at).isoformat(),
            "kind": row.kind,
            "subject": row.subject,
            "state": row.state,
            "attempts": row.attempts,
            "due_at": local(station, row.due_at).isoformat(),
            "trouble": row.trouble,
        }
        for row in rows
    ]
    if as_json:
        click.echo(json.dumps(told, indent=1, ensure_ascii=False))
        return
    click.echo("\n".join(map(_line, told)) if told else "No letter waits.")


def _line(row: dict[str, Any]) -> str:
    trouble = f"  ({row['attempts']} tries: {row['trouble']})" if row["trouble"] else ""
    return f"{row['id']:>4}  {row['at'][:16]}  {row['state']:<7} {row['kind']:<8} {row['subject']}{trouble}"


@post.command("try")
@state_option
def try_now(state: Path) -> None:
    """Have the daemon try every waiting letter now, the parked ones too."""
    answer = ask(state / INBOX, {"ask": "post"})
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
    """Send a sample letter now, straight to the post, and say what happened."""
    station = read_station(config)
    at = int(time.time())
    letter = sample_letter(setting(station, at))
    server = station.post.server
    sender = server.sender if server else ""
    message = compose(
        kind=letter.kind,
        subject=letter.subject,
        text=letter.text,
        html=letter.html,
        date_s=at,
        zone=station.timezone,
        message_id=message_id_for(station.name, 0, at, sender),
        sender=sender,
        to=server.to if server else (),
        language=letter.language,
    )
    make_carrier(station, state, os.environ).carry(0, letter.kind, message)
    where = ", ".join(server.to) if server else str(state / "letters")
    click.echo(f"the sample letter is on its way to {where}")
