"""naupliad experiment list: what was begun, and how far the counting is."""

import json
from contextlib import closing
from pathlib import Path

import click

from daemon.cli.experiments.seats import for_programs, headline
from daemon.cli.options import json_option, state_option
from daemon.store import experiments
from daemon.stored_station import open_station


@click.command("list")
@state_option
@json_option
def list_experiments(state: Path, as_json: bool) -> None:
    """List the experiments that were begun, the newest last."""
    station, connection = open_station(state)
    with closing(connection):
        every = experiments.every(connection)
        counted = {one.id: len(experiments.standing(connection, one.id)) for one in every}
        lost = {one.id: experiments.lost(connection, one.id) for one in every}
    if as_json:
        rows = [
            {**for_programs(station, one), "counts": counted[one.id], "lost": lost[one.id]} for one in every
        ]
        click.echo(json.dumps(rows, indent=1, ensure_ascii=False))
        return
    for one in every:
        counts = f"{counted[one.id]} {'count' if counted[one.id] == 1 else 'counts'} of {len(one.seats)} cups"
        gone = f", lost: {', '.join(lost[one.id])}" if lost[one.id] else ""
        click.echo(f"{headline(station, one)}; {counts}{gone}")
    if not every:
        click.echo("No experiment was begun.")


list = list_experiments  # noqa: A001 - as its row in `experiment.py` is called
