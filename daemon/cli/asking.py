"""Asking the daemon through its inbox; where none runs, this process writes in its place."""

from collections.abc import Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from daemon.assembly import assemble
from daemon.cli.places import moment_of, open_station
from daemon.errors import InputError
from daemon.inbox import ask
from daemon.input.csv import read_moment
from daemon.input.file import shown
from daemon.running.run import INBOX
from daemon.station import Station
from daemon.store.file import WritingStore


def station_and_now(state: Path) -> tuple[Station, int]:
    """The station as its store knows it, and its now. Raises InputError where there is none."""
    station, connection = open_station(state)
    with closing(connection):
        return station, moment_of(state, connection)


def answer(state: Path, station: Station, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError where it is refused."""
    told = ask(state / INBOX, dict(words))
    if told is None:
        return _write_here(state, station, words, now)
    if "error" in told:
        raise InputError(str(told["error"]))
    return told


def _write_here(state: Path, station: Station, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    store = WritingStore(state)
    try:
        with store.transaction() as connection:
            desks = assemble(station, connection, now)
            desks.alarms.take_up(now)
            return desks.requests.answer(words, now)
    finally:
        store.close()


def moment(option: str, station: Station, text: str, now: int) -> int:
    """A moment somebody typed: RFC 3339 with an offset, or HH:MM of today. Raises InputError."""
    allowed = "RFC 3339 with an offset, such as 2027-01-15T13:40:00+00:00, or HH:MM of today"
    try:
        if len(text) <= len("HH:MM"):
            clock = datetime.strptime(text, "%H:%M").time()  # noqa: DTZ007 - a local time of day, dated below
            today = datetime.fromtimestamp(now, station.timezone).date()
            return int(datetime.combine(today, clock, station.timezone).timestamp())
        return read_moment(text)
    except ValueError as error:
        raise InputError(f"{option}: found {shown(text)}; allowed: {allowed}") from error
