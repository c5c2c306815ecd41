"""naupliad experiment: cups at several levels, counted, and what they show."""

import click

from daemon.cli import ByName

# Each command's module, and its line in the list.
_COMMANDS = {
    "result": ("experiments.result", "Say what counted cups show."),
}


@click.group(cls=ByName, rows=_COMMANDS)
def experiment() -> None:
    """Plan an experiment with cups, count it, and say what it shows."""
