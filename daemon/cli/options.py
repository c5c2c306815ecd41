"""The options that commands share, and what somebody typed for one."""

import os
from collections.abc import Callable
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from daemon.errors import InputError
from daemon.hours import local_day
from daemon.input.csv import read_moment
from daemon.input.file import shown
from daemon.station import Station

if TYPE_CHECKING:
    from daemon.commissioning.machine import Machine

_STATE = Path("/var/lib/naupliad")
_CONFIG = Path("/etc/naupliad/station.toml")
_GATHER_CONFIG = Path("/etc/naupliad/gather.toml")

Command = Callable[..., Any]


def config_option(command: Command) -> Command:
    """`--config`, the station file."""
    return click.option(
        "--config",
        # One that cannot be read is for who reads it to refuse: the daemon has the file it ran by last.
        type=click.Path(path_type=Path, readable=False),
        default=_CONFIG,
        show_default=True,
        help="The station file.",
    )(command)


def gather_config_option(command: Command) -> Command:
    """`--config`, the gatherer's file."""
    return click.option(
        "--config",
        type=click.Path(path_type=Path, readable=False),
        default=_GATHER_CONFIG,
        show_default=True,
        help="The gatherer's file.",
    )(command)


def state_option(command: Command) -> Command:
    """`--state`, the folder with station.db."""
    return click.option(
        "--state",
        type=click.Path(path_type=Path, readable=False),  # whom it does not let in hears what to do
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


def is_given(context: click.Context, option: str) -> bool:
    """Whether somebody typed the option."""
    return context.get_parameter_source(option) is ParameterSource.COMMANDLINE


def clock_of(text: str) -> time:
    """A local time of day, HH:MM. Raises ValueError."""
    return datetime.strptime(text, "%H:%M").time()  # noqa: DTZ007 - the zone comes with the date


def typed_moment(option: str, station: Station, text: str, now: int) -> int:
    """A moment somebody typed: RFC 3339 with an offset, or HH:MM of today. Raises InputError."""
    allowed = "RFC 3339 with an offset, such as 2027-01-15T13:40:00+00:00, or HH:MM of today"
    try:
        if len(text) <= len("HH:MM"):
            today = local_day(now, station.timezone)
            return int(datetime.combine(today, clock_of(text), station.timezone).timestamp())
        return read_moment(text)
    except ValueError as error:
        raise InputError(f"{option}: found {shown(text)}; allowed: {allowed}") from error
