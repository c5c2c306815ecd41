"""naupliad experiment: cups at several levels, counted, and what they show."""

import click

from daemon.cli import ByName

# Each command's module, and its line in the list.
_COMMANDS = {
    "aliquots": ("experiments.aliquots", "Say from some spoonfuls how many animals there are."),
    "count": ("experiments.counting", "Note how many hatched in a cup."),
    "counts": ("experiments.counting", "Take counts from a file."),
    "discard": ("experiments.seats", "Delete an experiment in which nothing was counted."),
    "export": ("experiments.counting", "Write the counts as a table."),
    "form": ("experiments.seats", "Print the seat map and the form for counting."),
    "list": ("experiments.listed", "List the experiments that were begun."),
    "new": ("experiments.seats", "Begin an experiment: draw the seat map and keep it."),
    "power": ("experiments.power", "Say how many cups an experiment needs."),
    "result": ("experiments.result", "Say what counted cups show."),
}


@click.group(cls=ByName, rows=_COMMANDS)
def experiment() -> None:
    """Plan an experiment with cups, count it, and say what it shows."""
