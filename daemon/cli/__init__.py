"""The command line: one module a command group, each thin."""

import sys
from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

import click

from daemon.errors import NaupliadError

if TYPE_CHECKING:
    from daemon.commissioning.machine import Machine

# Each command's module, and its line in the list.
_COMMANDS = {
    "alarms": ("quiet", "Show what stands; silence an alarm, or take it back."),
    "backup": ("backup", "Copy the station's records, check the copy, remove old ones."),
    "care": ("care", "Record, list, correct and withdraw what people did to the cups."),
    "checkup": ("checkup", "Look over disk, clock, post, permissions and buses."),
    "experiment": ("experiment", "Plan an experiment with cups, count it, say what it shows."),
    "export": ("export", "Write the station's records as tables, a batch for a lesson, a calendar."),
    "gather": ("gather", "Take many stations' records from a broker into PostgreSQL."),
    "lot": ("lot", "Say whether a tin of cysts will do, and what each has given."),
    "next-class": ("next_class", "Copy the set-up for the next class, with what was learned."),
    "now": ("now", "Say how the cups stand, what is expected and which letters wait."),
    "page": ("page", "Serve the local page: the shelf on a phone."),
    "plan": ("plan", "Work out doses and times before the cups are set."),
    "post": ("post", "Look into the outbox, try it now, send a sample letter."),
    "probes": ("probes", "Read every probe once and say whether to trust it."),
    "quiet": ("quiet", "No letters until a day or time of your choice."),
    "rehearse": ("play", "Play a made-up weekend; it needs no hardware."),
    "replay": ("play", "Play recorded readings through the real daemon."),
    "report": ("report", "Print the letter and draw the chart of a past night."),
    "rooms": ("rooms", "Say which rooms need help and which are silent."),
    "run": ("run", "Watch the station until it is stopped (SIGTERM or Ctrl-C)."),
    "wrap-up": ("wrap_up", "Lead through the end of a class: silence, report, what is left over."),
}


class ByName(click.Group):
    """A group with a row a command: its name, then its module and its line in the list.

    The command stands in that module of `daemon.cli` under its name, with `_` for a hyphen. A daemon runs for
    years and needs one of them, and the list needs none.
    """

    def __init__(self, *args: Any, rows: Mapping[str, tuple[str, str]], **named: Any) -> None:
        super().__init__(*args, **named)
        self._rows = rows

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's own signature
        """The names, by the alphabet."""
        return sorted(self._rows)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002 - as above
        cmd_name: str,
    ) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in self._rows:
            return None
        module, _ = self._rows[cmd_name]
        found: click.Command = getattr(import_module(f"daemon.cli.{module}"), cmd_name.replace("-", "_"))
        return found

    def format_commands(
        self,
        ctx: click.Context,  # noqa: ARG002 - as above
        formatter: click.HelpFormatter,
    ) -> None:
        """The list, without loading what it names."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in sorted(self._rows.items())])


def _say_version(context: click.Context, _option: click.Parameter, asked: bool) -> None:
    if asked and not context.resilient_parsing:
        click.echo(f"{context.find_root().info_name}, version {_version()}")
        context.exit()


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version  # 3 MB that a daemon has no use for

    try:
        return version("naupliad")
    except PackageNotFoundError:
        return "(a checkout that is not installed)"


@click.group(
    cls=ByName,
    rows=_COMMANDS,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_say_version,
    help="Show the version and exit.",
)
def naupliad() -> None:
    """Eyes on the brine-shrimp cups when the room is empty, and the arithmetic in between.

    Try it without any hardware: naupliad rehearse
    """


def main(machine: "Machine | None" = None) -> None:
    """Run a command; whatever a person must know is said in clear lines on standard error.

    `machine` is what commands that look at the machine look at; this one when it is None.
    """
    try:
        # Not standalone, click hands an Exit's code back instead of raising it, and None when all is done.
        sys.exit(naupliad.main(prog_name="naupliad", standalone_mode=False, obj=machine))
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
