"""naupliad rooms: which rooms need help and which are silent."""

import json
import os
from pathlib import Path

import click

from daemon.cli.options import gather_config_option, json_option
from daemon.errors import InputError
from reports.experiment.in_language import LANGUAGES, written


@click.command()
@gather_config_option
@click.option(
    "--silent-after",
    default="3h",
    show_default=True,
    help="How long a room may tell nothing, such as 90min; 24 h at most.",
)
@click.option("--language", type=click.Choice(LANGUAGES), default="en", help="In which language to say it.")
@json_option
def rooms(config: Path, silent_after: str, language: str, as_json: bool) -> None:
    """Say which rooms need help and which are silent, the worst first.

    The database is asked that stands in the gatherer's file.
    """
    from daemon.gathering.plan import check_installed

    check_installed()
    from daemon.gathering import rooms as asked
    from daemon.gathering.database import reached
    from daemon.gathering.plan import read_plan
    from reports.rooms import rooms_text

    with reached(read_plan(config), os.environ) as connection:
        found = asked.how_rooms_stand(connection, _length_s(silent_after))
    if as_json:
        click.echo(json.dumps(asked.as_json(found), indent=1, ensure_ascii=False))
    else:
        click.echo(written(language, rooms_text, found))


def _length_s(text: str) -> int:
    from daemon.config.checks import Refused
    from daemon.config.ways_out import length_s

    try:
        return length_s(text)
    except Refused as refused:
        _, found, allowed = refused.parts[0]
        raise InputError(f"--silent-after: found {found}; allowed: {allowed}") from None
