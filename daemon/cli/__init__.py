"""The command line: one module a command group, each thin."""

import sys
from importlib.metadata import PackageNotFoundError, version

import click

from daemon.cli import backup, care, checkup, now, play, post, probes, quiet, report, run
from daemon.commissioning.machine import Machine
from daemon.errors import NaupliadError


def _version() -> str:
    try:
        return version("naupliad")
    except PackageNotFoundError:
        return "(a checkout that is not installed)"


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(_version())
def naupliad() -> None:
    """Eyes on the brine-shrimp cups when the room is empty, and the arithmetic in between.

    Try it without any hardware: naupliad rehearse
    """


for command in (
    play.rehearse,
    play.replay,
    run.run,
    probes.probes,
    care.care,
    now.now,
    report.report,
    post.post,
    quiet.quiet,
    quiet.alarms,
    checkup.checkup,
    backup.backup,
):
    naupliad.add_command(command)


def main(machine: Machine | None = None) -> None:
    """Run a command; whatever a person must know is told in clear lines on standard error.

    `machine` is what commands that look at the machine look at; this one when it is None.
    """
    try:
        # Not standalone, click hands an Exit's code back instead of raising it, and None when all is done.
        sys.exit(naupliad.main(standalone_mode=False, obj=machine))
    except click.Abort:
        click.echo("naupliad: stopped", err=True)
        sys.exit(130)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        sys.exit(error.exit_code)
    except click.ClickException as error:
        where = f"{error.ctx.command_path}: " if isinstance(error, click.UsageError) and error.ctx else ""
        click.echo(f"{where}{error.format_message()}", err=True)
        sys.exit(error.exit_code)
    except NaupliadError as error:
        click.echo(str(error), err=True)
        sys.exit(error.exit_code)
