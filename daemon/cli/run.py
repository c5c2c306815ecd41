"""naupliad run: the daemon."""

import logging
from pathlib import Path

import click

from daemon.cli.places import config_option, state_option
from daemon.config import parse_station
from daemon.input.file import read_text
from daemon.running import run_station


@click.command()
@config_option
@state_option
def run(config: Path, state: Path) -> None:
    """Watch the station until told to stop (SIGTERM or Ctrl-C).

    Readings, deeds and letters are kept in STATE/station.db; without a [post] server in the station file
    letters are written to STATE/letters.
    """
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s")
    text = read_text(config)
    run_station(parse_station(text, str(config)), text, state)
