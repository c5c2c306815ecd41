"""naupliad page pin, naupliad page socket: who may write, and where systemd listens for the page."""

import sys
from pathlib import Path

import click

from daemon.cli.options import config_option, state_option


@click.command()
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


@click.command("socket")
@config_option
def page_socket(config: Path) -> None:
    """Print where systemd listens for the page, as [page] of the station file has it; install.sh asks.

    Nothing is printed where naupliad-page.socket itself says it.
    """
    from daemon.config import read_station
    from daemon.page.listening import socket_settings

    click.echo(socket_settings(read_station(config).page), nl=False)
