"""The files the daemon needs: the station file, the state folder, the store."""

import os
import sqlite3
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path

from daemon.commissioning.checkup.finding import Finding, look, ok, wrong
from daemon.commissioning.checkup.service_account import ENTER, READ, SERVICE, WRITE, ServiceAccount
from daemon.config import read_station
from daemon.errors import InputError, NaupliadError
from daemon.person_names import to_ask_about
from daemon.station import Station
from daemon.store import readings as reading_store
from daemon.store.file import FILE_NAME, StoreBroken, open_for_reading
from daemon.store.file_check import look_through
from daemon.store.mishaps import last_rows_aside
from daemon.store.schema import is_current

_WRITE = (
    "Let the page write it (its PIN first: sudo naupliad page pin), or write it yourself:"
    " docs/how-to/set-up.md."
)
_STATION_FILE = "station.toml"  # where the daemon keeps one that the page wrote
_OTHERS = 0o007
_OTHERS_WRITE = 0o002
_WORN = "A card that damages files wears out: replace it."
_AS_DAEMON = f"Run this as the daemon's account: sudo -u {SERVICE} naupliad checkup."


def station_file(path: Path, account: ServiceAccount) -> tuple[Station | None, list[Finding]]:
    """The station, where its file is right, and what there is to say of the file."""
    try:
        station = read_station(path)
    except InputError as error:
        match error.__cause__:
            case FileNotFoundError():  # a link that leads to nothing yet, too
                return None, [wrong("station file", f"no {path}", _WRITE)]
            case PermissionError():
                return None, [_kept_from(path, account)]
        remedy = "Correct it; docs/reference/station.md lists every key."
        return None, [wrong("station file", fault, remedy) for fault in error.faults]
    if not account.may(path, READ):
        found = _kept_from(path, account)
    elif path.stat().st_mode & _OTHERS_WRITE:
        found = wrong("station file", f"{path}: anybody may change it", f"sudo chmod 644 {path}")
    else:
        probes, vessels = len(station.probes), len(station.vessels)
        found = ok("station file", f"{path}: {station.name}, probes: {probes}, vessels: {vessels}")
    return station, [found]


def _kept_from(path: Path, account: ServiceAccount) -> Finding:
    """Of a file that somebody may not read: the daemon, or only who looks."""
    with suppress(OSError):  # the folder that it leads to lets nobody look
        if not account.may(path, READ):
            return wrong("station file", f"{path}: {account.name} may not read it", f"sudo chmod 644 {path}")
    return look("station file", f"{path}: you may not read it", _AS_DAEMON)


def labels(station: Station) -> list[Finding]:
    """Names of vessels and probes that look like a person's: letters carry them to others."""
    return [
        look(
            "names",
            f"{label} looks like a person's name, and stands in letters and calendars",
            f'Call it by a number or a creature. If it is no name: no_names = ["{label}"] below [station].',
        )
        for label in to_ask_about(station.labels, station.no_names)
    ]


def state_folder(state: Path, account: ServiceAccount) -> Finding:
    """Whether the daemon may write there, and nobody else reads it."""
    if not state.is_dir():
        return look(
            "state folder", f"{state} is not there yet", "Nothing: it is made when the daemon first starts."
        )
    if not account.may(state, READ, WRITE, ENTER):
        give = f"sudo chown -R {account.name}: {state}"
        return wrong("state folder", f"{state}: {account.name} may not write there", give)
    if state.stat().st_mode & _OTHERS:
        open_to_all = f"{state}: anybody on this machine may look into it"
        return look("state folder", open_to_all, f"sudo chmod o= {state}")
    return ok("state folder", f"{state}: {account.name} may write there, others may not look")


def store(state: Path, zone_of: Station | None) -> Finding:
    """Whether SQLite finds the store whole (read-only), and whether rows of it were set aside."""
    try:
        if not (state / FILE_NAME).is_file():
            return look("store", f"no {FILE_NAME} yet", "Nothing: it is made when the daemon first starts.")
        with closing(open_for_reading(state)) as connection:
            found = look_through(connection)
            newest = reading_store.newest_at(connection)
            aside = last_rows_aside(connection) if is_current(connection) else None
    except PermissionError:
        return look("store", f"{state}: you may not look into it", _AS_DAEMON)
    except (StoreBroken, sqlite3.Error) as error:
        return wrong("store", str(error), _damaged(state))
    except NaupliadError as error:
        return look("store", str(error), _AS_DAEMON)
    if found.broken:
        return wrong("store", f"{FILE_NAME} is damaged: {found.broken}", _damaged(state))
    if found.tables:
        damaged = f"{FILE_NAME}: rows of {', '.join(sorted(found.tables))} are damaged"
        return wrong("store", damaged, f"sudo systemctl restart {SERVICE}: it sets them aside. {_WORN}")
    zone = zone_of.timezone if zone_of else None
    read = datetime.fromtimestamp(newest, zone).strftime("%Y-%m-%d %H:%M") if newest else "never"
    if aside:
        counts = ", ".join(f"{table} {count}" for table, count in aside.counts)
        since = datetime.fromtimestamp(aside.at, zone).strftime("%Y-%m-%d %H:%M")
        return look("store", f"{FILE_NAME}: rows were damaged and set aside {since}: {counts}", _WORN)
    return ok("store", f"{FILE_NAME} is whole; last reading: {read}")


def _damaged(state: Path) -> str:
    begin_anew = f"sudo mv {state} {state}-damaged"
    if os.path.isfile(state / _STATION_FILE):  # noqa: PTH113 - raises nothing where one may not look
        begin_anew += (
            "; sudo systemd-tmpfiles --create naupliad.conf;"
            f" sudo cp -p {state}-damaged/{_STATION_FILE} {state} (the station file)"
        )
    return (
        f"Stop the daemon (sudo systemctl stop {SERVICE}) and put a copy back, or begin anew: {begin_anew}."
        f" {_WORN}"
    )
