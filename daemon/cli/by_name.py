"""A group whose commands are found by name, each loaded when it is run."""

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click


class ByName(click.Group):
    """`rows` holds each command's module in `daemon.cli`, and its line in the list.

    In its module a command has the name of its row: a daemon runs for years and needs one of them, and the
    list needs none.
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
        found: click.Command = getattr(import_module(f"daemon.cli.{module}"), cmd_name)
        return found

    def format_commands(
        self,
        ctx: click.Context,  # noqa: ARG002 - as above
        formatter: click.HelpFormatter,
    ) -> None:
        """The list, without loading what it names."""
        if self._rows:
            with formatter.section("Commands"):
                formatter.write_dl([(name, line) for name, (_, line) in sorted(self._rows.items())])
