"""naupliad page: the local page, a process of its own; who may write there, and where it listens."""

import os
import sys
from pathlib import Path

import click
from click.core import ParameterSource

from daemon.cli.options import config_option, state_option


@click.group(invoke_without_command=True)
@state_option
@click.option(
    "--host",
    help="The address to listen on; without it as [page] of the station file has it."
    " Before a station has run, it also says who may come.",
)
@click.option("--port", type=click.IntRange(0, 65_535), help="The port, likewise; 0 takes a free one.")
@click.pass_context
def page(context: click.Context, state: Path, host: str | None, port: int | None) -> None:
    """Serve the local page until it is stopped (SIGTERM or Ctrl-C)."""
    if context.invoked_subcommand is not None:
        _hand_on(context)
        return
    from daemon.page.bare_flask import import_bare

    import_bare()  # first: what follows imports Flask
    from daemon.page.first_plan import PAGE_FIRST, first_plan, listen_of
    from daemon.page.known_station import KnownStation
    from daemon.page.serving import serve
    from daemon.page.site import make_site

    environ = {**os.environ, **({PAGE_FIRST: listen_of(host)} if host else {})}
    station = KnownStation(state)()
    plan = first_plan(environ) if station is None else station.page
    where = (host or plan.host, plan.port if port is None else port)
    site = make_site(state, environ=environ)
    serve(site, *where, lambda address: click.echo(f"The page is at {address}"))


def _hand_on(context: click.Context) -> None:
    """`page --state FOLDER pin` is about that folder's page; raises UsageError for what pin has not."""
    given = {
        name for name in context.params if context.get_parameter_source(name) is ParameterSource.COMMANDLINE
    }
    beyond = sorted(given - {"state"})
    if beyond or (given and context.invoked_subcommand != "pin"):
        found = f"--{(beyond or ['state'])[0]}"
        raise click.UsageError(
            f"found {found} before {context.invoked_subcommand}; allowed: --state before pin"
        )
    if given:
        context.default_map = {"pin": {"state": context.params["state"]}}


@page.command()
@state_option
def pin(state: Path) -> None:
    """Set the PIN that lets people write; asks for it, or reads it from standard input.

    Whoever is signed in has to sign in anew, and whoever must wait after wrong tries waits no longer.
    """
    from daemon.page.guard.pin import new_pin, page_folder, set_pin

    if sys.stdin.isatty():
        typed = click.prompt("PIN, 6 to 12 digits", hide_input=True, confirmation_prompt=True, err=True)
    else:
        typed = sys.stdin.readline().strip()
    set_pin(page_folder(state), new_pin(typed))
    click.echo("The PIN is set; whoever was signed in has to sign in anew.")


@page.command("socket")
@config_option
def page_socket(config: Path) -> None:
    """Print where systemd listens for the page, as [page] of the station file has it; install.sh asks.

    Where there is no file yet, as NAUPLIAD_PAGE_FIRST has it: loopback or lan. Nothing is printed where
    naupliad-page.socket itself says it.
    """
    from daemon.config import read_station
    from daemon.errors import InputError
    from daemon.page.first_plan import first_plan
    from daemon.page.listening import socket_settings

    try:
        plan = read_station(config).page
    except InputError as refused:
        if not isinstance(refused.__cause__, FileNotFoundError):
            raise
        plan = first_plan(os.environ)
    click.echo(socket_settings(plan), nl=False)
