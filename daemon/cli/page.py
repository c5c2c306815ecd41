"""naupliad page: the local page, a process of its own beside the daemon."""

from pathlib import Path

import click

from daemon.cli.options import state_option


@click.command()
@state_option
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen on.")
@click.option(
    "--port",
    type=click.IntRange(0, 65_535),
    default=8077,
    show_default=True,
    help="The port; 0 takes a free one.",
)
def page(state: Path, host: str, port: int) -> None:
    """Serve the local page until it is stopped (SIGTERM or Ctrl-C)."""
    from daemon.page.serving import serve
    from daemon.page.site import make_site

    serve(make_site(state), host, port, lambda address: click.echo(f"The page is at {address}"))
