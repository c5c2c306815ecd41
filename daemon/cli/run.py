"""naupliad run: the daemon."""

import logging
import os
from pathlib import Path

import click

from daemon.cli.options import config_option, state_option
from daemon.running.bounded_log import BoundedLog
from daemon.running.run import run_station

_ONLY_FOR_THE_GROUP = 0o027


@click.command()
@config_option
@state_option
def run(config: Path, state: Path) -> None:
    """Watch the station until it is stopped (SIGTERM or Ctrl-C).

    Readings, deeds and letters are kept in STATE/station.db; without a [post] server in the station file
    letters are written to STATE/letters. A station file that is changed meanwhile is taken up by itself.
    """
    bounded = logging.StreamHandler()
    bounded.addFilter(BoundedLog())
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s", handlers=[bounded])
    os.umask(_ONLY_FOR_THE_GROUP)  # started by hand too, as the unit says it
    run_station(config, state)
