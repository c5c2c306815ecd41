"""naupliad experiment count, counts, export: what was counted, typed in, read from a file, written out."""

from contextlib import closing
from pathlib import Path
from typing import Any

import click

from daemon.cli.experiments.seats import experiment_option, found
from daemon.cli.number_option import HOURS, KEPT_AS, WATER_C, Count
from daemon.cli.options import state_option
from daemon.cli.requests import answer
from daemon.errors import InputError
from daemon.export.experiment_counts import counts_table
from daemon.input.file import read_lines, shown
from daemon.made_beside import check_file, file_made_beside, not_taken
from daemon.planning.experiment.counts import MOST_HOURS, WHY_LOST
from daemon.planning.experiment.counts_file import WHOLE_ALLOWED, known_seats, read_cups
from daemon.store import experiments
from daemon.store.experiments import Experiment
from daemon.stored_station import open_station, station_and_now

_correct = click.option(
    "--correct", is_flag=True, help="In the place of a count that stands; the old one is kept as withdrawn."
)


@click.command()
@state_option
@click.option("--experiment", "wanted", type=KEPT_AS, help="Its number; by the cup's code when left out.")
@click.option(
    "--of", "cysts", type=Count(), help="Of how many cysts, where it is another number than planned."
)
@click.option("--hours", type=HOURS, help="Hours after the cup was set, for cups counted at several times.")
@click.option("--water-c", type=WATER_C, help="The water's mean temperature until then, in °C.")
@_correct
@click.option("--withdraw", is_flag=True, help="Take the cup's count back.")
@click.option("--lost", is_flag=True, help="The cup is broken or spilled; with --withdraw it is not.")
@click.option("--why", type=click.Choice(WHY_LOST), help="Why it is lost.")
@click.argument("cup")
@click.argument("hatched", required=False)
def count(
    state: Path,
    wanted: int | None,
    cysts: int | None,
    hours: float | None,
    water_c: float | None,
    correct: bool,
    withdraw: bool,
    lost: bool,
    why: str | None,
    cup: str,
    hatched: str | None,
) -> None:
    """Note how many HATCHED in the CUP of a code.

    \b
    naupliad experiment count K7 31
    naupliad experiment count K7 13 --correct
    naupliad experiment count K7 --withdraw
    naupliad experiment count K7 --lost --why broken
    """
    if (withdraw or lost) is not (hatched is None):
        got = "no number" if hatched is None else f"a number beside --{'lost' if lost else 'withdraw'}"
        allowed = "how many hatched, or --withdraw or --lost without a number"
        raise InputError(f"HATCHED: found {got}; allowed: {allowed}")
    if hatched is not None and not (hatched.isascii() and hatched.isdigit() and len(hatched) <= 9):
        raise InputError(f"HATCHED: found {shown(hatched)}; allowed: {WHOLE_ALLOWED}")
    if hours is not None and not 0.0 < hours <= MOST_HOURS:  # NaN too, which is no JSON
        raise InputError(f"--hours: found {hours:g}; allowed: above 0, up to {MOST_HOURS:g}")
    if why is not None and (withdraw or not lost):
        raise InputError(f"--why: found {shown(why)}; allowed: with --lost")
    _, one = found(state, wanted, cup.strip().upper())
    if lost:
        words = {"ask": "experiment lost", "code": cup, "back": withdraw, "why": why}
        done = _asked(state, one, words)["changed"]
        is_now = "is not lost" if withdraw else "is lost"
        line = f"{cup.strip().upper()} {is_now}{'' if done else ' already'}"
        click.echo(f"experiment {one.id}: {line}; {_progress(state, one)}")
        return
    if withdraw:
        words = {"ask": "experiment withdraw", "code": cup, "hours": hours}
        done = _asked(state, one, words)["withdrawn"]
        line = f"the count of {cup} is withdrawn" if done else f"no count of {cup} stands"
        click.echo(f"experiment {one.id}: {line}")
        return
    counted = [cup, int(hatched or 0), cysts, hours, water_c]
    _asked(state, one, {"ask": "experiment count", "counts": [counted], "correct": correct})
    noted = f"{cup.strip().upper()} {hatched} of {cysts or one.design.cysts}"
    click.echo(f"experiment {one.id}: {noted}; {_progress(state, one)}")


@click.command()
@state_option
@experiment_option
@click.option(
    "--csv",
    "csv_file",
    type=click.Path(path_type=Path, readable=False),
    required=True,
    help="cup,hatched or cup,of,hatched, and a row a cup; level may stand before, hours behind.",
)
@_correct
def counts(state: Path, wanted: int | None, csv_file: Path, correct: bool) -> None:
    """Take counts from a file: all of them, or none."""
    _, one = found(state, wanted)
    rows = read_cups(read_lines(csv_file), csv_file, known_seats(one.design, one.seats))
    given = [[row.cup, row.hatched, row.of, row.hours, row.water_c] for row in rows]
    _asked(state, one, {"ask": "experiment count", "counts": given, "correct": correct})
    noted = f"{len(rows)} {'count' if len(rows) == 1 else 'counts'} noted"
    click.echo(f"experiment {one.id}: {noted}; {_progress(state, one)}")


@click.command()
@state_option
@experiment_option
@click.option("--out", type=click.Path(path_type=Path), help="A file; standard output when left out.")
@click.option("--replace", is_flag=True, help="Replace a file of that name.")
@click.option("--early", is_flag=True, help="Before all cups are counted; who counts should not see it.")
def export(state: Path, wanted: int | None, out: Path | None, replace: bool, early: bool) -> None:
    """Write the counts that stand as a table, for `naupliad experiment result --csv`.

    It says which level each cup has: so it is written once all cups are counted or lost, or with --early.
    """
    if out is not None:
        check_file(out, replace=replace)
    _, one = found(state, wanted)
    _, connection = open_station(state)
    with closing(connection):
        open_cups = experiments.uncounted(connection, one)
        if open_cups and not early:
            raise InputError(_still_counted(one, [seat.code for seat in open_cups]))
        table = counts_table(connection, one)
    if out is None:
        click.echo(table, nl=False)
        return
    try:
        with file_made_beside(out) as file:
            file.write(table.encode())
    except OSError as error:
        raise not_taken(out, error) from error


def _asked(state: Path, one: Experiment, words: dict[str, Any]) -> dict[str, Any]:
    station, now = station_and_now(state)
    return answer(state, station, {"experiment": one.id, **words}, now)


def _still_counted(one: Experiment, codes: list[str]) -> str:
    still = f"{len(codes)} of {len(one.seats)} cups neither counted nor lost: {', '.join(codes)}"
    allowed = "once none is left, or --early: it tells levels, which who counts should not know before"
    return f"experiment {one.id}: found {still}; allowed: {allowed}"


def _progress(state: Path, one: Experiment) -> str:
    _, connection = open_station(state)
    with closing(connection):
        counted = {entry.counted.code for entry in experiments.standing(connection, one.id)}
        lost = len(experiments.lost(connection, one.id))
    return f"{len(counted)} of {len(one.seats)} cups counted{f', {lost} lost' if lost else ''}"
