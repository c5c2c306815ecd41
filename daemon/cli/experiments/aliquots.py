"""naupliad experiment aliquots: animals per mL from a few spoonfuls counted."""

import json

import click

from daemon.cli.number_option import ML, Count
from daemon.cli.options import json_option
from daemon.planning.experiment.spoonfuls import counted_animals
from reports.experiment.aliquots import aliquot_words
from reports.experiment.in_language import LANGUAGES, written


@click.command()
@click.argument("counts", nargs=-1, required=True, type=Count())
@click.option("--ml", type=ML, required=True, help="How much each spoonful holds, in mL.")
@click.option("--volume-ml", type=ML, help="How much the whole vessel holds, in mL.")
@click.option("--language", type=click.Choice(LANGUAGES), default="en", help="In which language to say it.")
@json_option
def aliquots(
    counts: tuple[int, ...], ml: float, volume_ml: float | None, language: str, as_json: bool
) -> None:
    """Say from the COUNTS of some spoonfuls how many animals are in a mL, and in all.

    \b
    naupliad experiment aliquots 12 15 9 --ml 5 --volume-ml 200
    """
    per_ml, in_all = counted_animals(counts, ml, volume_ml)
    if as_json:
        fields = {
            name: found and {"middle": found.middle, "low": found.low, "high": found.high}
            for name, found in (("per_ml", per_ml), ("in_all", in_all))
        }
        click.echo(json.dumps(fields, indent=1))
        return
    click.echo("\n".join(written(language, aliquot_words, per_ml, in_all)))
