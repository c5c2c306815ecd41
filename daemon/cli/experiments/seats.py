"""naupliad experiment new, form: which cup stands where, and the sheets for it."""

import json
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.number_option import KEPT_AS, Count
from daemon.cli.options import json_option, state_option
from daemon.cli.requests import answer
from daemon.errors import InputError
from daemon.hours import local_time
from daemon.input.file import shown
from daemon.planning.experiment.chosen_test import RARE
from daemon.planning.experiment.design import MOST_SEED, NEAR, design_of
from daemon.planning.experiment.doubts import doubts, enough_cups, smallest_p
from daemon.shown_experiment import planned_of, seats_of
from daemon.station import Station
from daemon.store import experiments
from daemon.store.experiments import Experiment
from daemon.stored_station import open_station, station_and_now
from reports.experiment import design as words
from reports.experiment import seats as seat_words

experiment_option = click.option(
    "--experiment", "wanted", type=KEPT_AS, help="Its number; the newest when left out."
)


@click.command()
@state_option
@click.option(
    "--factor", required=True, help="What is changed: salt, warmth, light, soda, cysts, tin, or other words."
)
@click.option(
    "--levels",
    required=True,
    help="2 to 6, such as '10; 22.5; 40', by semicolons, or by commas where no digit stands behind one.",
)
@click.option("--cups", type=Count(), required=True, help="Cups of each level.")
@click.option("--of", "cysts", type=Count(), required=True, help="Cysts in each cup.")
@click.option("--idea", default="", help="What you want to know, in a line. No names of people.")
@click.option(
    "--near",
    type=click.Choice(NEAR),
    default=NEAR[0],
    show_default=True,
    help="What the first row stands nearest to.",
)
@click.option("--seed", type=Count(0, MOST_SEED), help="For the same seat map once more; any when left out.")
@click.option("--no-names", is_flag=True, help="What looks like a person's name is none.")
@json_option
def new(state: Path, no_names: bool, as_json: bool, **asked: Any) -> None:
    """Begin an experiment: draw the seat map and keep it.

    \b
    naupliad experiment new --factor salt --levels "10 g/L,25 g/L,40 g/L" --cups 4 --of 50
    """
    # Of the commands here this one alone asks for them.
    from daemon.experiment_names import names_in
    from daemon.planning.experiment.noticed import USUAL_SHARE, least_noticed
    from reports.experiment.power import noticed_words

    station, now = station_and_now(state)
    if not no_names:
        design = design_of(**{**asked, "seed": asked["seed"] or 0})
        if looks := names_in(design, station.language, station.no_names):
            what = "which looks like a person's name" if len(looks) == 1 else "which look like people's names"
            allowed = "other words, or --no-names where these are none"
            raise InputError(f"experiment: found {', '.join(map(shown, looks))}, {what}; allowed: {allowed}")
    request = {"of": asked.pop("cysts"), **asked}
    begun = answer(state, station, {"ask": "experiment begin", **request}, now)
    _, one = found(state, begun["id"])
    if as_json:
        click.echo(json.dumps(for_programs(station, one), indent=1, ensure_ascii=False))
        return
    planned = planned_of(one, "en")
    against = [(doubt.kind, doubt.levels) for doubt in doubts(one.design)]
    enough = enough_cups(one.design)
    lines = [*words.summary(planned), *words.doubt_lines(planned, against, enough)]
    smallest = smallest_p(one.design)
    tells = words.could_tell(planned, smallest, enough)
    if smallest is not None and smallest <= RARE:
        found_at = least_noticed(len(one.design.levels), one.design.cups, one.design.cysts)
        tells.insert(1, noticed_words(USUAL_SHARE, found_at))
    click.echo("\n".join([headline(station, one), *lines, *tells]))
    click.echo(f"\n{seat_words.map_text(planned, seats_of(one))}\n")
    click.echo(f"Who fills the cups: naupliad experiment form --experiment {one.id} --levels")
    click.echo(f"Who counts: naupliad experiment form --experiment {one.id}")


@click.command()
@state_option
@experiment_option
@click.option(
    "--levels", is_flag=True, help="The list of levels, for who fills the cups; nobody who counts sees it."
)
def form(state: Path, wanted: int | None, levels: bool) -> None:
    """Print the seat map and the form for counting; neither says which level a cup has."""
    station, one = found(state, wanted)
    _, connection = open_station(state)
    with closing(connection):
        planned, seats = planned_of(one, "en"), seats_of(one, experiments.lost(connection, one.id))
    if levels:
        below = [seat_words.levels_text(planned, seats), words.alike_text(planned)]
    else:
        below = [seat_words.form_text(planned, seats), words.steps_text(planned)]
    care = "\n".join(words.care(planned))
    if not levels:
        below.append(
            f"Then note each count by its code: naupliad experiment count --experiment {one.id} CUP HATCHED"
        )
    click.echo("\n\n".join([headline(station, one), seat_words.map_text(planned, seats), *below, care]))


@click.command()
@state_option
@click.argument("experiment", type=KEPT_AS)
def discard(state: Path, experiment: int) -> None:
    """Delete EXPERIMENT, by its number, in which nothing was counted."""
    station, now = station_and_now(state)
    if not answer(state, station, {"ask": "experiment discard", "experiment": experiment}, now)["discarded"]:
        raise InputError(f"EXPERIMENT: {_nobody_began(experiment)}")
    click.echo(f"experiment {experiment} is deleted")


def found(state: Path, wanted: int | None, code: str = "") -> tuple[Station, Experiment]:
    """The station, and its experiment of that number; else the newest that has a cup of the `code`, or the
    newest. Raises InputError where none is."""
    station, connection = open_station(state)
    with closing(connection):
        if wanted is not None:
            one = experiments.find(connection, wanted)
        else:
            one = experiments.of_code(connection, code) or experiments.newest(connection)
    if one is not None:
        return station, one
    if wanted is None:
        raise InputError("experiment: found none; allowed: after 'naupliad experiment new'")
    raise InputError(f"--experiment: {_nobody_began(wanted)}")


def _nobody_began(number: int) -> str:
    return f"found {number}, which nobody began; allowed: as 'naupliad experiment list' says"


def headline(station: Station, one: Experiment) -> str:
    """An experiment in a line."""
    day = local_time(one.at, station.timezone).strftime("%a %d %b %Y")
    idea = f"; {one.design.idea}" if one.design.idea else ""
    return f"{words.title(planned_of(one, 'en'), one.id)}{idea}; begun {day}; seed {one.design.seed}"


def for_programs(station: Station, one: Experiment) -> dict[str, Any]:
    """An experiment for programs."""
    design = one.design
    return {
        "id": one.id,
        "at": local_time(one.at, station.timezone).isoformat(),
        "idea": design.idea,
        "factor": design.factor,
        "levels": list(design.levels),
        "cups": design.cups,
        "of": design.cysts,
        "near": design.near,
        "seed": design.seed,
        "seats": [
            {"row": seat.block, "place": seat.place, "cup": seat.code, "level": seat.level}
            for seat in one.seats
        ],
        "doubts": [doubt.kind for doubt in doubts(design)],
        "smallest_p": smallest_p(design),
    }
