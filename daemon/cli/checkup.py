"""naupliad checkup: is everything in place, and what to do where it is not."""

import json
from pathlib import Path

import click

from daemon.cli.options import config_option, is_given, json_option, machine_of, state_option
from daemon.commissioning.checkup.finding import Finding, Grade
from daemon.commissioning.checkup.look_over import as_json as as_words
from daemon.commissioning.checkup.look_over import findings


@click.command()
@config_option
@state_option
@click.option(
    "--post",
    "reach",
    is_flag=True,
    help="Also see whether mail server, web addresses and broker are reached.",
)
@json_option
@click.pass_context
def checkup(context: click.Context, config: Path, state: Path, reach: bool, as_json: bool) -> None:
    """Look over disk, clock, post, permissions, buses and the service; say what is wrong and what to do.

    Nothing is changed. Each line begins with ok, look (works, but look at it) or wrong.
    """
    machine = machine_of(context)
    config = config if is_given(context, "config") else machine.path(config)
    found = list(findings(config, state, machine, reach=reach))
    if as_json:
        click.echo(json.dumps([as_words(finding) for finding in found], indent=1, ensure_ascii=False))
    else:
        for finding in found:
            click.echo(_line(finding))
    count = sum(finding.grade is Grade.WRONG for finding in found)
    if count:
        things = (
            "1 thing is wrong; its line says" if count == 1 else f"{count} things are wrong; their lines say"
        )
        click.echo(f"naupliad checkup: {things} what to do", err=True)
        raise click.exceptions.Exit(1)


def _line(finding: Finding) -> str:
    remedy = f". Do: {finding.remedy}" if finding.remedy else ""
    return f"{finding.grade:<6} {finding.subject:<13} {' '.join(finding.account.split())}{remedy}"
