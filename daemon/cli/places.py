"""Where a station's file and store are, for every command that needs them."""

import os
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store import runs as run_store
from daemon.store.file import open_for_reading
from daemon.summary import FILE_NAME as SUMMARY

if TYPE_CHECKING:
    from daemon.commissioning.machine import Machine

_STATE = Path("/var/lib/naupliad")
_CONFIG = Path("/etc/naupliad/station.toml")

Command = Callable[..., Any]


def config_option(command: Command) -> Command:
    """`--config`, the station file."""
    return click.option(
        "--config",
        type=click.Path(path_type=Path),
        default=_CONFIG,
        show_default=True,
        help="The station file.",
    )(command)


def state_option(command: Command) -> Command:
    """`--state`, the folder with station.db."""
    return click.option(
        "--state",
        type=click.Path(path_type=Path, readable=False),  # whom it does not let in is told what to do
        default=lambda: Path(os.environ.get("STATE_DIRECTORY", _STATE)),
        show_default=f"$STATE_DIRECTORY or {_STATE}",
        help="The folder with station.db: the daemon's, or what replay or rehearse wrote.",
    )(command)


def json_option(command: Command) -> Command:
    """`--json`, for programs."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON.")(command)


def machine_of(context: click.Context) -> "Machine":
    """The machine that `main` was given, else this one."""
    from daemon.commissioning.machine import Machine  # only here: `run` looks at no machine

    return context.find_object(Machine) or Machine()


def is_told(context: click.Context, option: str) -> bool:
    """Whether somebody typed the option."""
    return context.get_parameter_source(option) is ParameterSource.COMMANDLINE


def moment_of(state: Path, connection: sqlite3.Connection) -> int:
    """The station's now, Unix seconds: the wall clock's; where time was played, the last reading's."""
    newest = reading_store.newest_at(connection)
    return newest if newest is not None and (state / SUMMARY).exists() else int(time.time())


def open_station(state: Path) -> tuple[Station, sqlite3.Connection]:
    """The station as its store knows it, and the store for reading. Raises InputError where there is none."""
    connection = open_for_reading(state)
    text = run_store.station_file(connection)
    if text is None:
        raise InputError(f"{state}: found a store no station has used yet; allowed: one that has run")
    return parse_station(text, f"{state}/station.db"), connection
