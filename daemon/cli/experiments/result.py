"""naupliad experiment result: from counts to a sentence that is true."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from typing import Any

import click

from daemon.cli.number_option import HOURS
from daemon.cli.options import json_option
from daemon.errors import InputError
from daemon.made_beside import check_file, file_made_beside, not_taken
from daemon.planning.experiment.counts import MOST_HOURS, Counts, LostCup
from daemon.planning.experiment.counts_file import read_counts
from daemon.planning.experiment.result import Compared, Result, result_of
from reports.experiment.in_language import LANGUAGES, written
from reports.experiment.lateness import beside, why_no_slope
from reports.experiment.lost import gone_words, lost_words, uncounted_words
from reports.experiment.sentence import compared_words, for_children, for_report, why_no_p


@click.command()
@click.option(
    "--csv",
    "csv_file",
    type=click.Path(path_type=Path, readable=False),
    required=True,
    help="The counts: level,cup,of,hatched and a row a cup; hours, water_c, salt_g_per_l may follow.",
)
@click.option("--hours", type=HOURS, help="Which hour after setting to compare. The last when left out.")
@click.option(
    "--plot", type=click.Path(path_type=Path), help="Draw each cup and each level into this .svg file."
)
@click.option("--replace", is_flag=True, help="Replace a file of that name.")
@click.option("--language", type=click.Choice(LANGUAGES), default="en", help="In which language to say it.")
@json_option
def result(
    csv_file: Path, hours: float | None, plot: Path | None, replace: bool, language: str, as_json: bool
) -> None:
    """Say what counted cups show: shares with intervals, the right test, a sentence.

    \b
    naupliad experiment result --csv counts.csv
    naupliad experiment result --csv counts.csv --plot cups.svg
    """
    if hours is not None and not 0.0 < hours <= MOST_HOURS:
        raise InputError(f"--hours: found {hours:g}; allowed: above 0, up to {MOST_HOURS:g}")
    if plot is not None:
        _check_plot(plot, replace=replace)
    counts = read_counts(csv_file)
    found = result_of(counts, hours)
    if plot is not None:
        from reports.experiment.dot_plot import dot_plot  # with the page's palette: for a plot alone

        _write(plot, written(language, dot_plot, found))
    if as_json:
        fields = written(language, as_fields, found) | {"lost": [_lost(cup) for cup in counts.lost]}
        fields |= {"uncounted": [{"cup": cup, "level": level} for level, cup in counts.uncounted]}
        click.echo(json.dumps(fields, ensure_ascii=False, indent=1))
    else:
        lost = [(cup.cup, cup.level, cup.why) for cup in counts.lost]
        gone = _gone(counts)
        lines = [
            written(language, uncounted_words, counts.uncounted),
            written(language, _lines, found, gone),
            written(language, lost_words, lost),
        ]
        click.echo("\n".join(chain(*lines)))


def _gone(counts: Counts) -> list[str]:
    """Levels of which all cups are lost."""
    left = {*counts.levels, *(level for level, _ in counts.uncounted)}
    return list(dict.fromkeys(cup.level for cup in counts.lost if cup.level not in left))


def _check_plot(plot: Path, *, replace: bool) -> None:
    if plot.suffix.lower() != ".svg":
        raise InputError(f"--plot: found {plot.name!r}; allowed: a name that ends in .svg")
    check_file(plot, replace=replace)


def _write(plot: Path, text: str) -> None:
    try:
        with file_made_beside(plot) as file:
            file.write(text.encode())
    except OSError as error:
        raise not_taken(plot, error) from error


def _lines(found: Result, gone: Sequence[str]) -> list[str]:
    """The class's sentence names levels that are lost, too, as it stands on a page."""
    return [" ".join([for_children(found), *gone_words(gone)]), "", for_report(found), *beside(found)]


def as_fields(found: Result) -> dict[str, Any]:
    """The result as JSON has it, with its sentences in the language spoken now."""
    fields = _compared(Compared(found.levels, found.tested))
    fields |= {"sentence": for_children(found), "report_sentence": for_report(found)}
    fields |= {
        "hours": found.hours,
        "model": None,
        "slope": None,
        "no_slope_reason": why_no_slope(found) or None,
        "lateness": [
            {
                "late": late.late,
                "early": late.early,
                "verdict": late.verdict,
                "count_again_h": late.count_again_h,
            }
            for late in found.lateness
        ],
        "lateness_open": found.lateness_open,
        "equal_development": None,
    }
    if (model := found.model) is not None:
        fields["model"] = {
            "f": model.f,
            "degrees": [model.degrees, model.within_degrees],
            "p": model.p,
            "dispersion": model.dispersion,
        }
    if (slope := found.slope) is not None:
        fields["slope"] = {"log_odds_per_unit": slope.per_unit, "low": slope.low, "high": slope.high}
    if found.equal is not None and found.at_equal is not None:
        fields["equal_development"] = {
            "hours_by_level": dict(found.equal.hours),
            **_compared(found.at_equal),
        }
    return fields


def _lost(cup: LostCup) -> dict[str, Any]:
    return {
        "cup": cup.cup,
        "level": cup.level,
        "at": datetime.fromtimestamp(cup.at, UTC).isoformat(),
        "why": cup.why,
    }


def _compared(compared: Compared) -> dict[str, Any]:
    tested = compared.tested
    return {
        "levels": [
            {"level": level.level, "share": level.share, "low": level.low, "high": level.high}
            for level in compared.levels
        ],
        "test": tested.test,
        "statistic": tested.statistic,
        "p": tested.p,
        "smallest_p": tested.smallest_p,
        "p_chi_squared": tested.p_chi_squared,
        "reason": why_no_p(tested) or None,
        "sentence": compared_words(compared),
    }
