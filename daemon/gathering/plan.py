"""The gatherer's file: gather.toml to a `GatherPlan`, or every fault in it, a line each."""

import importlib.util
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from daemon.config.checks import Key, Refused, matching, read_table, text, unknown_key
from daemon.config.ways_out import read_broker
from daemon.errors import InputError
from daemon.input.file import read_text
from daemon.input.toml import read_toml
from daemon.post.secrets import Secret
from daemon.station import Broker

DATABASE_PASSWORD = Secret("database-password", "NAUPLIAD_DATABASE_PASSWORD_FILE", "the password")

_TABLES = ("broker", "database", "gatherer")
_ID_ALLOWED = "1 to 40 of a-z, 0-9 and -"
_GROUP_ALLOWED = "8 to 80 letters, digits, '-' and '_' that nobody guesses"
_DSN_ALLOWED = "words of libpq, such as host=db.example dbname=naupliad user=gatherer, and no password"


@dataclass(frozen=True)
class GatherPlan:
    """What a gatherer talks to: the broker, the database by libpq's words, its own id, the group's name.

    Several side by side share the group's name; each has an id, and a user of the broker's, of its own.
    """

    broker: Broker
    dsn: str
    id: str
    group: str


def check_installed() -> None:
    """Raise InputError, naming the extra, where psycopg or paho-mqtt is not installed."""
    missing = [name for name in ("psycopg", "paho") if importlib.util.find_spec(name) is None]
    if missing:
        raise InputError(
            f"naupliad gather: found no {' and no '.join(missing)} installed; allowed: with the extra gather "
            "(pip install 'naupliad[gather]')"
        )


def read_plan(path: Path) -> GatherPlan:
    """The checked file. Raises InputError with a line for each fault."""
    raw = read_toml(read_text(path), str(path))
    faults = [unknown_key(name, _TABLES) for name in raw if name not in _TABLES]
    broker = read_broker(raw.get("broker", {}), "broker", faults)
    database = read_table(raw.get("database", {}), {"dsn": Key(_dsn)}, "database", faults)
    gatherer = read_table(
        raw.get("gatherer", {}),
        {
            "id": Key(matching(re.compile(r"[a-z0-9-]{1,40}"), _ID_ALLOWED)),
            "group": Key(_group),
        },
        "gatherer",
        faults,
    )
    if faults or broker is None:
        raise InputError(*(f"{path}: {line}" for line in faults))
    return GatherPlan(broker, database["dsn"], gatherer["id"], gatherer["group"])


def _group(value: object) -> str:
    """The group's name is as good as a password: it is never shown."""
    if not isinstance(value, str) or not re.fullmatch(r"[A-Za-z0-9_-]{8,80}", value):
        raise Refused("another name", _GROUP_ALLOWED)
    return value


def _dsn(value: object) -> str:
    from psycopg import ProgrammingError
    from psycopg.conninfo import conninfo_to_dict

    said: str = text(1000)(value)
    try:
        words: dict[str, Any] = conninfo_to_dict(said)
    except ProgrammingError:  # its own words may quote a password
        raise Refused("another text", _DSN_ALLOWED) from None
    if "password" in words:
        raise Refused(
            "a password",
            f"{_DSN_ALLOWED}: it goes into the systemd credential {DATABASE_PASSWORD.credential}, "
            f"a file that {DATABASE_PASSWORD.variable} names, or libpq's password file",
        )
    return said
