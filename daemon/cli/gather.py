"""naupliad gather: what many stations tell, from a broker into PostgreSQL."""

import logging
import os
from pathlib import Path

import click

from daemon.cli.options import gather_config_option


@click.command()
@gather_config_option
@click.option(
    "--prepare",
    is_flag=True,
    help="Make or renew tables, views and roles, as their owner, and end.",
)
def gather(config: Path, prepare: bool) -> None:
    """Take many stations' records from a broker into PostgreSQL, until it is stopped (SIGTERM or Ctrl-C).

    Several may run side by side. Each box is stored before it is acknowledged. Then its station gets a
    receipt.
    """
    from daemon.gathering.plan import check_installed, read_plan

    check_installed()
    plan = read_plan(config)
    if prepare:
        from daemon.gathering.database import prepare as prepare_it
        from daemon.gathering.database import reached

        with reached(plan, os.environ) as connection:
            for line in prepare_it(connection) or ["nothing to do: it is prepared"]:
                click.echo(f"the database: {line}")
        return
    from daemon.gathering.gatherer import counted
    from daemon.gathering.service import gather as gather_until_stopped
    from daemon.running.bounded_log import BoundedLog

    bounded = BoundedLog()
    handler = logging.StreamHandler()
    handler.addFilter(lambda record: record.name == counted.name or bounded.filter(record))
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s", handlers=[handler])
    gather_until_stopped(plan, os.environ)
