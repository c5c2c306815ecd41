"""naupliad experiment power: how many cups would we need."""

import json
from dataclasses import asdict

import click

from daemon.cli.number_option import PLAIN, Count, OfAHundred
from daemon.cli.options import json_option
from daemon.errors import InputError
from daemon.planning.experiment.noticed import USUAL_SHARE, usual_dispersion
from daemon.planning.experiment.power import (
    DISPERSION,
    ENOUGH,
    MOST_CUPS_A_LEVEL,
    PLAYED,
    PlayedDesign,
    faults_of_design,
    power_of,
)
from reports.experiment.in_language import LANGUAGES, written
from reports.experiment.power import power_words


@click.command()
@click.option("--levels", type=Count(), required=True, help="How many levels are compared.")
@click.option("--cups", type=Count(), required=True, help="Cups at each level.")
@click.option("--of", type=Count(), required=True, help="Cysts in a cup that can hatch.")
@click.option(
    "--share",
    type=OfAHundred(),
    default=USUAL_SHARE,
    show_default=True,
    help="Share that hatches at the best level, such as 0.8 or 80%; a test of the tin says it.",
)
@click.option(
    "--difference", type=OfAHundred(), required=True, help="By how much less is to be noticed, such as 0.2."
)
@click.option(
    "--dispersion",
    type=PLAIN,
    default=None,
    help=f"How many times more than by chance cups of a level differ; {DISPERSION} when left out.",
)
@click.option("--language", type=click.Choice(LANGUAGES), default="en", help="In which language to say it.")
@json_option
def power(
    levels: int,
    cups: int,
    of: int,
    share: float,
    difference: float,
    dispersion: float | None,
    language: str,
    as_json: bool,
) -> None:
    """Say what so many cups can show, and how many would do.

    \b
    naupliad experiment power --levels 3 --cups 4 --of 50 --difference 20%
    """
    differ = usual_dispersion(of) if dispersion is None else dispersion
    design = PlayedDesign(levels, cups, of, share, difference, differ)
    if faults := faults_of_design(design):
        raise InputError(*(f"--{field}: {fault}" for field, fault in faults))
    found = power_of(design)
    if as_json:
        fields = {
            "power": found.found,
            "test": found.test,
            "enough_cups": found.enough_cups,
            "enough": ENOUGH,
            "played": PLAYED,
            "assumed": asdict(design) | {"shares": design.shares},
        }
        click.echo(json.dumps(fields, indent=1))
        return
    click.echo("\n".join(written(language, power_words, found, most_cups=MOST_CUPS_A_LEVEL)))
